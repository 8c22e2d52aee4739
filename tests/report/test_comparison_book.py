"""The workbook of a comparison: every text is a text, every formula has the value it comes to, the same bytes twice."""

import io
import re
from typing import Any

import openpyxl
import pytest
from comparisons import hostile_comparison, plain_comparison

from equipsel.compare.book import comparison_workbook
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA
from equipsel.workbook.text import cell_text

SHEETS = ["options", "side by side", "what differs", "nearly as cheap", "cost against spare", "cost against models", "break-even", "notes"]


def opened(found: Comparison, *, values: bool) -> Any:
    return openpyxl.load_workbook(io.BytesIO(comparison_workbook(found)), data_only=values)


@pytest.mark.parametrize("make", [plain_comparison, hostile_comparison])
def test_texts_are_texts_and_only_our_own_formulas_are_live(make: Any) -> None:
    found = make()
    book = opened(found, values=False)
    assert book.sheetnames == SHEETS
    live = [cell.value for page in book for row in page for cell in row if cell.data_type == "f"]
    assert live
    assert all(re.fullmatch(r"=(SUM\([A-Z]+3:[A-Z]+6\)|[A-Z]\d+-[A-Z]\$?\d+)", text) for text in live)
    texts = {cell.value for page in book for row in page for cell in row if cell.data_type == "s"}
    assert {cell_text(one.catalog) for one in found.options} | {cell_text(one.change) for one in found.options if one.change} <= texts
    assert {cell_text(one.model) for one in found.break_even.values()} <= texts


def test_the_values_are_those_of_the_comparison() -> None:
    found = plain_comparison()
    book = opened(found, values=True)
    side = {row[0]: row[1:] for row in book["side by side"].iter_rows(min_row=2, values_only=True)}
    for column in CRITERIA:
        known = [one.get(column.key) for one in found.figures()]
        assert list(side[column.heading.format("EUR")][:-1]) == pytest.approx(known)
        assert (side[column.heading.format("EUR")][-1] or "") == ", ".join(str(at + 1) for at in sorted(found.best()[column.key]))
    listed = list(book["options"].iter_rows(min_row=2, values_only=True))
    assert [row[3] for row in listed] == [found.kits[at].cost for at in range(14)]
    assert [row[4] for row in listed] == [None if (more := found.more(at)) is None else float(more) for at in range(14)]
    spare = found.trade_offs()[0]
    rows = list(book["cost against spare"].iter_rows(min_row=2, values_only=True))
    assert rows == [(one.shown, float(one.cost), float(one.cost - spare.points[0].cost)) for one in spare.points]
    for row in book["break-even"].iter_rows(min_row=2, values_only=True):
        assert row[5] is None or row[5] == pytest.approx(row[4] - row[2])


def test_the_same_bytes_twice() -> None:
    assert comparison_workbook(plain_comparison()) == comparison_workbook(plain_comparison())
