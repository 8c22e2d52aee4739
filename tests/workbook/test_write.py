"""Workbooks are typed, live, printable, safe, and the same bytes for the same sheets."""

import io
import zipfile
from decimal import Decimal
from typing import Any

import openpyxl
import pytest

from equipsel.workbook import Cell, Field, Form, Formula, Mark, Sheet, Shown, workbook

FIELDS = (
    Field("unit"),
    Field("load", "%", Form.ONE),
    Field("cost", "EUR", Form.MONEY, total=True),
    Field("kept", choices=("yes", "no"), note="yes or no"),
)
ROWS: tuple[tuple[Cell, ...], ...] = (("hall-1", 81.5, Decimal("0.10"), True), ("hall-2", 12, Decimal("0.20"), False))


def book(*sheets: Sheet, formulas: bool = False) -> Any:
    content = workbook(sheets, title="Invented & made up")
    return openpyxl.load_workbook(io.BytesIO(content), data_only=not formulas)


def sheet(rows: Any = ROWS, fields: Any = FIELDS, **more: Any) -> Sheet:
    return Sheet("loads", "Invented & made up", fields, rows, **more)


def only_cell(cell: Cell, form: Form = Form.TEXT) -> Any:
    return book(sheet([(cell,)], [Field("a", form=form)]))["loads"]["A2"]


def test_headings_tell_units_and_cells_keep_their_kind() -> None:
    page = book(sheet())["loads"]
    assert [cell.value for cell in page[1]] == ["unit", "load, %", "cost, EUR", "kept"]
    assert [cell.value for cell in page[2]] == ["hall-1", 81.5, 0.1, "yes"]
    assert page["C2"].number_format == "#,##0.00"


def test_a_total_is_a_formula_with_its_exact_value() -> None:
    assert book(sheet(), formulas=True)["loads"]["C4"].value == "=SUM(C2:C3)"
    page = book(sheet())["loads"]
    assert (page["A4"].value, page["C4"].value) == ("total", 0.3)


def test_a_total_of_no_rows_is_nothing() -> None:
    assert book(sheet([]))["loads"]["C3"].value == 0


def test_the_header_stays_in_sight_can_be_filtered_and_is_printed_on_every_page() -> None:
    page = book(sheet(key_columns=1))["loads"]
    assert page.freeze_panes == "B2"
    assert page.auto_filter.ref == "A1:D3"
    assert page.print_title_rows == "$1:$1"
    assert (page.page_setup.orientation, page.page_setup.fitToHeight, page.sheet_properties.pageSetUpPr.fitToPage) == ("landscape", 0, True)
    assert page.oddFooter.center.text == "Page &P of &N"
    assert page.oddHeader.left.text == "Invented && made up"


def test_loads_are_marked_and_choices_offered() -> None:
    page = book(sheet(marks=(Mark(80, 1),), room=7))["loads"]
    [(where, rules)] = [(str(area.sqref), area.rules) for area in page.conditional_formatting]
    assert (where, rules[0].operator, rules[0].formula) == ("B2:B3", "greaterThan", ["80"])
    [offer] = page.data_validations.dataValidation
    assert (str(offer.sqref), offer.formula1) == ("D2:D10", '"yes,no"')
    assert page["D1"].comment.text == "yes or no"


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a", "\tx", "{=1}", "http://invented.example", "=HYPERLINK(1)", "1e5", "007"])
def test_texts_stay_texts_whatever_they_begin_with(text: str) -> None:
    found = only_cell(text)
    assert (found.value, found.data_type) == (text, "s")
    assert found.hyperlink is None


def test_negative_numbers_stay_numbers() -> None:
    assert (only_cell(-1.5, Form.ONE).value, only_cell(Decimal("-0.001"), Form.THREE).value) == (-1.5, -0.001)


@pytest.mark.parametrize(
    ("text", "shown"),
    [("a\x00b", "a\ufffdb"), ("a\rb", "a\ufffdb"), ("\ud800", "\ufffd"), ("\ufffe", "\ufffd"), ("_x0041_", "_x0041_"), ("a\nb", "a\nb")],
)
def test_what_xml_cannot_hold_is_replaced(text: str, shown: str) -> None:
    assert only_cell(text).value == shown


def test_a_text_too_long_for_a_cell_is_cut_and_says_so() -> None:
    found = only_cell("x" * 40_000).value
    assert (len(found), found[-5:]) == (32_767, "(cut)")


@pytest.mark.parametrize("number", [float("nan"), float("inf"), Decimal("1.234567890123456789")])
def test_numbers_that_a_spreadsheet_cannot_keep_are_texts(number: Decimal | float) -> None:
    assert only_cell(number).value == str(number)


def test_a_cell_may_have_a_form_of_its_own_and_a_formula_its_value() -> None:
    found = only_cell(Shown(Formula("=1/8", Decimal("0.125")), Form.THREE), Form.PLAIN)
    assert (found.value, found.number_format) == (0.125, "0.000")


def test_sheets_are_named_as_near_as_can_be() -> None:
    names = ["a/b", "A-B", "x" * 40, "x" * 40, "history", "'", ""]
    found = book(*(Sheet(name, "", [Field("a")], []) for name in names)).sheetnames
    assert found == ["a-b", "A-B (2)", "x" * 31, "x" * 27 + " (2)", "history ", "sheet", "sheet (2)"]


def test_references_hold_the_rows() -> None:
    assert sheet().cells(2) == "'loads'!$C$2:$C$3"
    assert Sheet("it's", "", FIELDS, []).cells(27) == "'it''s'!$AB$2:$AB$2"


def test_the_same_sheets_give_the_same_bytes() -> None:
    made = [workbook([sheet()], title="x") for _ in range(2)]
    assert made[0] == made[1]
    with zipfile.ZipFile(io.BytesIO(made[0])) as archive:
        assert {part.date_time for part in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert b"2000-01-01T00:00:00Z" in archive.read("docProps/core.xml")


def test_columns_are_as_wide_as_what_they_show_up_to_a_limit() -> None:
    fields = [Field("a"), Field("b", form=Form.MONEY), Field("c"), Field("d", width=9)]
    page = book(sheet([("ten chars.", 1234567.5, "long " * 100, "x" * 30)], fields))["loads"]
    widths = [page.column_dimensions[letter].width for letter in "ABCD"]
    assert [round(width) for width in widths] == [13, 14, 37, 10]
    assert page["C2"].alignment.wrap_text
    assert page.row_dimensions[2].height > 150
