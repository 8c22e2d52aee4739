"""A workbook with a sheet per table gives the same site as the folders."""

import csv
import io
import sys
import zipfile
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from small_site import CATALOG, SCENARIO, read_changed

from equipsel.files import InputError, read_catalog, read_site
from equipsel.files import workbook as module

openpyxl = pytest.importorskip("openpyxl")

SETTINGS = [["key", "value"], ["title", "Invented kiosk"], ["catalog", "catalog.xlsx"], ["rules.spare_watts_pct", 20]]


def number(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text or None


def table(text: str) -> list[list[Any]]:
    return [[number(cell) for cell in row] for row in csv.reader(io.StringIO(text))]


def write(path: Path, sheets: dict[str, list[list[Any]]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def write_both(folder: Path, **changes: list[list[Any]]) -> Path:
    write(folder / "catalog.xlsx", {name.removesuffix(".csv"): table(text) for name, text in CATALOG.items()})
    return write(folder / "site.xlsx", {"scenario": SETTINGS, "devices": table(SCENARIO["devices.csv"]), **changes})


def problems_of(path: Path) -> list[str]:
    with pytest.raises(InputError) as error:
        read_site(path)
    return [str(problem) for problem in error.value.problems]


def test_workbooks_give_the_same_site_as_folders(tmp_path: Path) -> None:
    site, folder = read_site(write_both(tmp_path)), read_changed(tmp_path)
    assert site.catalog == folder.catalog
    assert site.scenario.model_copy(update={"catalog": ""}) == folder.scenario.model_copy(update={"catalog": ""})


def test_sheets_are_found_whatever_their_capitals_and_blank_rows_and_columns_are_skipped(tmp_path: Path) -> None:
    devices = [
        ["Device", "watts", "place", "run_m", None],
        ["cam", "12,5", "\u00a0hall ", 30, None],
        [None] * 5,
        ["b", 5, "hall", 9.5, None],
        [None] * 5,
    ]
    site = read_site(write_both(tmp_path, Runs=[["from", "to", "run_m"], ["b", "loft", 3]], devices=devices))
    assert [(row.device, row.watts, row.place, row.line) for row in site.scenario.devices] == [
        ("cam", Decimal("12.5"), "hall", 2),
        ("b", 5, "hall", 4),
    ]
    assert len(site.scenario.runs) == 1


def test_messages_name_the_sheet(tmp_path: Path) -> None:
    devices = [["device", "watts", "place", "run_m"], ["cam", date(2026, 5, 12), "hall", 30]]
    assert problems_of(write_both(tmp_path, devices=devices)) == [
        "site.xlsx sheet devices row 2, watts: '2026-05-12 00:00:00 (a date or time)' is not a number of at least 0; write a number"
    ]


def test_a_missing_sheet(tmp_path: Path) -> None:
    path = write(tmp_path / "site.xlsx", {"scenario": [["key", "value"], ["catalog", "c.xlsx"]]})
    assert problems_of(path)[0] == "site.xlsx: has no sheet called devices; add it: `equipsel tables` shows its columns"


def test_the_settings_sheet_is_checked_like_the_file(tmp_path: Path) -> None:
    settings = [*SETTINGS, ["rules.years", "many"], ["rules.yeers", 1], ["title", "again"]]
    assert problems_of(write_both(tmp_path, scenario=settings)) == [
        "site.xlsx sheet scenario row 7, title: is given twice; keep one of the two rows",
        "site.xlsx sheet scenario, rules.yeers: is not a rule; did you mean years?",
        "site.xlsx sheet scenario, rules.years: 'many' is not a number of at least 0; write a number",
    ]


@pytest.mark.parametrize("content", [b"", b"no zip", b"PK\x03\x04broken"])
def test_what_is_no_workbook(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "site.xlsx").write_bytes(content)
    assert problems_of(tmp_path / "site.xlsx") == ["site.xlsx: is not a workbook; save it as .xlsx, without a password"]


def test_a_zip_file_that_is_no_workbook(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "site.xlsx", "w") as archive:
        archive.writestr("x.txt", "x")
    assert problems_of(tmp_path / "site.xlsx")[0].startswith("site.xlsx: is not a workbook that can be read")


def test_a_workbook_that_unpacks_without_end_is_refused_before_it_is_parsed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LARGEST_BYTES", 10_000_000)
    with zipfile.ZipFile(tmp_path / "c.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/workbook.xml", b" " * 30_000_000)
    with pytest.raises(InputError, match="unpacks to more than 10 MB"):
        read_catalog(tmp_path / "c.xlsx")


def test_without_openpyxl_the_message_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write_both(tmp_path)
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    monkeypatch.setattr(module, "find_spec", lambda _: None)
    assert problems_of(path)[0] == (
        "site.xlsx: is a workbook, and openpyxl is not installed; install it with pip install 'equipsel[xlsx]', "
        "or save the sheets as CSV files in a folder"
    )
