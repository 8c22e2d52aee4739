"""kit.xlsx and compare.xlsx opened by LibreOffice (Debian package libreoffice-calc) recalculate to the same totals, with no error cell.

LibreOffice is told to recalculate always when it loads (its setting OOXMLRecalcMode = 0), so that its values are its own.
"""

import subprocess
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path
from random import Random
from typing import Any

import openpyxl
import pytest
from tools import tool

from equipsel.audit import audit
from equipsel.compare.book import comparison_workbook
from equipsel.compare.break_even import BreakEven, Verdict
from equipsel.compare.comparison import Comparison
from equipsel.compare.near import Near, NearKit
from equipsel.compare.options import Option
from equipsel.compare.trade_off import Curve, Point
from equipsel.files import kit_files, read_kit, read_site
from equipsel.files.kit_xlsx.schedules import bill_sheet
from equipsel.files.schedules import Schedule
from equipsel.kit import Kit, Severity
from equipsel.site import Site
from equipsel.solve import cheapest_kit
from equipsel.starter import starter_folder, starter_workbook
from equipsel.workbook import Field, Form, Formula, Sheet, workbook

RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""
TIES = 1000


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the starter's kit.xlsx, the starter workbook, and a bill of hard cases, and each recalculated in `again`."""
    soffice = tool("soffice", "libreoffice-calc")
    folder = tmp_path_factory.mktemp("office")
    (folder / "site").mkdir()
    for name, content in starter_folder().items():
        (folder / "site" / name).write_bytes(content)
    site = read_site(folder / "site")
    kit = cheapest_kit(site.scenario, site.catalog)
    (folder / "kit.xlsx").write_bytes(kit_files(kit, site)["kit.xlsx"])
    (folder / "compare.xlsx").write_bytes(comparison_workbook(_comparison(kit, site)))
    (folder / "starter.xlsx").write_bytes(starter_workbook())
    (folder / "ties.xlsx").write_bytes(workbook([bill_sheet(_ties(), "half cents", "EUR")], title="half cents"))
    spoilt = Sheet("s", "", [Field("a", form=Form.PLAIN)], [(Formula("=1+1", 5),)])
    (folder / "spoilt.xlsx").write_bytes(workbook([spoilt], title="a cached value that is wrong"))
    profile = folder / "profile" / "user"
    profile.mkdir(parents=True)
    (profile / "registrymodifications.xcu").write_text(RECALCULATE)
    command = [soffice, f"-env:UserInstallation=file://{profile.parent}", "--headless", "--convert-to", "xlsx", "--outdir"]
    books = [str(folder / name) for name in ("kit.xlsx", "compare.xlsx", "starter.xlsx", "ties.xlsx", "spoilt.xlsx")]
    subprocess.run([*command, str(folder / "again"), *books], check=True, capture_output=True, timeout=180)
    return folder


def _ties() -> Schedule:
    """Lines whose cost lies on, or next to, half a cent, where binary arithmetic is likeliest to round the other way."""
    random = Random(7)
    rows: list[tuple[Any, ...]] = []
    for _ in range(TIES):
        count = random.randint(1, 5000) / 10
        price = random.randint(1, 400_000) / 200
        cost = (Decimal(str(count)) * Decimal(str(price))).quantize(Decimal("0.01"), ROUND_HALF_UP)
        rows.append(("cable", "x", "", count, "m", price, float(cost), "EUR", None))
    return Schedule(
        "bill_of_materials", ("kind", "model", "place", "count", "measure", "unit_cost", "cost", "currency", "order"), tuple(rows)
    )


def _comparison(kit: Kit, site: Site) -> Comparison:
    """Every sheet with a formula on it."""
    cost = Decimal(str(kit.cost))
    dearer = kit.model_copy(update={"cost": float(cost + 7)})
    found = Comparison([Option("list", "", site), Option("list", "a rule", site)], {0: kit, 1: dearer})
    found.near = Near(tuple(NearKit(cost + at, {"plain": at}, kit) for at in range(3)), Decimal(3), True, 1, True)
    found.curves = {2: Curve("spare", tuple(Point(Fraction(at, 3), cost + at, kit) for at in range(3)), True)}
    found.break_even = {3: BreakEven("plain", "switch", Decimal("9.99"), Verdict.BOUGHT, Decimal("12.5"), 1, cost + 3)}
    return found


def cells(path: Path) -> dict[tuple[str, str], Any]:
    book = openpyxl.load_workbook(path, data_only=True)
    return {(page.title, cell.coordinate): cell.value for page in book for row in page for cell in row if cell.value not in (None, "")}


@pytest.mark.parametrize("name", ["kit.xlsx", "compare.xlsx", "starter.xlsx", "ties.xlsx"])
def test_recalculated_values_are_ours(made: Path, name: str) -> None:
    ours, theirs = cells(made / name), cells(made / "again" / name)
    assert ours.keys() == theirs.keys()
    assert not [spot for spot, value in theirs.items() if isinstance(value, str) and value.startswith(("#", "Err:"))]
    different = {
        spot: (value, theirs[spot])
        for spot, value in ours.items()
        if (abs(value - theirs[spot]) > 1e-9 * max(1, abs(value)) if isinstance(value, int | float) else value != theirs[spot])
    }
    assert different == {}


def test_it_did_recalculate(made: Path) -> None:
    assert cells(made / "spoilt.xlsx")["s", "A2"] == 5
    assert cells(made / "again" / "spoilt.xlsx")["s", "A2"] == 2


def test_a_workbook_saved_by_another_program_is_still_a_kit_and_its_site(made: Path) -> None:
    path = made / "again" / "kit.xlsx"
    site = read_site(path)
    kit = read_kit(path)
    assert not [one for one in audit(kit, site.scenario, site.catalog) if one.severity is Severity.ERROR]
    assert kit.lines == read_kit(made / "kit.xlsx").lines
