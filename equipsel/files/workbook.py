"""The raw tables of an .xlsx workbook, a sheet per table. Macros and links to other files are left alone."""

import io
import warnings
from collections.abc import Iterable, Iterator, Sequence
from importlib import import_module
from itertools import islice, repeat
from pathlib import Path
from typing import Any

from equipsel.files import limits
from equipsel.files.archive import Archive, read_archive
from equipsel.files.cell import text_of, uncalculated
from equipsel.files.problems import Problem, file_problem, nearest, table_problem
from equipsel.files.raw import Fault, Found, RawRow, RawTable, trimmed
from equipsel.files.tables import REQUIRED, SETTINGS, TABLE_NAMES

Cells = tuple[Any, ...]
Sheets = dict[str, list[Any]]


def read_workbook(path: Path, names: Sequence[str]) -> Found:
    """The sheets called after the wanted tables. Hidden sheets count too, and are told of; other sheets are left alone."""
    archive = read_archive(path, path.name)
    sheets = archive if isinstance(archive, Problem) else _sheets(archive, path.name, names)
    return Found(unreadable=frozenset(names), problems=(sheets,)) if isinstance(sheets, Problem) else sheets


def missing_sheets(found: Found, path: Path, names: Sequence[str]) -> Found:
    """What was found in a workbook, with a problem for each sheet that is not there and must be."""
    absent = [name for name in names if name in REQUIRED | {SETTINGS} and name not in found.tables and name not in found.unreadable]
    problems = [
        file_problem(path.name, f"has no sheet called {name}, or nothing on it", "add it: `equipsel tables` shows its columns")
        for name in absent
    ]
    return Found(found.tables, found.unreadable | set(absent), (*found.problems, *problems), found.warnings)


def _sheets(archive: Archive, source: str, names: Sequence[str]) -> Found | Problem:
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the library cannot keep when saving is nothing to us
            book, formulas = _open(archive, values=True), _open(archive, values=False) if archive.formulas else None
            return _read(_by_name(book), _by_name(formulas) if formulas else {}, source, names)
    except Exception as error:  # whatever a library raises over a broken file, the file is what is wrong
        wrong = f"is not a workbook that can be read ({error.__class__.__name__})"
        return file_problem(source, wrong, "open it in a spreadsheet and save it again as .xlsx")


def _open(archive: Archive, *, values: bool) -> Any:
    """The workbook with the saved values of its formulas, or with the formulas themselves."""
    return import_module("openpyxl").load_workbook(io.BytesIO(archive.content), read_only=True, data_only=values, keep_links=False)


def _by_name(book: Any) -> Sheets:
    sheets: Sheets = {}
    for sheet in book.worksheets:
        sheets.setdefault(sheet.title.strip().lower(), []).append(sheet)
    return sheets


def _read(sheets: Sheets, formulas: Sheets, source: str, names: Sequence[str]) -> Found:
    tables: dict[str, RawTable] = {}
    problems = list(_misnamed(sheets, source, names))
    odd: list[Problem] = []
    unreadable = set()
    for name in (one for one in names if one in sheets):
        table = _one(sheets[name], formulas.get(name), source, name)
        if isinstance(table, Problem):
            problems.append(table)
            unreadable.add(name)
        elif table:
            tables[name] = table
            odd += _hidden(sheets[name][0], table.source)
    return Found(tables, frozenset(unreadable), tuple(problems), tuple(odd))


def _one(sheets: list[Any], formulas: list[Any] | None, source: str, name: str) -> RawTable | Problem | None:
    if len(sheets) > 1:
        return file_problem(source, f"has {len(sheets)} sheets called {name}", "rename or delete all but one")
    return _table(sheets[0], formulas[0] if formulas else None, f"{source} sheet {name}")


def _misnamed(sheets: Sheets, source: str, names: Sequence[str]) -> Iterator[Problem]:
    """Sheets named almost like a table that is not there, which would go unread."""
    absent = [name for name in names if name not in sheets]
    for title in sheets:
        close = None if title in TABLE_NAMES | {SETTINGS} else nearest(title, absent, 0.8)
        if close:
            wrong = f"its sheet {sheets[title][0].title!r} is no table, but named almost like {close}"
            yield file_problem(source, wrong, f"rename it to {close}, or to something else")


def _hidden(sheet: Any, source: str) -> list[Problem]:
    if sheet.sheet_state == "visible":
        return []
    return [file_problem(source, "is hidden, and is read all the same", "rename the sheet if it is not meant")]


def _table(sheet: Any, formulas: Any | None, source: str) -> RawTable | Problem | None:
    rows: list[RawRow] = []
    faults: dict[tuple[int, int], Fault] = {}
    for line, cells, written in _filled(sheet, formulas):
        rows.append(_row(line, cells, written, faults))
        if len(rows) > limits.MOST_ROWS + 1:
            return table_problem(source, f"has more than {limits.MOST_ROWS:,} rows", "leave out what is not part of the site")
        if len(rows[-1].cells) > limits.MOST_COLUMNS:
            wrong = f"has more than {limits.MOST_COLUMNS} columns"
            return table_problem(source, wrong, "leave out what is not part of the table", line)
    rows = trimmed(rows)
    width = max((len(row.cells) for row in rows), default=0)
    rows = [RawRow(row.line, row.cells + ("",) * (width - len(row.cells))) for row in rows]
    return RawTable(source, rows[0], tuple(rows[1:]), decimal_comma=True, faults=faults) if rows else None


def _filled(sheet: Any, formulas: Any | None) -> Iterator[tuple[int, Cells, Cells]]:
    """The rows of a sheet with anything in them, by their numbers, with their formulas where they are asked for.

    Rows that are not in the file come as one and the same blank.
    """
    blank: Cells | None = None
    written: Iterable[Cells] = _rows(formulas) if formulas else repeat(())
    for line, (cells, texts) in enumerate(zip(_rows(sheet), written, strict=False), 1):
        if cells is blank:
            continue
        if any(cell.value is not None for cell in cells) or any(cell.value is not None for cell in texts):
            yield line, cells, texts
        else:
            blank = cells


def _rows(sheet: Any) -> Iterator[Cells]:
    sheet.reset_dimensions()
    return islice(sheet.iter_rows(max_col=limits.MOST_COLUMNS + 1), limits.MOST_LINES)


def _row(line: int, cells: Cells, written: Cells, faults: dict[tuple[int, int], Fault]) -> RawRow:
    texts = []
    for position, cell in enumerate(cells[: _width(cells, written)]):
        text, fault = text_of(cell) if cell.value is not None else _of_formula(cell, written[position] if written else None)
        texts.append(text)
        if fault:
            faults[line, position] = fault
    return RawRow(line, tuple(texts))


def _width(cells: Cells, written: Cells) -> int:
    """Cells of a row up to the last that has a value or a formula."""
    rows = (cells, written) if written else (cells,)
    return max(next((size for size in range(len(row), 0, -1) if row[size - 1].value is not None), 0) for row in rows)


def _of_formula(cell: Any, written: Any | None) -> tuple[str, Fault | None]:
    """A cell without a value: blank, or a formula whose value was never saved (one that gave an empty text is blank)."""
    if written is None or written.data_type != "f" or cell.data_type == "str":
        return "", None
    formula = str(getattr(written.value, "text", written.value))
    return formula, uncalculated(formula)
