"""The bytes of a workbook. Sheets print in landscape, one page wide, the header on every page, numbered."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from equipsel.workbook.sheet import Cell, Field, Form, Formula, Sheet, Shown
from equipsel.workbook.text import LONGEST_CELL, cell_text, characters, column_letters, page_line, sheet_name

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

CREATED = datetime(2000, 1, 1)
MOST_DIGITS = 15
"""Significant digits that a number in a spreadsheet keeps; a longer one is written as text."""

NARROWEST = 6.0
FILTER_BUTTON = 1.5
"""Characters that the button of a filter hides of a heading's last line."""

LINE_POINTS, HIGHEST_POINTS = 15.0, 400.0
HEADER_COLOUR, MARK_COLOUR, MARK_INK = "#D9E2EC", "#FCE4C4", "#7A3E00"
LONGEST_LIST = 255
"""Characters of a drop-down list written out (ECMA-376 as spreadsheets implement it)."""

A4 = 9
RULED = {"border": 1, "border_color": "#BFC7CF", "valign": "top"}
TEXTUAL = {"text_wrap": True, "align": "left", "indent": 1}


@dataclass(frozen=True)
class Formats:
    """The cell formats of a workbook."""

    header: "Format"
    mark: "Format"
    body: dict[Form, "Format"]
    total: dict[Form, "Format"]


def workbook(sheets: Sequence[Sheet], *, title: str, author: str = "") -> bytes:
    """The workbook of these sheets; the same bytes for the same sheets."""
    from xlsxwriter.workbook import Workbook  # noqa: PLC0415 - only those who write workbooks wait for it

    stream = io.BytesIO()
    with Workbook(stream, {"in_memory": True}) as book:
        book.set_properties({"title": cell_text(title)[:LONGEST_CELL], "author": author, "created": CREATED})
        formats = _formats(book)
        taken: set[str] = set()
        for sheet in sheets:
            name = sheet_name(sheet.name, taken)
            taken.add(name.lower())
            _write_sheet(book.add_worksheet(name), sheet, formats)
    return stream.getvalue()


def _formats(book: "Workbook") -> Formats:
    bold = {**RULED, "bold": True}
    body = {form: book.add_format({**RULED, "num_format": form.value, **(TEXTUAL if form is Form.TEXT else {})}) for form in Form}
    total = {form: book.add_format({**bold, "num_format": form.value, "top": 6}) for form in Form}
    header = book.add_format({**bold, "text_wrap": True, "bg_color": HEADER_COLOUR})
    return Formats(header, book.add_format({"bg_color": MARK_COLOUR, "font_color": MARK_INK, "bold": True}), body, total)


def _write_sheet(page: "Worksheet", sheet: Sheet, formats: Formats) -> None:
    _set_up(page, sheet)
    widths = [_width(field, [row[column] for row in sheet.rows], sheet.widest) for column, field in enumerate(sheet.fields)]
    _write_header(page, sheet, formats, widths)
    for number, row in enumerate(sheet.rows, 1):
        _set_height(page, number, [_value(cell) for cell in row], widths)
        for column, cell in enumerate(row):
            _write_cell(page, number, column, cell, formats.body, sheet.fields[column].form)
    if any(field.total for field in sheet.fields):
        _write_totals(page, sheet, formats)
    for mark in sheet.marks:
        rule = {"type": "cell", "criteria": ">", "value": mark.above, "format": formats.mark}
        page.conditional_format(1, mark.field, max(len(sheet.rows), 1), mark.field, rule)


def _write_header(page: "Worksheet", sheet: Sheet, formats: Formats, widths: Sequence[float]) -> None:
    for column, field in enumerate(sheet.fields):
        page.write_string(0, column, cell_text(field.heading), formats.header)
        page.set_column(column, column, widths[column], formats.body[field.form] if sheet.room else None)
        if field.note:
            page.write_comment(0, column, cell_text(field.note), {"x_scale": 2, "y_scale": 1.2})
        _offer(page, sheet, column)
    _set_height(page, 0, [field.heading for field in sheet.fields], widths)


def _set_height(page: "Worksheet", row: int, cells: Sequence[object], widths: Sequence[float]) -> None:
    """Room for texts that wrap: not every spreadsheet makes it by itself."""
    lines = max((_lines(cell, width) for cell, width in zip(cells, widths, strict=True) if isinstance(cell, str)), default=1)
    if lines > 1:
        page.set_row(row, min(lines * LINE_POINTS, HIGHEST_POINTS))


def _lines(text: str, width: float) -> int:
    """Lines that a text takes in a column."""
    room = max(int(width), 1)
    return sum(max(len(wrap(line, room)), -(-characters(line) // room) if not line.isascii() else 1) for line in text.split("\n"))


def _set_up(page: "Worksheet", sheet: Sheet) -> None:
    page.freeze_panes(1, sheet.key_columns)
    if sheet.filtered:
        page.autofilter(0, 0, len(sheet.rows), len(sheet.fields) - 1)
    page.set_landscape()
    page.set_paper(A4)
    page.set_margins(left=0.4, right=0.4, top=0.75, bottom=0.75)
    page.repeat_rows(0)
    page.fit_to_pages(1, 0)
    page.set_header(f"&L{page_line(sheet.title)}&R{page_line(sheet.name)}")
    page.set_footer("&CPage &P of &N")


def _write_cell(page: "Worksheet", row: int, column: int, cell: Cell, formats: dict[Form, "Format"], form: Form) -> None:
    style = formats[cell.form if isinstance(cell, Shown) else form]
    content = cell.cell if isinstance(cell, Shown) else cell
    if isinstance(content, Formula):
        value = content.value if isinstance(content.value, str) else float(content.value)
        page.write_formula(row, column, content.text, style, value)
    elif content is None or content == "":
        page.write_blank(row, column, None, style)
    elif isinstance(content, int | float | Decimal) and not isinstance(content, bool) and _fits(content):
        page.write_number(row, column, content, style)
    else:
        page.write_string(row, column, cell_text(_words(content)), style)


def _words(content: str | bool | Decimal | float) -> str:
    """What is written as text."""
    return ("yes" if content else "no") if isinstance(content, bool) else str(content)


def _fits(number: Decimal | float) -> bool:
    """Whether a spreadsheet keeps every digit of a number (NaN and infinity it cannot hold)."""
    exact = Decimal(str(number))
    return exact.is_finite() and (isinstance(number, float) or len(exact.normalize().as_tuple().digits) <= MOST_DIGITS)


def _write_totals(page: "Worksheet", sheet: Sheet, formats: Formats) -> None:
    last = len(sheet.rows) + 1
    for column, field in enumerate(sheet.fields):
        cell: Cell = "total" if column == 0 else None
        if field.total:
            letters = column_letters(column)
            cell = Formula(f"=SUM({letters}2:{letters}{max(last, 2)})", _sum([row[column] for row in sheet.rows]))
        _write_cell(page, max(last, 2), column, cell, formats.total, field.form)


def _sum(cells: Sequence[Cell]) -> Decimal:
    """The sum of the numbers among cells, to the digit."""
    values = [_value(cell) for cell in cells]
    return sum((Decimal(str(value)) for value in values if isinstance(value, int | float | Decimal)), Decimal(0))


def _value(cell: Cell) -> Any:
    """What stands in a cell, of a formula its value."""
    cell = cell.cell if isinstance(cell, Shown) else cell
    return cell.value if isinstance(cell, Formula) else cell


def _offer(page: "Worksheet", sheet: Sheet, column: int) -> None:
    """The drop-down list of a field, and those of its single cells."""
    field = sheet.fields[column]
    if field.choices:
        _offer_cells(page, (1, column, max(len(sheet.rows) + sheet.room, 1), column), field.choices, field.must)
    for (row, at), choices in sheet.offers.items():
        if at == column:
            _offer_cells(page, (row + 1, at, row + 1, at), choices, must=True)


def _offer_cells(page: "Worksheet", area: tuple[int, int, int, int], choices: tuple[str, ...] | str, must: bool) -> None:
    if not isinstance(choices, str) and len(",".join(choices)) > LONGEST_LIST:
        return
    rule = {
        "validate": "list",
        "source": choices if isinstance(choices, str) else list(choices),
        "error_type": "stop" if must else "information",
        "error_title": "Not in the list",
        "error_message": "Choose from the list." if must else "It is not in the list; it may still be right.",
    }
    page.data_validation(*area, rule)


def _width(field: Field, cells: Sequence[Cell], widest: float) -> float:
    """Characters that a column needs for its cells and for its heading on two or three lines."""
    if field.width is not None:
        return field.width
    heading = max((characters(word) for word in field.heading.split()), default=0) + 1.0 + FILTER_BUTTON
    contents = max((_shown_characters(cell, field.form) for cell in cells), default=0) + (2.5 if field.form is Form.TEXT else 1.5)
    return min(max(heading, contents, characters(field.heading) / 3 + 2, NARROWEST), widest)


def _shown_characters(cell: Cell, form: Form) -> int:
    form = cell.form if isinstance(cell, Shown) else form
    value = _value(cell)
    if value is None:
        return 0
    if isinstance(value, str | bool):
        return characters(value) if isinstance(value, str) else 3
    decimals = {Form.WHOLE: 0, Form.ONE: 1, Form.TWO: 2, Form.MONEY: 2, Form.PRICE: 2, Form.THREE: 3}.get(form)
    return len(str(value)) if decimals is None else len(f"{value:,.{decimals}f}")
