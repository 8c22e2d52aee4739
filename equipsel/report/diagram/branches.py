"""What leaves each unit, drawn together where it is alike: one branch a group of ports that lead to the same kind of thing."""

from collections.abc import Hashable
from dataclasses import dataclass
from functools import cached_property

from equipsel.console import ranges
from equipsel.files.schedules.plugs import Plug, Port, PortKey, ports
from equipsel.kit import Connection, FedBy, Unit
from equipsel.report.view import View

SINGLY = 16
"""A unit with more branches than this has its devices drawn together by kind instead of by row of the table."""

FREE = Plug("free", "")


@dataclass(frozen=True, slots=True)
class Branch:
    """Ports of one group that lead to like things over like lines. `key` is its id; `port_w` the most one port gives, W."""

    key: str
    ports: tuple[PortKey, ...]
    plugs: tuple[Plug, ...]
    port_w: float

    @property
    def use(self) -> str:
        """What it is: device, switch, injector data, or free."""
        return self.plugs[0].use

    @property
    def runs(self) -> tuple[Connection | FedBy, ...]:
        """Its lines; none for data leads and free ports."""
        return tuple(plug.run for plug in self.plugs if plug.run)

    @property
    def names(self) -> str:
        """What it leads to, numbered names drawn together."""
        return ", ".join(ranges(plug.to for plug in self.plugs))

    @property
    def title(self) -> str:
        """What stands at the end of its line: names, or how many of which kind where several rows of the table end there."""
        devices = {plug.device.device: plug.device for plug in self.plugs if plug.device}
        if len(devices) < 2:
            return self.names
        first = next(iter(devices.values()))
        return f"{len(self.plugs)} x {first.kind or first.device}"

    @property
    def numbers(self) -> str:
        """Its ports' numbers, drawn together: 1-4, 7."""
        found = [one.removeprefix("port.") for one in ranges(f"port.{key[2]}" for key in self.ports)]
        return " ".join((self.ports[0][1], ", ".join(found))).strip()

    @property
    def powers(self) -> bool:
        """Whether power flows over it."""
        return any(run.class_ is not None or run.pse_w for run in self.runs)


@dataclass(frozen=True)
class Branches:
    """The branches of every unit of a kit."""

    view: View

    @cached_property
    def by_unit(self) -> dict[str, list[Branch]]:
        """Branches by unit, in the order of its ports, free ports last."""
        found: dict[str, list[Branch]] = {}
        number = 0
        for unit in self.view.kit.units:
            for held in self._grouped(unit):
                number += 1
                ports_, plugs_ = zip(*held, strict=True)
                branch = Branch(f"line-{number}", tuple(port.key for port in ports_), tuple(plugs_), float(ports_[0].port_w))
                found.setdefault(unit.unit, []).append(branch)
        return found

    @cached_property
    def keys(self) -> dict[PortKey, str]:
        """The id of the branch that each port is drawn in."""
        return {port: branch.key for listed in self.by_unit.values() for branch in listed for port in branch.ports}

    def _grouped(self, unit: Unit) -> list[list[tuple[Port, Plug]]]:
        held = [(port, self.view.plugs.get(port.key, FREE)) for port in ports(unit, self.view.site)]
        singly = _group(held, by_kind=False)
        return singly if len(singly) <= SINGLY else _group(held, by_kind=True)


def _group(held: list[tuple[Port, Plug]], *, by_kind: bool) -> list[list[tuple[Port, Plug]]]:
    found: dict[Hashable, list[tuple[Port, Plug]]] = {}
    for port, plug in sorted(held, key=lambda one: one[1] is FREE):
        found.setdefault(_alike(port, plug, by_kind=by_kind), []).append((port, plug))
    return list(found.values())


def _alike(port: Port, plug: Plug, *, by_kind: bool) -> Hashable:
    """What ports have in common that are drawn as one branch."""
    run, device = plug.run, plug.device
    same = (plug.use, port.key[1], port.port_w)
    if run is None:
        return (*same, plug.to.rsplit(" port ", 1)[0])
    if device is None:
        return (*same, plug.to)
    kind = (device.kind or device.device) if by_kind else device.device
    return (*same, kind, run.class_, device.pd_w, run.cable, tuple(item.model for item in run.extenders))
