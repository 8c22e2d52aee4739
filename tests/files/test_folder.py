"""Folders that hold CSV files, a workbook, or both; and CSV files as programs export them."""

import os
from pathlib import Path

import pytest
from books import SETTINGS, table, write
from small_site import CATALOG, SCENARIO, problems_of, read_changed, write_site

from equipsel.files import InputError, read_catalog, read_site
from equipsel.files import source as module

DEVICES = table(SCENARIO["devices.csv"])
RULES = [row for row in SETTINGS if row[0] != "catalog"]
SITE_MEND = module.SCENARIO_MEND
NAMES = "device,watts,place,run_m\nd\u00f4me,5,s\u00e4lchen,30\n"


def test_tables_may_stand_in_csv_files_and_one_workbook(tmp_path: Path) -> None:
    path = write_site(tmp_path, {"devices.csv": None, "supplies.csv": None, "owned.csv": "model,place,count\nplain,hall,1\n"})
    write(path / "Lists of the site.xlsx", {"Devices": DEVICES, "plan": [["anything"]]})
    write(tmp_path / "catalog" / "prices.XLSX", {"supplies": table(CATALOG["supplies.csv"])})
    mixed = read_site(path)
    assert mixed.catalog == read_changed(tmp_path / "..").catalog
    assert (len(mixed.scenario.devices), len(mixed.scenario.owned)) == (3, 1)


def test_the_settings_may_stand_in_the_workbook_too(tmp_path: Path) -> None:
    path = write_site(tmp_path, {"scenario.toml": None})
    write(path / "s.xlsx", {"scenario": [*RULES, ["catalog", "../catalog"]]})
    assert read_site(path).rules.spare_watts_pct == 20


def test_a_folder_with_nothing_but_a_workbook(tmp_path: Path) -> None:
    write_site(tmp_path)
    (tmp_path / "lone").mkdir()
    write(tmp_path / "lone" / "s.xlsx", {"scenario": [*RULES, ["catalog", "../catalog"]], "devices": DEVICES})
    assert len(read_site(tmp_path / "lone").scenario.devices) == 3


def test_marks_of_open_spreadsheets_and_our_own_kit_are_no_tables(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    for name in ("~$devices.xlsx", ".devices.xlsx"):
        (path / name).write_bytes(b"open")
    write(path / "kit.xlsx", {"devices": DEVICES})
    write(path / "walls.xlsx", {"paint": [["colour"]]})
    assert read_site(path).warnings == ()


def test_more_than_one_workbook_in_a_folder(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    for name in ("a.xlsx", "b.xlsm"):
        write(path / name, {"devices": DEVICES})
    assert problems_of(tmp_path, {}) == [
        f"{path}: holds 2 workbooks: a.xlsx, b.xlsm; give the one that is meant instead of the folder, or move the others away"
    ]


def test_a_table_that_stands_in_two_forms(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    write(path / "s.xlsx", {"devices": DEVICES, "scenario": SETTINGS})
    assert problems_of(tmp_path, {}) == [
        "scenario.toml: holds settings that stand in s.xlsx sheet scenario too; keep one of the two",
        "devices.csv: holds a table that stands in s.xlsx sheet devices too; keep one of the two",
    ]


def test_a_table_that_stands_in_neither_form(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    write(path / "s.xlsx", {"places": [["place"], ["hall"]]})
    (path / "devices.csv").unlink()
    with pytest.raises(InputError) as error:
        read_site(path)
    assert [str(problem) for problem in error.value.problems] == [
        "devices.csv: does not exist, and s.xlsx has no sheet called devices; add it: `equipsel tables` shows its columns"
    ]


def test_a_workbook_in_a_folder_that_cannot_be_read(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    (path / "s.xlsx").write_bytes(b"no workbook")
    assert problems_of(tmp_path, {}) == ["s.xlsx: is not a workbook; save it as .xlsx, without a password"]


@pytest.mark.parametrize("name", ["site.xls", "site.ods", "site.xlsb", "site.xltx"])
def test_spreadsheets_of_other_kinds(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"PK")
    with pytest.raises(InputError) as error:
        read_site(tmp_path / name)
    assert str(error.value) == f"{tmp_path}/{name}: is a spreadsheet of a kind that is not read ({Path(name).suffix}); save it as .xlsx"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_texts_in_unicode(tmp_path: Path, encoding: str, delimiter: str) -> None:
    mark = "\ufeff" if encoding in {"utf-16-le", "utf-16-be"} else ""
    site = read_changed(tmp_path, {"devices.csv": (mark + NAMES.replace(",", delimiter)).encode(encoding)})
    assert (site.scenario.devices[0].device, site.scenario.devices[0].place) == ("d\u00f4me", "s\u00e4lchen")
    assert site.warnings == ()


def test_a_table_in_windows_1252_is_read_and_told_of(tmp_path: Path) -> None:
    site = read_changed(tmp_path, {"devices.csv": NAMES.replace("me,", "me \u20ac,").encode("cp1252")})
    assert (site.scenario.devices[0].device, site.scenario.devices[0].place) == ("d\u00f4me \u20ac", "s\u00e4lchen")
    assert site.warnings == (
        "devices.csv: is not UTF-8 text, and is read as Windows-1252; check its accented letters, "
        "or save it in UTF-8 (a spreadsheet calls it CSV UTF-8)",
    )


@pytest.mark.parametrize(
    "content", [b"device\0,watts", "device\0,watts".encode("utf-16"), b"\xe9\0", b"\x89PNG\r\n\x1a\n\0\0", b"\x81\x8d"]
)
def test_what_is_no_text_in_any_of_these(tmp_path: Path, content: bytes) -> None:
    (message,) = problems_of(tmp_path, {"devices.csv": content})
    assert message.endswith("save it as text in UTF-8 (a spreadsheet calls it CSV UTF-8)")


def test_a_stated_separator_quoted_line_ends_and_guarded_texts(tmp_path: Path) -> None:
    text = 'sep=;\r\n"De\nvice";watts;place;run_m;note\r\n"=cam\n1";12,5;hall;\'30;"two\nlines"\r\n\'-b;5;"ha;ll";9;\'=x\r\n'
    rows = read_changed(tmp_path, {"devices.csv": text.replace("De\nvice", "device\n")}).scenario.devices
    assert [(row.device, row.watts is not None and float(row.watts), row.run_m, row.line) for row in rows] == [
        ("=cam 1", 12.5, 30, 3),
        ("-b", 5, 9, 4),
    ]
    assert [row.carried for row in rows] == [(("note", "two\nlines"),), (("note", "=x"),)]


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path, opened = write_site(tmp_path), Path.open

    def refuse(self: Path, *words: str) -> object:
        if self.name == "devices.csv":
            raise PermissionError(13, "Permission denied")
        return opened(self, *words)

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(InputError, match=r"devices\.csv: may not be read; give yourself permission to read it"):
        read_site(path)


@pytest.mark.parametrize("name", ["s.xlsx", "runs.csv", "scenario.toml"])
def test_a_pipe_is_never_waited_for(tmp_path: Path, name: str) -> None:
    path = write_site(tmp_path, {"scenario.toml": None})
    os.mkfifo(path / name)
    with pytest.raises(InputError, match=f"{name}: is a device or pipe, not a file"):
        read_site(path)
    with pytest.raises(InputError):
        read_catalog(path / name)


@pytest.mark.parametrize("name", ["s.xlsx", "runs.csv", "scenario.toml"])
def test_links_to_themselves_and_to_endless_devices(tmp_path: Path, name: str) -> None:
    path = write_site(tmp_path, {"scenario.toml": None})
    (path / name).symlink_to(name)
    with pytest.raises(InputError):
        read_site(path)
    (path / name).unlink()
    (path / name).symlink_to("/dev/zero")
    with pytest.raises(InputError, match=f"{name}: is a device or pipe, not a file"):
        read_site(path)


def test_folders_named_like_files(tmp_path: Path) -> None:
    path = write_site(tmp_path)
    (path / "old.xlsx").mkdir()
    (path / "growth.csv").mkdir()
    assert problems_of(tmp_path, {}) == ["growth.csv: is a folder, not a file; put a file of that name in its place"]


def test_a_catalog_above_the_scenario_and_names_like_paths(tmp_path: Path) -> None:
    text = "device,watts,place,run_m\n../../cam,5,/etc,30\n"
    site = read_changed(tmp_path, {"scenario.toml": 'catalog = "../site/.././catalog"\n', "devices.csv": text})
    assert (site.scenario.devices[0].device, site.scenario.devices[0].place) == ("../../cam", "/etc")
