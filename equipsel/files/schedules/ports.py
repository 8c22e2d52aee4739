"""The port schedule: every port of every unit, free ones too, as it is labelled and patched."""

from collections.abc import Iterator

from equipsel.files.schedules.plugs import Plug, Port, plugs, ports
from equipsel.files.schedules.schedule import Cell, Entry, Schedule, carried_from, device_amps, extender_words, plain, schedule
from equipsel.kit import Kit, Unit
from equipsel.site import Site

COLUMNS = (
    "place",
    "unit",
    "model",
    "group",
    "port",
    "port_w",
    "use",
    "connected_to",
    "class",
    "reserved_w",
    "pse_w",
    "pd_w",
    "pd_volts",
    "pd_amps",
    "amps",
    "run_m",
    "cable",
    "extenders",
)
FREE = Plug("free", "")


def port_schedule(kit: Kit, site: Site) -> Schedule:
    """Every port of every unit: what it leads to, its class, watts reserved, and volts and amps at the device."""
    return schedule("port_schedule", COLUMNS, _entries(kit, site))


def _entries(kit: Kit, site: Site) -> Iterator[Entry]:
    used = plugs(kit, site)
    for unit in kit.units:
        for port in ports(unit, site):
            plug = used.get(port.key, FREE)
            group = next((row for row in site.catalog.groups.get(unit.model, ()) if row.group == port.key[1]), None)
            yield Entry(_port_cells(unit, port, plug) | _line_cells(plug), carried_from(group, plug.device))


def _port_cells(unit: Unit, port: Port, plug: Plug) -> dict[str, Cell]:
    _, group, number = port.key
    return {
        "place": unit.place,
        "unit": unit.unit,
        "model": unit.model,
        "group": group,
        "port": number,
        "port_w": plain(port.port_w),
        "use": plug.use,
        "connected_to": plug.to,
    }


def _line_cells(plug: Plug) -> dict[str, Cell]:
    """What the line from a port carries; empty for a free port."""
    run = plug.run
    cells: dict[str, Cell] = {name: getattr(run, name, None) for name in ("reserved_w", "pse_w", "pd_w", "pd_volts", "amps")}
    return cells | {
        "pd_amps": device_amps(run),
        "class": run.class_ if run else None,
        "run_m": plain(run.run_m) if run else None,
        "cable": run.cable if run else None,
        "extenders": extender_words(run.extenders) if run else "",
    }
