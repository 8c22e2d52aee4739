"""What is plugged in where, looked up by unit, group and port."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from equipsel.kit import Connection, FedBy, Kit, Unit
from equipsel.scenario import Device
from equipsel.site import Site

PortKey = tuple[str, str, int]
"""Unit, port group (empty on an injector), number of the port."""


@dataclass(frozen=True, slots=True)
class Plug:
    """What one port holds: `use` is device, switch, or injector data; `run` is the line that starts here (None: a data lead)."""

    use: str
    to: str
    run: Connection | FedBy | None = None
    device: Device | None = None


@dataclass(frozen=True, slots=True)
class Port:
    """One port of a unit as the catalog describes it."""

    key: PortKey
    port_w: Decimal


def plugs(kit: Kit, site: Site) -> dict[PortKey, Plug]:
    """Every used port of a kit, with what is plugged into it."""
    devices = {name: row for row in site.scenario.devices for name in row.names}
    found: dict[PortKey, Plug] = {}
    for connection in kit.connections:
        found |= _plugs_of(connection, Plug("device", connection.device, connection, devices[connection.device]))
    for unit in kit.units:
        if unit.fed_by:
            found |= _plugs_of(unit.fed_by, Plug("switch", unit.unit, unit.fed_by))
    return found


def _plugs_of(run: Connection | FedBy, plug: Plug) -> Mapping[PortKey, Plug]:
    """The port that a run starts at, and with an injector the switch port that carries its data."""
    if run.injector is None:
        return {(run.unit, run.group, run.port): plug}
    lead = Plug("injector data", f"{run.injector.unit} port {run.injector.port}")
    return {(run.unit, run.group, run.port): lead, (run.injector.unit, "", run.injector.port): plug}


def ports(unit: Unit, site: Site) -> Iterator[Port]:
    """Every port of a unit, in the order of its groups."""
    injector = site.catalog.injector.get(unit.model)
    if injector:
        yield from (Port((unit.unit, "", number), injector.port_w) for number in range(1, injector.ports + 1))
        return
    for group in site.catalog.groups[unit.model]:
        yield from (Port((unit.unit, group.group, number), group.port_w) for number in range(1, group.count + 1))
