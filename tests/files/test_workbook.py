"""A workbook with a sheet per table gives the same site as the folders, whatever a spreadsheet does to its cells."""

# ruff: noqa: E501 - whole messages are compared, and read best on one line

import re
from datetime import date, time
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from books import SETTINGS, Rows, edited, problems_of, table, write, write_both, write_shared
from openpyxl.styles import Font
from small_site import CATALOG, SCENARIO, read_changed

from equipsel.files import read_site

HEAD = ["device", "watts", "place", "run_m"]
CAM: list[Any] = ["cam", 5, "hall", 30]
DATE_MEND = "a spreadsheet makes dates of 12.5 or 3-5: set the cell's format to a number (or text, for a name) and write it again"


def test_workbooks_give_the_same_site_as_folders(tmp_path: Path) -> None:
    site, folder = read_site(write_both(tmp_path)), read_changed(tmp_path)
    assert site.catalog == folder.catalog
    assert site.scenario.model_copy(update={"catalog": ""}) == folder.scenario.model_copy(update={"catalog": ""})


def test_one_workbook_may_hold_everything(tmp_path: Path) -> None:
    sheets = {name.removesuffix(".csv"): table(text) for name, text in (CATALOG | SCENARIO).items() if name.endswith(".csv")}
    settings = [["key", "value"], ["catalog", "all.xlsx"], ["rules.spare_watts_pct", 20]]
    path = write_shared(tmp_path / "all.xlsx", {"scenario": settings, **sheets})
    assert read_site(path).catalog == read_changed(tmp_path).catalog


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


@pytest.mark.parametrize(
    "head",
    [["DEVICE", "Watts [W]", " Place", "Run m"], ["device\u200b", "watts (W)", "place", "RUN-M"], ["Device", "Watts", "Place", "run\nm"]],
)
def test_column_names_in_other_capitals_spacing_and_with_their_units(tmp_path: Path, head: list[str]) -> None:
    (cam,) = read_site(write_both(tmp_path, devices=[head, CAM])).scenario.devices
    assert (cam.device, cam.watts, cam.place, cam.run_m) == ("cam", 5, "hall", 30)


def test_names_differ_by_more_than_the_blanks_in_them(tmp_path: Path) -> None:
    devices = [HEAD, ["cam\u00a01", 5, "main\u00a0 hall", 30], ["cam\n2", 5, "main\u200b hall", 30]]
    rows = read_site(write_both(tmp_path, devices=devices, places=[["place"], [" main hall"]])).scenario.devices
    assert [(row.device, row.place) for row in rows] == [("cam 1", "main hall"), ("cam 2", "main hall")]


@pytest.mark.parametrize(
    ("cell", "watts"),
    [
        ("12.5", "12.5"),
        ("'12.5", "12.5"),
        (12.500000000000002, "12.5"),
        (30.000000000000004, "30"),
        ("1.25e1", "12.5"),
        (5, "5"),
        ("5,0", "5"),
    ],
)
def test_numbers_as_texts_and_with_binary_noise(tmp_path: Path, cell: Any, watts: str) -> None:
    (cam,) = read_site(write_both(tmp_path, devices=[HEAD, ["cam", cell, "hall", 30]])).scenario.devices
    assert cam.watts == Decimal(watts)


def test_true_and_false_are_yes_and_no(tmp_path: Path) -> None:
    devices = [[*HEAD, "backup"], [*CAM, True], ["b", 5, "hall", 30, False]]
    assert [row.backup for row in read_site(write_both(tmp_path, devices=devices)).scenario.devices] == [True, False]


def test_cells_formatted_as_percentages(tmp_path: Path) -> None:
    write_both(tmp_path)
    book = openpyxl.load_workbook(tmp_path / "site.xlsx")
    book["scenario"]["B4"] = 0.2
    book["scenario"]["B4"].number_format = "0%"
    book.create_sheet("growth").append(["stage", "device", "add"])
    book["growth"].append(["next", "cam", 0.5])
    book["growth"]["C2"].number_format = "0.0%"
    book.save(tmp_path / "site.xlsx")
    prices = openpyxl.load_workbook(tmp_path / "catalog.xlsx")
    prices["supplies"].append(["rail9", 60, "rail", 99])
    prices["supplies"]["E1"], prices["supplies"]["E3"] = "efficiency", 0.93
    prices["supplies"]["E3"].number_format = "0.00 %"
    prices.save(tmp_path / "catalog.xlsx")
    site = read_site(tmp_path / "site.xlsx")
    assert (site.rules.spare_watts_pct, site.scenario.growth[0].add) == (20, "50%")
    assert [row.efficiency for row in site.catalog.supplies] == [Decimal("0.9"), Decimal("0.93")]


def test_a_table_without_rows_that_need_not_be_there_is_none(tmp_path: Path) -> None:
    assert read_site(write_both(tmp_path, growth=[["stage", "device", "add"]], owned=[])).scenario.growth == ()


def test_dates_in_notes_are_carried(tmp_path: Path) -> None:
    (cam,) = read_site(write_both(tmp_path, devices=[[*HEAD, "Note 1"], [*CAM, date(2026, 5, 12)]])).scenario.devices
    assert cam.carried == (("Note 1", "2026-05-12"),)


def test_saved_values_of_formulas_are_read_and_an_empty_text_is_an_empty_cell(tmp_path: Path) -> None:
    write_both(tmp_path)
    book = write_shared(tmp_path / "site.xlsx", {"scenario": SETTINGS, "devices": [[*HEAD, "kind"], [*CAM, "x"]]})
    edited(book, "xl/worksheets/sheet2.xml", lambda xml: xml.replace(b"<v>30</v>", b"<f>15*2</f><v>30.000000000000004</v>"))
    empty = b'<c r="E2" t="str"><f>""</f><v></v></c>'
    edited(book, "xl/worksheets/sheet2.xml", lambda xml: re.sub(rb'<c r="E2" t="s"><v>\d+</v></c>', empty, xml))
    (cam,) = read_site(book).scenario.devices
    assert (cam.run_m, cam.kind) == (30, "")


MESSAGES: list[tuple[Rows, list[str]]] = [
    (
        [HEAD, ["cam", date(2026, 5, 12), "hall", 30]],
        [f"site.xlsx sheet devices row 2, watts: holds a date or time, 2026-05-12; {DATE_MEND}"],
    ),
    (
        [HEAD, [date(2026, 3, 5), 5, "hall", time(12, 30)]],
        [
            f"site.xlsx sheet devices row 2, device: holds a date or time, 2026-03-05; {DATE_MEND}",
            f"site.xlsx sheet devices row 2, run_m: holds a date or time, 12:30:00; {DATE_MEND}",
        ],
    ),
    (
        [HEAD, ["cam", "=2*6", "hall", 30]],
        [
            "site.xlsx sheet devices row 2, watts: holds the formula '=2*6' and no value; open the workbook in a spreadsheet and save it, or write the value itself"
        ],
    ),
    (
        [HEAD, CAM, [None, None, None, "=D2"]],
        [
            "site.xlsx sheet devices row 3, run_m: holds the formula '=D2' and no value; open the workbook in a spreadsheet and save it, or write the value itself"
        ],
    ),
    (
        [HEAD, ["cam", "#REF!", "hall", 30]],
        ["site.xlsx sheet devices row 2, watts: holds the error #REF!; mend its formula, or write the value itself"],
    ),
    (
        [[*HEAD, "note"], [*CAM, "#N/A"]],
        ["site.xlsx sheet devices row 2, note: holds the error #N/A; mend its formula, or write the value itself"],
    ),
    (
        [["Our devices"], [], HEAD, CAM],
        [
            "site.xlsx sheet devices row 1: the first row must hold the column names, not 'Our devices'; delete what stands above row 3, which holds them"
        ],
    ),
    (
        [[*HEAD, None], [*CAM, "left over"]],
        ["site.xlsx sheet devices row 1: cell 5 is empty, and values stand below it; name the column, or empty it"],
    ),
    ([HEAD], ["site.xlsx sheet devices: has column names and no rows; add a row"]),
    ([], ["site.xlsx: has no sheet called devices, or nothing on it; add it: `equipsel tables` shows its columns"]),
    (
        [HEAD, ["cam", True, "hall", 30]],
        ["site.xlsx sheet devices row 2, watts: 'yes' is not a number of at least 0; write a number"],
    ),
    (
        [HEAD, [*CAM, *[None] * 96, 1]],
        ["site.xlsx sheet devices row 2: has more than 100 columns; leave out what is not part of the table"],
    ),
    (
        [["Wats", *HEAD], [5, *CAM]],
        [
            "site.xlsx sheet devices row 1, Wats: is not a column of this table; did you mean watts? (a column beginning note is carried along)"
        ],
    ),
]


@pytest.mark.parametrize(("devices", "messages"), MESSAGES)
def test_a_wrong_sheet_gives_exactly_these_messages(tmp_path: Path, devices: Rows, messages: list[str]) -> None:
    assert problems_of(write_both(tmp_path, devices=devices)) == messages


def test_a_merged_title_row_is_said_to_be_wrong(tmp_path: Path) -> None:
    write_both(tmp_path)
    book = openpyxl.load_workbook(tmp_path / "site.xlsx")
    book["devices"].insert_rows(1)
    book["devices"]["A1"] = "Device list"
    book["devices"].merge_cells("A1:D1")
    book.save(tmp_path / "site.xlsx")
    assert problems_of(tmp_path / "site.xlsx") == [
        "site.xlsx sheet devices row 1: the first row must hold the column names, not 'Device list'; delete what stands above row 2, which holds them"
    ]


def test_a_missing_sheet(tmp_path: Path) -> None:
    path = write(tmp_path / "site.xlsx", {"scenario": [["key", "value"], ["catalog", "c.xlsx"]]})
    assert problems_of(path)[0] == "site.xlsx: has no sheet called devices, or nothing on it; add it: `equipsel tables` shows its columns"


def test_a_sheet_named_almost_like_a_table(tmp_path: Path) -> None:
    assert problems_of(write_both(tmp_path, Place=[["place"], ["hall"]], Plan=[["anything"]])) == [
        "site.xlsx: its sheet 'Place' is no table, but named almost like places; rename it to places, or to something else"
    ]


def test_two_sheets_of_one_name(tmp_path: Path) -> None:
    assert problems_of(write_both(tmp_path, **{"devices ": [HEAD, CAM]})) == [
        "site.xlsx: has 2 sheets called devices; rename or delete all but one"
    ]


def test_a_hidden_sheet_is_read_and_told_of(tmp_path: Path) -> None:
    write_both(tmp_path)
    book = openpyxl.load_workbook(tmp_path / "site.xlsx")
    book["devices"].sheet_state = "veryHidden"
    book.save(tmp_path / "site.xlsx")
    assert read_site(tmp_path / "site.xlsx").warnings == (
        "site.xlsx sheet devices: is hidden, and is read all the same; rename the sheet if it is not meant",
    )


def test_the_settings_sheet_is_checked_like_the_file(tmp_path: Path) -> None:
    settings = [*SETTINGS, ["rules.years", "many"], ["Rules.Yeers", 1], ["title", "again"], ["rules.span_m", date(2026, 5, 9)]]
    assert problems_of(write_both(tmp_path, scenario=settings)) == [
        "site.xlsx sheet scenario row 7, title: is given twice; keep one of the two rows",
        f"site.xlsx sheet scenario row 8, rules.span_m: holds a date or time, 2026-05-09; {DATE_MEND}",
        "site.xlsx sheet scenario, rules.yeers: is not a rule; did you mean years?",
        "site.xlsx sheet scenario, rules.years: 'many' is not a number of at least 0; write a number",
    ]


def test_what_the_library_says_of_parts_it_does_not_keep_is_not_passed_on(tmp_path: Path, recwarn: pytest.WarningsRecorder) -> None:
    write_both(tmp_path)
    more = b'</sheetData><extLst><ext uri="{CCE6A557-97BC-4b89-ADB6-D9C93CAAB3DF}"/></extLst>'
    edited(tmp_path / "site.xlsx", "xl/worksheets/sheet2.xml", lambda xml: xml.replace(b"</sheetData>", more))
    book = openpyxl.load_workbook(tmp_path / "catalog.xlsx")
    book["switches"]["A1"].font = Font(bold=True)
    book.save(tmp_path / "catalog.xlsx")
    assert read_site(tmp_path / "site.xlsx").scenario.devices
    assert not recwarn.list
