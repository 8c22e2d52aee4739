"""Packing a pool exactly: which unit of like units each plug goes to, so that every unit keeps its own limits."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from equipsel.feeds.builds import Build, Ports
from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.rows import Rows, Terms

PACKING_LIMIT_S = 5.0
"""Seconds an exact packing may take before its pool is split instead (our own limit)."""


Kind = tuple[Ports, int, Fraction, bool]


@dataclass(frozen=True, slots=True)
class Item:
    """One thing plugged into a group of ports: mW reserved, Mb/s of traffic, whether critical; `what` tells which."""

    ports: Ports
    load_mw: int
    traffic: Fraction
    critical: bool
    what: int

    @property
    def kind(self) -> "Kind":
        """Items of one kind may stand for each other."""
        return self.ports, self.load_mw, self.traffic, self.critical


@dataclass
class Packed:
    """One unit, what is plugged into it, and the sums of it in mW and Mb/s."""

    items: list[Item] = field(default_factory=list)
    load_mw: int = 0
    traffic: Fraction = Fraction(0)
    critical: int = 0
    plugs: dict[Ports, int] = field(default_factory=dict)
    loads_mw: dict[Ports, int] = field(default_factory=dict)

    def room(self, build: Build, item: Item, critical: int | None) -> bool:
        """Whether an item fits beside what is there."""
        load_mw = self.loads_mw.get(item.ports, 0) + item.load_mw
        if self.plugs.get(item.ports, 0) >= item.ports.count or self.load_mw + item.load_mw > build.limit_mw:
            return False
        if item.ports.limit_mw is not None and load_mw > item.ports.limit_mw:
            return False
        if build.traffic_mbps is not None and self.traffic + item.traffic > build.traffic_mbps:
            return False
        return critical is None or self.critical + item.critical <= critical

    def add(self, item: Item) -> None:
        """Plugs an item in."""
        self.items.append(item)
        self.load_mw += item.load_mw
        self.traffic += item.traffic
        self.critical += item.critical
        self.plugs[item.ports] = self.plugs.get(item.ports, 0) + 1
        self.loads_mw[item.ports] = self.loads_mw.get(item.ports, 0) + item.load_mw


def pack(build: Build, units: int, items: Sequence[Item], critical: int | None = None) -> list[Packed] | None:
    """Items in so many units of a build, or None where no packing was found. `critical`: most critical ones in a unit.

    First each item into the first unit with room, the largest first: a unit that has none for an item has none for the next like it.
    Raises KeyboardInterrupt where the user stops it.
    """
    ordered = sorted(items, key=lambda item: (-item.load_mw, -item.traffic, item.what))
    packed = [Packed() for _ in range(units)]
    first: dict[Kind, int] = {}
    for item in ordered:
        start = first.get(item.kind, 0)
        home = next((number for number in range(start, units) if packed[number].room(build, item, critical)), None)
        if home is None:
            return None if units == 1 else _pack_exactly(build, units, ordered, critical)
        first[item.kind] = home
        packed[home].add(item)
    return packed


def _pack_exactly(build: Build, units: int, items: Sequence[Item], critical: int | None) -> list[Packed] | None:
    """The same by a small integer program over numbers of like items."""
    kinds: dict[Kind, list[Item]] = {}
    for item in items:
        kinds.setdefault(item.kind, []).append(item)
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
            for _ in range(whole(counts[kind][unit])):
                packed[unit].add(next(waiting))
    return packed


def _limit(rows: Rows, build: Build, keys: list[Kind], mine: list[object], critical: int | None) -> None:
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
