"""The bill of materials."""

from collections.abc import Mapping

from equipsel.columns import Row
from equipsel.files.schedules.schedule import Entry, Schedule, carried_from, schedule
from equipsel.kit import Kit, Line
from equipsel.site import Site

COLUMNS = ("kind", "model", "place", "count", "unit_cost", "cost", "currency")


def bill_of_materials(kit: Kit, site: Site) -> Schedule:
    """The kit's lines; they add up to its cost."""
    entries = (
        Entry({**line.model_dump(), "currency": kit.currency}, carried_from(_row(line, site)))  # a line's fields are the columns
        for line in kit.lines or ()
    )
    return schedule("bill_of_materials", COLUMNS, entries)


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
