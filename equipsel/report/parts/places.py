"""Heat, mains and battery of each place, against what the place has."""

from decimal import Decimal
from fractions import Fraction

from equipsel.heat import AGEING, btu_per_hour, circuit_watts
from equipsel.report.html import Content, paragraph
from equipsel.report.table import Cell, Figure, Row, decimals, figure, table
from equipsel.report.view import View, number_of, total
from equipsel.scenario import Place


def places(view: View) -> tuple[Content, ...]:
    """A row a place: heat to carry away, mains draw and its circuit, outlets, rack space, battery."""
    heads = ("Place", "Units", "Heat W", "Heat BTU/h", "Mains W", "Circuit allows W", "Outlets", "Rack U", "Battery units", "They hold min")
    rows = (_row(name, view) for name in view.places)
    words = (
        "Heat and mains are at the watts reserved. A circuit allows its rating times the share in the rules; "
        "battery times are those of worn units."
    )
    return (paragraph(words, class_="soft"), table("Heat, mains and backup of each place", heads, rows, class_="sort quiet"))


def _row(name: str, view: View) -> Row:
    place = view.site.scenario.place.get(name) or Place(place=name)
    entries = view.budgets_at(name)
    heat, mains = (total(number_of(entry, column) for entry in entries) for column in ("heat_w", "mains_w"))
    batteries = view.facts.batteries.get(name, [])
    models = ", ".join(dict.fromkeys(row.model for row in batteries))
    cells: tuple[Cell, ...] = (
        name,
        figure(len(entries)),
        figure(heat),
        figure(float(btu_per_hour(Fraction(str(heat)))), 0),
        figure(mains),
        _allowed(place, view),
        _used(total(number_of(entry, "outlets") for entry in entries), place.outlets),
        _used(_rack(name, view), place.rack_u),
        f"{len(batteries)} x {models}" if batteries else "none",
        _minutes(name, mains, view),
    )
    return Row(cells)


def _allowed(place: Place, view: View) -> Cell:
    if place.circuit_a is None or place.circuit_v is None:
        return "no limit given"
    return figure(float(circuit_watts(place.circuit_a, place.circuit_v, view.site.rules.circuit_load_pct)))


def _used(used: float, limit: object) -> str:
    return decimals(used) if limit is None else f"{decimals(used)} of {decimals(float(str(limit)))}"


def _rack(name: str, view: View) -> float:
    units = view.facts.by_place.get(name, ())
    rows = [*(row for fact in units for row in (fact.node.model, *fact.node.supplies) if row), *view.facts.batteries.get(name, ())]
    return float(sum((row.rack_u for row in rows), Decimal(0)))


def _minutes(name: str, mains_w: float, view: View) -> Cell:
    """How long the battery units of a place hold its mains load when they are worn, whole minutes."""
    batteries = view.facts.batteries.get(name, [])
    if not batteries or not mains_w:
        return ""
    energy = sum((Fraction(row.watt_hours) * Fraction(row.efficiency) for row in batteries), Fraction(0))
    minutes = int(energy / AGEING * 60 / Fraction(str(mains_w)))
    return Figure(minutes, str(minutes))
