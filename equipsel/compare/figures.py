"""What options are judged by: figures of a kit."""

from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from equipsel.catalog import Catalog
from equipsel.compare.trade_off import models_of, runs_of
from equipsel.heat import HOURS_A_YEAR
from equipsel.kit import Kit, Line
from equipsel.site import Site

Better = Literal["less", "more"]
Figures = dict[str, float | None]


@dataclass(frozen=True)
class Criterion:
    """A figure: its key, what it is called with its unit ({} the currency), which is better, and its decimals."""

    key: str
    heading: str
    better: Better = "less"
    decimals: int = 0


CRITERIA = (
    Criterion("cost", "cost {}", decimals=2),
    Criterion("equipment", "equipment {}", decimals=2),
    Criterion("installation", "installation {}", decimals=2),
    Criterion("cable", "cable, pulled {}", decimals=2),
    Criterion("energy", "energy {}", decimals=2),
    Criterion("units", "units"),
    Criterion("spare_w", "spare W", "more", 1),
    Criterion("spare_pct", "least spare of a unit %", "more", 1),
    Criterion("spare_ports", "free powered ports", "more"),
    Criterion("heat_w", "heat W", decimals=1),
    Criterion("kwh_a_year", "energy a year kWh", decimals=0),
    Criterion("rack_u", "rack space U", decimals=1),
    Criterion("models", "different models"),
    Criterion("failures", "points of failure"),
    Criterion("devices_lost", "devices lost at worst"),
    Criterion("gap_pct", "gap %", decimals=2),
)


def figures(kit: Kit, site: Site) -> Figures:
    """Every figure of a kit; money in the currency. Equipment is prices (of extras and batteries too); the rest is installation."""
    if kit.cost is None:
        return {}
    lines = kit.lines or ()
    energy, cable = (_money(line for line in lines if line.kind == kind) for kind in ("energy", "cable"))
    equipment = sum((_prices(line, site.catalog) for line in lines), Decimal(0))
    cost = Decimal(str(kit.cost))
    spare = _spare(kit, site)
    return {
        "cost": float(cost),
        "equipment": float(equipment),
        "installation": float(cost - equipment - cable - energy),
        "cable": float(cable),
        "energy": float(energy),
        "units": len(kit.units),
        **spare,
        "heat_w": round(sum(unit.heat_w or 0 for unit in kit.units), 1),
        "kwh_a_year": round(sum(unit.heat_w or 0 for unit in kit.units) * HOURS_A_YEAR / 1000),
        "rack_u": float(sum((_rack_u(kit, site.catalog)), Decimal(0))),
        "models": len(models_of(kit)),
        "failures": _failures(kit, site),
        "devices_lost": _devices_lost(kit),
        "gap_pct": round(100 * (kit.gap or 0), 2),
    }


def best(column: Criterion, all_figures: list[Figures]) -> set[int]:
    """Positions of the best options in a figure; none where all that have it are alike."""
    known = {place: value for place, found in enumerate(all_figures) if (value := found.get(column.key)) is not None}
    if len(set(known.values())) < 2:
        return set()
    pick: Callable[[Any], float] = min if column.better == "less" else max
    top = pick(known.values())
    return {place for place, value in known.items() if value == top}


def _money(lines: Any) -> Decimal:
    return sum((Decimal(str(line.cost)) for line in lines), Decimal(0))


def _prices(line: Line, catalog: Catalog) -> Decimal:
    """Bare prices on a line: nothing for what is owned, which stands there at no cost."""
    if not line.cost:
        return Decimal(0)
    if line.kind == "extra":
        rows: list[Any] = [
            row for row in catalog.extras if row.item == line.model and float(row.price + row.install_cost) == line.unit_cost
        ]
    else:
        tables = {"switch": "switch", "supply": "supply", "injector": "injector", "extender": "extender", "backup": "battery"}
        rows = [getattr(catalog, tables[line.kind])[line.model]] if line.kind in tables else []
    return Decimal(str(line.count)) * rows[0].price if rows else Decimal(0)


def _spare(kit: Kit, site: Site) -> Figures:
    loaded = [unit for unit in kit.units if unit.budget_w and unit.reserved_w is not None]
    free = sum((unit.budget_w or 0) - (unit.reserved_w or 0) for unit in loaded)
    powered = {row.model: row.ports for row in site.catalog.injectors}
    powered |= {model: sum(row.count for row in groups if row.port_w) for model, groups in site.catalog.groups.items()}
    several = [unit for unit in loaded if powered[unit.model] > 1]
    least = min((1 - (unit.reserved_w or 0) / (unit.budget_w or 1) for unit in several), default=None)
    return {
        "spare_w": round(free, 1),
        "spare_pct": None if least is None else round(100 * least, 1),
        "spare_ports": sum(powered[unit.model] for unit in kit.units) - _powered_used(kit, site),
    }


def _powered_used(kit: Kit, site: Site) -> int:
    """Powered ports with anything in them: data leads too."""
    watts = {(model, row.group): row.port_w for model, groups in site.catalog.groups.items() for row in groups}
    model_of = {unit.unit: unit.model for unit in kit.units}
    on_switches = sum(bool(watts.get((model_of[run.unit], run.group))) for run in runs_of(kit))
    return on_switches + sum(run.injector is not None for run in runs_of(kit))


def _rack_u(kit: Kit, catalog: Catalog) -> list[Decimal]:
    rows: dict[str, Any] = {**catalog.switch, **catalog.injector}
    units = [rows[unit.model].rack_u + sum(catalog.supply[name].rack_u for name in unit.supplies) for unit in kit.units]
    batteries = [line for line in kit.lines or () if line.kind == "backup"]
    return units + [catalog.battery[line.model].rack_u * int(line.count) for line in batteries]


def _failures(kit: Kit, site: Site) -> int:
    """Things whose failure takes power or data from a device: units, extenders, and supplies where they are not N+1."""
    supplies = 0 if site.rules.redundant_supplies else sum(len(unit.supplies) for unit in kit.units)
    return len(kit.units) + supplies + sum(len(run.extenders) for run in runs_of(kit))


def _devices_lost(kit: Kit) -> int:
    """The most devices that lose power or data when one unit fails."""
    on: dict[str, set[str]] = defaultdict(set)
    for one in kit.connections:
        on[one.unit].add(one.device)
        if one.injector:
            on[one.injector.unit].add(one.device)
    for _ in kit.units:
        for unit in kit.units:
            if unit.fed_by:
                above = {unit.fed_by.unit, *([unit.fed_by.injector.unit] if unit.fed_by.injector else [])}
                for name in above:
                    on[name] |= on[unit.unit]
    return max((len(devices) for devices in on.values()), default=0)


def differences(kits: list[Kit | None]) -> list[tuple[str, str, list[float | None]]]:
    """Kind, model and counts (None: no kit) of what is not the same on every bill of materials, money lines left out."""
    counts: list[Counter[tuple[str, str]]] = []
    for kit in kits:
        found: Counter[tuple[str, str]] = Counter()
        for line in (kit.lines if kit and kit.lines else ()) or ():
            if line.kind not in {"energy", "place"}:
                found[line.kind, line.model] += line.count  # type: ignore[assignment]  # metres of cable are not whole
        counts.append(found)
    known = [place for place, kit in enumerate(kits) if kit and kit.cost is not None]
    keys = dict.fromkeys(key for found in counts for key in found)
    return [
        (*key, [found[key] if place in known else None for place, found in enumerate(counts)])
        for key in keys
        if len({counts[place][key] for place in known}) > 1
    ]
