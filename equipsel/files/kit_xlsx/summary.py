"""The first sheet: what the kit costs and carries, in live formulas over the other sheets, and where it comes from."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from equipsel.console import how_good
from equipsel.files.kit_xlsx import names
from equipsel.files.schedules.power import CORE
from equipsel.kit import Kit, Severity
from equipsel.site import Site
from equipsel.workbook import Cell, Field, Form, Formula, Sheet, Shown

FIELDS = (Field("Item", width=36), Field("Value", form=Form.PLAIN, width=70), Field("Unit", width=14))
COST, LOWER_BOUND, GAP, STATUS, VERSION, INPUTS = "Cost", "No kit can cost less than", "Gap", "Status", "Made by", "SHA-256 of the inputs"
CURRENCY = "Currency"
TOOL = "equipsel "
Row = tuple[Cell, ...]


def summary_sheet(kit: Kit, site: Site, pages: dict[str, Sheet], title: str) -> Sheet:
    """What it is, what it costs by kind, what it carries, what the re-check found, and what it was made from."""
    rows = [*_answer(kit, title), *_costs(kit, pages[names.BILL]), *_carries(kit, site, pages), *_found(kit, pages), *_origin(kit)]
    return Sheet(names.SUMMARY, title, FIELDS, rows, filtered=False)


def _answer(kit: Kit, title: str) -> Iterator[Row]:
    yield "Site", title, ""
    yield "Answer", how_good(kit), ""
    yield STATUS, kit.status.value, ""
    yield CURRENCY, kit.currency, ""


def _costs(kit: Kit, bill: Sheet) -> Iterator[Row]:
    columns = {field.title: bill.cells(number) for number, field in enumerate(bill.fields)}
    lines = kit.lines or ()
    yield COST, Shown(Formula(f"=SUM({columns['Cost']})", _sum(line.cost for line in lines)), Form.MONEY), kit.currency
    for kind in dict.fromkeys(line.kind for line in lines):
        of_kind = _sum(line.cost for line in lines if line.kind == kind)
        formula = Formula(f'=SUMIF({columns["Kind"]},"{kind}",{columns["Cost"]})', of_kind)
        yield f"  of which: {kind}", Shown(formula, Form.MONEY), kit.currency
    if kit.lower_bound is not None:
        yield LOWER_BOUND, Shown(kit.lower_bound, Form.MONEY), kit.currency
    if kit.gap is not None:
        yield GAP, kit.gap, "of the cost"


def _carries(kit: Kit, site: Site, pages: dict[str, Sheet]) -> Iterator[Row]:
    power, cables = pages[names.POWER], pages[names.CABLES]
    at = {field.heading: power.cells(number) for number, field in enumerate(power.fields)}
    yield "Devices", sum(device.count for device in site.scenario.devices), ""
    yield "Switches and injectors", Formula(f"=COUNTA({at['Unit']})", len(kit.units)), ""
    yield "Cable runs", Formula(f"=COUNT({cables.cells(0)})", len(cables.rows)), ""
    for item, heading, values in (
        ("Watts reserved", "Reserved, W", (unit.reserved_w for unit in kit.units)),
        ("Budget of all units", "Budget, W", (unit.budget_w for unit in kit.units)),
        ("Mains draw", "Mains draw, W", (unit.mains_w for unit in kit.units)),
        ("Heat", "Heat, W", (unit.heat_w for unit in kit.units)),
    ):
        yield item, Shown(Formula(f"=SUM({at[heading]})", _sum(values)), Form.ONE), "W"
    high = at["High load"]
    now = sum(isinstance(cell, Formula) and bool(cell.value) for row in power.rows for cell in _column(power, row, "High load"))
    yield "Units loaded above 80 %", Formula(f'=COUNTIF({high},"above*")', now), ""
    uplinks = sum(cell == CORE for row in power.rows for cell in _column(power, row, "Uplink lands on"))
    yield "Uplinks to land on the core network", Formula(f'=COUNTIF({at["Uplink lands on"]},"{CORE}")', uplinks), ""


def _column(sheet: Sheet, row: Iterable[Cell], heading: str) -> Iterator[Cell]:
    yield from (cell for field, cell in zip(sheet.fields, row, strict=True) if field.heading == heading)


def _found(kit: Kit, pages: dict[str, Sheet]) -> Iterator[Row]:
    where = pages[names.FINDINGS].cells(0)
    for severity in Severity:
        now = sum(finding.severity is severity for finding in kit.findings)
        yield f"{severity.value.capitalize()}s of the re-check", Formula(f'=COUNTIF({where},"{severity.value}")', now), ""


def _origin(kit: Kit) -> Iterator[Row]:
    yield VERSION, f"{TOOL}{kit.tool_version or ''}".strip(), ""
    yield INPUTS, kit.inputs_sha256, ""
    yield "The inputs", "are the last sheets: `equipsel check` re-checks the kit from them", ""


def _sum(values: Iterable[float | None]) -> Decimal:
    return sum((Decimal(str(value)) for value in values if value is not None), Decimal(0))
