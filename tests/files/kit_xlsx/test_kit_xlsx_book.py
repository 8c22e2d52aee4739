"""kit.xlsx agrees with its kit, holds its inputs, and is the same for the same kit."""

import io
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from equipsel.audit import audit
from equipsel.digest import inputs_sha256
from equipsel.files import kit_files, read_kit, read_site
from equipsel.kit import Kit, Severity
from equipsel.scenario import Owned
from equipsel.site import Site
from equipsel.solve import cheapest_kit
from equipsel.starter import starter_folder
from equipsel.variants import with_tables

WORKSHOP = Path(__file__).parents[3] / "scenarios" / "workshop"


@pytest.fixture(scope="module")
def starter(tmp_path_factory: pytest.TempPathFactory) -> tuple[Kit, Site, Path]:
    """The solved starter: extenders, an injector, a fed switch, something owned; its kit.xlsx on disk."""
    folder = tmp_path_factory.mktemp("starter")
    for name, content in starter_folder().items():
        (folder / name).write_bytes(content)
    site = read_site(folder)
    kit = cheapest_kit(site.scenario, site.catalog)
    (folder / "kit.xlsx").write_bytes(kit_files(kit, site)["kit.xlsx"])
    return kit, site, folder / "kit.xlsx"


@pytest.fixture(scope="module")
def book(starter: tuple[Kit, Site, Path]) -> Any:
    return openpyxl.load_workbook(starter[2], data_only=True)


def column(page: Any, heading: str) -> list[Any]:
    at = next(cell.column for cell in page[1] if cell.value == heading)
    return [page.cell(row, at).value for row in range(2, page.max_row + 1)]


def test_sheets_to_hand_on_come_first_then_the_inputs(book: Any) -> None:
    handed = ["summary", "bill of materials", "port schedule", "cable schedule", "power budget", "heat and mains", "findings"]
    assert book.sheetnames[:9] == [*handed, "not included", "kit as owned"]
    assert book.sheetnames[9:13] == ["scenario", "places", "devices", "runs"]


def test_totals_are_the_kits(starter: tuple[Kit, Site, Path], book: Any) -> None:
    kit = starter[0]
    assert column(book["bill of materials"], "Cost, EUR")[-1] == kit.cost
    said = dict(zip(column(book["summary"], "Item"), column(book["summary"], "Value"), strict=True))
    assert said["Cost"] == kit.cost
    assert sum(Decimal(str(said[item])) for item in said if item and "of which" in item) == Decimal(str(kit.cost))
    assert said["SHA-256 of the inputs"] == kit.inputs_sha256
    assert column(book["power budget"], "Mains draw, W")[-1] == column(book["heat and mains"], "Mains draw, W")[-1]


def test_loads_above_80_per_cent_are_told_in_a_word(book: Any) -> None:
    page = book["power budget"]
    loads, words = column(page, "Load, %")[:-1], column(page, "High load")[:-1]
    assert [bool(word) for word in words] == [load > 80 for load in loads]
    assert "above 80 % (1 port)" in words
    assert [str(area.sqref) for area in page.conditional_formatting] == ["I2:I5"]


def test_the_cable_schedule_has_room_for_readings(book: Any) -> None:
    headings = [cell.value for cell in book["cable schedule"][1]]
    assert headings[-5:] == ["Measured, V", "Measured, A", "Tested by", "Date", "Remark"]
    assert any(text and "at 100 m" in text for text in column(book["cable schedule"], "Extenders"))


def test_the_workbook_is_its_own_scenario_and_catalog(starter: tuple[Kit, Site, Path]) -> None:
    assert inputs_sha256(read_site(starter[2])) == starter[0].inputs_sha256


def test_the_kit_comes_back_from_its_workbook(starter: tuple[Kit, Site, Path]) -> None:
    kit, _, path = starter
    found = read_kit(path)
    assert found.lines == kit.lines
    assert (found.cost, found.lower_bound, found.status, found.inputs_sha256) == (kit.cost, kit.lower_bound, kit.status, kit.inputs_sha256)
    stated = [one.model_copy(update={"loss_w": None}) for one in kit.connections]
    assert sorted(found.connections, key=lambda one: one.device) == sorted(stated, key=lambda one: one.device)
    fed = [unit.fed_by.model_copy(update={"loss_w": None}) if unit.fed_by else None for unit in kit.units]
    assert found.units == tuple(unit.model_copy(update={"fed_by": feed}) for unit, feed in zip(kit.units, fed, strict=True))


def test_a_workbook_that_breaks_a_rule_is_found_out(starter: tuple[Kit, Site, Path], tmp_path: Path) -> None:
    kit, site, _ = starter
    path = tmp_path / "changed.xlsx"
    path.write_bytes(kit_files(kit.model_copy(update={"connections": kit.connections[1:]}), site)["kit.xlsx"])
    again = read_site(path)
    errors = [one for one in audit(read_kit(path), again.scenario, again.catalog) if one.severity is Severity.ERROR]
    assert any(kit.connections[0].device in one.where for one in errors)


def test_a_kit_fed_back_as_owned_costs_at_least_its_price_less(book: Any, starter: tuple[Kit, Site, Path]) -> None:
    kit, site, _ = starter
    listed = [[cell.value for cell in row] for row in book["kit as owned"].iter_rows(min_row=2)]
    again = with_tables(site, owned=tuple(Owned(model=model, place=place, count=count) for model, place, count in listed))
    cost = cheapest_kit(again.scenario, again.catalog).cost
    equipment = sum(line.cost for line in kit.lines or () if line.kind in {"switch", "supply", "injector"})
    assert kit.cost is not None
    assert cost is not None
    assert equipment > 0
    assert cost <= kit.cost - equipment + 0.001


def test_the_same_kit_gives_the_same_bytes_whatever_it_took(starter: tuple[Kit, Site, Path]) -> None:
    kit, site, path = starter
    assert kit_files(kit.model_copy(update={"seconds": 99.0}), site)["kit.xlsx"] == path.read_bytes()


def test_a_kit_of_nothing_is_a_workbook_too() -> None:
    site = read_site(WORKSHOP)
    content = kit_files(Kit(lines=()), site)["kit.xlsx"]
    assert openpyxl.load_workbook(io.BytesIO(content))["port schedule"].max_row <= 3
