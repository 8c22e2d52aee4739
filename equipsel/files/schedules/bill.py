"""The bill of materials."""

from collections.abc import Mapping
from math import ceil

from equipsel.columns import Row
from equipsel.files.schedules.schedule import Cell, Entry, Schedule, carried_from, plain, schedule
from equipsel.kit import Kit, Line
from equipsel.site import Site

COLUMNS = ("kind", "model", "place", "count", "measure", "unit_cost", "cost", "currency", "order")
PIECES = frozenset({"switch", "supply", "injector", "extender", "backup", "extra"})
"""Kinds of line that are counted in pieces."""


def bill_of_materials(kit: Kit, site: Site) -> Schedule:
    """The kit's lines, which add up to its cost, what each is counted in, and how many to order: whole metres and boxes, none owned."""
    entries = (
        Entry({**line.model_dump(), **_order(line, site), "currency": kit.currency}, carried_from(_row(line, site)))
        for line in kit.lines or ()  # a line's fields are columns
    )
    return schedule("bill_of_materials", COLUMNS, entries)


def _order(line: Line, site: Site) -> dict[str, Cell]:
    if line.kind in PIECES:
        there = not line.unit_cost and site.owned()[line.place or "", line.model]
        return {"measure": "owned" if there else "piece", "order": 0 if there else plain(line.count)}
    cable = site.catalog.cable_models.get(line.model) if line.kind == "cable" else None
    if cable and cable.sold_m:
        return {"measure": f"box of {plain(cable.sold_m)} m", "order": ceil(line.count)}
    measure = {"cable": "m", "energy": "kWh"}.get(line.kind, "")
    return {"measure": measure, "order": ceil(line.count) if cable else None}


def _row(line: Line, site: Site) -> Row | None:
    """The table row that a line comes from, if there is one."""
    catalog = site.catalog
    if line.kind == "place":
        return site.scenario.place.get(line.place or "")
    if line.kind == "extra":
        return next((row for row in catalog.extras if row.item == line.model), None)
    tables: dict[str, Mapping[str, Row]] = {
        "switch": catalog.switch,
        "supply": catalog.supply,
        "injector": catalog.injector,
        "extender": catalog.extender,
        "cable": catalog.cable_models,
        "backup": catalog.battery,
    }
    return tables[line.kind].get(line.model) if line.kind in tables else None
