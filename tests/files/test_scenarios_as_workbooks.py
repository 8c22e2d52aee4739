"""The scenarios that come with the project give the same kit as folders, as workbooks, and as folders that hold one."""

import csv
import io
import re
import shutil
from pathlib import Path
from typing import Any

import pytest
from books import number, write_shared
from typer.testing import CliRunner

from equipsel.cli import app
from equipsel.files import read_site
from equipsel.files.settings import read_toml
from equipsel.site import Site

ROOT = Path(__file__).parent.parent.parent
SCENARIOS = ("workshop", "school", "yard")


def sheets(folder: Path) -> dict[str, list[list[Any]]]:
    texts = {path.stem: path.read_text(encoding="utf-8") for path in sorted(folder.glob("*.csv"))}
    return {name: [[number(cell) for cell in row] for row in csv.reader(io.StringIO(text))] for name, text in texts.items()}


def settings(folder: Path, catalog: str) -> list[list[Any]]:
    flat, _ = read_toml(folder / "scenario.toml", "scenario.toml")
    return [["Key", "Value"], *([key, number(value)] for key, value in {**flat, "catalog": catalog}.items())]


def as_workbooks(folder: Path, scenario: Path) -> Path:
    write_shared(folder / "prices.xlsx", sheets(ROOT / "catalogs" / "generic"))
    return write_shared(folder / "site.xlsx", {"scenario": settings(scenario, "prices.xlsx"), **sheets(scenario)})


def half_and_half(folder: Path, scenario: Path) -> Path:
    mixed = folder / "mixed"
    shutil.copytree(scenario, mixed)
    write_shared(folder / "prices.xlsx", sheets(ROOT / "catalogs" / "generic"))
    (mixed / "scenario.toml").unlink()
    (mixed / "devices.csv").unlink()
    write_shared(mixed / "site.xlsx", {"scenario": settings(scenario, "../prices.xlsx"), "devices": sheets(scenario)["devices"]})
    return mixed


def tables(site: Site) -> tuple[Any, Any]:
    return site.catalog.model_dump(), site.scenario.model_dump(exclude={"catalog"})


@pytest.mark.parametrize("name", SCENARIOS)
@pytest.mark.parametrize("form", [as_workbooks, half_and_half])
def test_every_table_is_read_the_same(tmp_path: Path, name: str, form: Any) -> None:
    scenario = ROOT / "scenarios" / name
    assert tables(read_site(form(tmp_path, scenario))) == tables(read_site(scenario))


def kit_of(path: Path) -> str:
    done = CliRunner().invoke(app, ["kit", str(path), "--json"])
    assert done.exit_code == 0
    return re.sub(r'"seconds": [0-9.]+', '"seconds": 0', done.stdout)


def assert_same_kit(folder: Path, name: str) -> None:
    scenario = ROOT / "scenarios" / name
    assert kit_of(as_workbooks(folder, scenario)) == kit_of(scenario)


def test_the_workshop_s_kit_is_the_same_byte_for_byte(tmp_path: Path) -> None:
    assert_same_kit(tmp_path, "workshop")


@pytest.mark.slow
@pytest.mark.parametrize("name", ["school", "yard"])
def test_the_kits_of_the_larger_sites_are_the_same_byte_for_byte(tmp_path: Path, name: str) -> None:
    assert_same_kit(tmp_path, name)
