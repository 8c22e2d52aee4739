"""The power budget: how each unit is loaded, and the heat, mains draw and outlets to plan for."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from equipsel.columns import Row
from equipsel.files.schedules.plugs import plugs, ports
from equipsel.files.schedules.schedule import Cell, Entry, Schedule, carried_from, plain, schedule
from equipsel.heat import btu_per_hour
from equipsel.kit import Kit, Number, Unit
from equipsel.site import Site

COLUMNS = (
    "place",
    "unit",
    "model",
    "owned",
    "supplies",
    "fed_by",
    "budget_w",
    "reserved_w",
    "free_w",
    "reserved_pct",
    "draw_w",
    "powered_ports",
    "powered_ports_free",
    "data_ports_free",
    "heat_w",
    "heat_btu_h",
    "mains_w",
    "outlets",
    "outlet",
    "circuit",
    "traffic_mbps",
    "uplink_mbps",
    "uplink_to",
)
CORE = "core network"
"""What the uplink of a switch that no other switch feeds leads to; it is not part of a kit."""


def power_budget(kit: Kit, site: Site) -> Schedule:
    """Each unit's budget, what is reserved and drawn of it, free watts and ports, heat, mains watts, outlets, circuit and uplink."""
    return schedule("power_budget", COLUMNS, _entries(kit, site))


def _entries(kit: Kit, site: Site) -> Iterator[Entry]:
    used = plugs(kit, site).keys()
    taken: Counter[str] = Counter()
    for unit in kit.units:
        listed = list(ports(unit, site))
        powered = [port for port in listed if port.port_w > 0]
        free = [port for port in listed if port.key not in used]
        counts: dict[str, Cell] = {
            "powered_ports": len(powered),
            "powered_ports_free": sum(port.port_w > 0 for port in free),
            "data_ports_free": sum(port.port_w == 0 for port in free),
        }
        row = site.catalog.switch.get(unit.model) or site.catalog.injector.get(unit.model)
        carried = carried_from(site.scenario.place.get(unit.place), row, _owned(unit, site))
        yield Entry(_cells(unit) | _watts(unit) | counts | _mains(unit, site, taken) | _uplink(unit, site), carried)


def _cells(unit: Unit) -> dict[str, Cell]:
    return {
        "place": unit.place,
        "unit": unit.unit,
        "model": unit.model,
        "owned": "yes" if unit.owned else "no",
        "supplies": "; ".join(unit.supplies),
        "fed_by": _port_above(unit),
    }


def _port_above(unit: Unit) -> str:
    feed = unit.fed_by
    return " ".join((feed.unit, feed.group, str(feed.port))) if feed else ""


def _mains(unit: Unit, site: Site, taken: Counter[str]) -> dict[str, Cell]:
    """How many outlets a unit takes, which of its place's (numbered as the units are listed), and on what circuit."""
    switch, place = site.catalog.switch.get(unit.model), site.scenario.place.get(unit.place)
    outlets = {"supply": len(unit.supplies), "port": 0}.get(switch.feed if switch else "mains", 1)
    numbers = [str(taken[unit.place] + number) for number in range(1, outlets + 1)]
    taken[unit.place] += outlets
    on_circuit = outlets and place and place.circuit_a and place.circuit_v
    circuit = f"{unit.place}, {plain(place.circuit_a)} A {plain(place.circuit_v)} V" if on_circuit and place else ""
    return {"outlets": outlets, "outlet": " + ".join(numbers), "circuit": circuit}


def _uplink(unit: Unit, site: Site) -> dict[str, Cell]:
    """Traffic and speed of a switch's uplink, and where it lands; an injector has none."""
    switch = site.catalog.switch.get(unit.model)
    speed = plain(switch.uplink_mbps) if switch else None
    return {"traffic_mbps": unit.traffic_mbps, "uplink_mbps": speed, "uplink_to": (_port_above(unit) or CORE) if switch else ""}


def _watts(unit: Unit) -> dict[str, Cell]:
    return {
        "budget_w": unit.budget_w,
        "reserved_w": unit.reserved_w,
        "draw_w": unit.draw_w,
        "heat_w": unit.heat_w,
        "mains_w": unit.mains_w,
        "heat_btu_h": None if unit.heat_w is None else round(float(btu_per_hour(_exact(unit.heat_w))), 1),
        **_load(unit),
    }


def _load(unit: Unit) -> dict[str, Cell]:
    if unit.budget_w is None or unit.reserved_w is None:
        return {"free_w": None, "reserved_pct": None}
    budget, reserved = _exact(unit.budget_w), _exact(unit.reserved_w)
    return {"free_w": plain(budget - reserved), "reserved_pct": plain(round(100 * reserved / budget, 1)) if budget else None}


def _exact(number: Number) -> Decimal:
    return Decimal(str(number))


def _owned(unit: Unit, site: Site) -> Row | None:
    """The row that says a unit was there already."""
    rows = (row for row in site.scenario.owned if unit.owned and (row.model, row.place) == (unit.model, unit.place))
    return next(rows, None)
