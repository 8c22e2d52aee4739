"""Starter tables run as they are, hold every column of the schema and never overwrite anything."""

import csv
import io
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from equipsel.audit import audit
from equipsel.cli import app
from equipsel.columns import columns
from equipsel.digest import inputs_sha256
from equipsel.files import read_kit, read_site
from equipsel.files.tables import ALL_TABLES, CATALOG_TABLES, SCENARIO_TABLES
from equipsel.kit import Severity
from equipsel.scenario import Rules
from equipsel.starter import starter_folder, starter_workbook


def run(*words: object) -> tuple[int, str]:
    done = CliRunner().invoke(app, [str(word) for word in words])
    return done.exit_code, done.output


@pytest.mark.parametrize("name", ["site", "site.xlsx"])
def test_new_then_kit_then_check_works_untouched(tmp_path: Path, name: str) -> None:
    assert run("new", tmp_path / name)[0] == 0
    code, said = run("kit", tmp_path / name, "--out", tmp_path / "out")
    assert (code, "The cheapest kit: proven." in said) == (0, True)
    assert run("check", tmp_path / "out" / "kit.xlsx")[0] == 0
    assert run("check", tmp_path / name, tmp_path / "out" / "kit.xlsx")[0] == 0
    site = read_site(tmp_path / name)
    found = audit(read_kit(tmp_path / "out" / "kit.json"), site.scenario, site.catalog)
    assert not [finding for finding in found if finding.severity is Severity.ERROR]
    assert not site.warnings


def test_folder_and_workbook_say_the_same(tmp_path: Path) -> None:
    run("new", tmp_path / "site")
    run("new", tmp_path / "site.xlsx")
    assert inputs_sha256(read_site(tmp_path / "site")) == inputs_sha256(read_site(tmp_path / "site.xlsx"))


def test_every_column_is_there_and_every_table_has_an_example() -> None:
    files = starter_folder()
    for model in (*SCENARIO_TABLES, *CATALOG_TABLES):
        header, *rows = csv.reader(io.StringIO(files[f"{model.table}.csv"].decode()))
        assert header == [*(column.name for column in columns(model)), "note"]
        assert rows
        assert all("invented" in row[-1] for row in rows)
    text = files["scenario.toml"].decode()
    assert all(f"{column.name} = " in text for column in columns(Rules))


def test_the_workbook_tells_units_and_offers_lists() -> None:
    book = openpyxl.load_workbook(io.BytesIO(starter_workbook()))
    assert {*book.sheetnames} == {"scenario", *(model.table for model in ALL_TABLES)} - {"rules"}
    devices = book["devices"]
    notes = {cell.value: cell.comment.text for cell in devices[1] if cell.comment}
    assert "unit: m" in notes["run_m"]
    assert "required" in notes["run_m"]
    offers = {str(offer.sqref): offer.formula1 for offer in devices.data_validations.dataValidation}
    letters = {cell.value: cell.column_letter for cell in devices[1]}
    last = 1 + 6 + 500
    assert offers[f"{letters['backup']}2:{letters['backup']}{last}"] == '"yes,no"'
    assert offers[f"{letters['priority']}2:{letters['priority']}{last}"] == '"critical,high,low"'
    assert offers[f"{letters['place']}2:{letters['place']}{last}"] == "'places'!$A$2:$A$501"


def test_the_settings_offer_what_each_rule_takes() -> None:
    page = openpyxl.load_workbook(io.BytesIO(starter_workbook()))["scenario"]
    offers = {str(offer.sqref): offer.formula1 for offer in page.data_validations.dataValidation}
    offered = {page[spot.replace("B", "A")].value: words for spot, words in offers.items()}
    assert offered["rules.budget_basis"] == '"class,stated,granted"'
    assert offered["rules.allow_cca"] == '"yes,no"'
    assert len(offered) == 4


@pytest.mark.parametrize("name", ["site", "site.xlsx"])
def test_nothing_is_overwritten(tmp_path: Path, name: str) -> None:
    run("new", tmp_path / name)
    before = {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    code, said = run("new", tmp_path / name)
    assert (code, "is there already, and nothing is overwritten" in said) == (2, True)
    assert {path: path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_a_folder_with_something_in_it_is_left_alone_and_an_empty_one_is_filled(tmp_path: Path) -> None:
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("mine")
    (tmp_path / "empty").mkdir()
    assert run("new", tmp_path / "full")[0] == 2
    assert [path.name for path in (tmp_path / "full").iterdir()] == ["mine.txt"]
    assert run("new", tmp_path / "empty")[0] == 0


def test_check_without_a_kit_asks_for_one(tmp_path: Path) -> None:
    run("new", tmp_path / "site")
    code, said = run("check", tmp_path / "site")
    assert (code, "no kit is given" in said) == (2, True)
