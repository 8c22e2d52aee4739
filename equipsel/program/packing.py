"""Packing a pool exactly: which unit of like units each plug goes to, so that every unit keeps its own limits."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from equipsel.feeds.builds import Build, Ports
from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.rows import Rows, Terms

PACKING_LIMIT_S = 5.0
"""Seconds an exact packing may take before its pool is split instead (our own limit)."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing plugged into a group of ports: mW reserved, Mb/s of traffic, whether critical; `what` tells which."""

    ports: Ports
    load_mw: int
    traffic: Fraction
    critical: bool
    what: int


@dataclass
class Packed:
    """One unit and what is plugged into it."""

    items: list[Item] = field(default_factory=list)

    def room(self, build: Build, item: Item, critical: int | None) -> bool:
        """Whether an item fits beside what is there."""
        held = [*self.items, item]
        alike = [other for other in held if other.ports is item.ports]
        if len(alike) > item.ports.count or sum(other.load_mw for other in held) > build.limit_mw:
            return False
        if item.ports.limit_mw is not None and sum(other.load_mw for other in alike) > item.ports.limit_mw:
            return False
        if build.traffic_mbps is not None and sum(other.traffic for other in held) > build.traffic_mbps:
            return False
        return critical is None or sum(other.critical for other in held) <= critical


def pack(build: Build, units: int, items: Sequence[Item], critical: int | None = None) -> list[Packed] | None:
    """Items in so many units of a build, or None where no packing was found. `critical`: most critical ones in a unit.

    Raises KeyboardInterrupt where the user stops it.
    """
    ordered = sorted(items, key=lambda item: (-item.load_mw, -item.traffic, item.what))
    packed = [Packed() for _ in range(units)]
    for item in ordered:
        home = next((unit for unit in packed if unit.room(build, item, critical)), None)
        if home is None:
            return None if units == 1 else _pack_exactly(build, units, ordered, critical)
        home.items.append(item)
    return packed


def _pack_exactly(build: Build, units: int, items: Sequence[Item], critical: int | None) -> list[Packed] | None:
    """The same by a small integer program over numbers of like items."""
    kinds: dict[tuple[Ports, int, Fraction, bool], list[Item]] = {}
    for item in items:
        kinds.setdefault((item.ports, item.load_mw, item.traffic, item.critical), []).append(item)
    rows = Rows("packing")
    counts = [[rows.variable(f"p_{kind}_{unit}", 0, len(alike)) for unit in range(units)] for kind, alike in enumerate(kinds.values())]
    for kind, alike in enumerate(kinds.values()):
        rows.equal(f"all_{kind}", [(1, count) for count in counts[kind]], len(alike))
    keys = list(kinds)
    for unit in range(units):
        mine = [count[unit] for count in counts]
        _limit(rows, build, keys, mine, critical)
    rows.problem += 0
    answer = solve(rows.problem, 0.0, PACKING_LIMIT_S)
    if answer.stop is Stop.INTERRUPTED:
        raise KeyboardInterrupt
    if answer.stop is Stop.INFEASIBLE or not answer.found:
        return None
    packed = [Packed() for _ in range(units)]
    for kind, alike in enumerate(kinds.values()):
        waiting = iter(alike)
        for unit in range(units):
            packed[unit].items.extend(next(waiting) for _ in range(whole(counts[kind][unit])))
    return packed


def _limit(rows: Rows, build: Build, keys: list[tuple[Ports, int, Fraction, bool]], mine: list[object], critical: int | None) -> None:
    pairs = list(zip(keys, mine, strict=True))
    rows.at_most("budget", [(key[1], count) for key, count in pairs if key[1]], build.limit_mw)
    for ports in build.ports:
        inside = [(key, count) for key, count in pairs if key[0] is ports]
        rows.at_most("ports", [(1, count) for _, count in inside], ports.count)
        if ports.limit_mw is not None:
            rows.at_most("group", [(key[1], count) for key, count in inside if key[1]], ports.limit_mw)
    if build.traffic_mbps is not None:
        traffic: Terms = [(key[2], count) for key, count in pairs if key[2]]
        rows.at_most("uplink", traffic, build.traffic_mbps)
    if critical is not None:
        rows.at_most("critical", [(1, count) for key, count in pairs if key[3]], critical)
