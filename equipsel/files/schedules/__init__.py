"""The schedules of a kit: what to order, where each port leads, which cable goes where, how each unit is loaded, and what is there then."""

from equipsel.files.schedules.bill import bill_of_materials
from equipsel.files.schedules.cables import cable_schedule
from equipsel.files.schedules.owned import kit_as_owned
from equipsel.files.schedules.ports import port_schedule
from equipsel.files.schedules.power import power_budget
from equipsel.files.schedules.schedule import Schedule
from equipsel.kit import Kit
from equipsel.site import Site

SCHEDULES = (bill_of_materials, port_schedule, cable_schedule, power_budget, kit_as_owned)

__all__ = ["SCHEDULES", "Schedule", "schedules"]


def schedules(kit: Kit, site: Site) -> tuple[Schedule, ...]:
    """Every schedule of a kit of this site. The kit is one that passed its re-check: its names are known."""
    return tuple(make(kit, site) for make in SCHEDULES)
