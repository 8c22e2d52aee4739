"""An independent reading of the rules of a line: what a port, an injector or a fed switch can power over a run.

Written from the rules alone, for the oracles of this folder; it shares with the program only the tables' models, the
classes and the solver of one ladder, each of which is tested against other sources. Powers in W, lengths in m.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import combinations_with_replacement

from equipsel.catalog import Cable, Catalog, Extender, Injector, Supply, Switch
from equipsel.circuit import Span, at_temperature, loop_ohm, reach_m, solve_line
from equipsel.quantities import milliwatts_down, milliwatts_up
from equipsel.scenario import Device, Place, Rules, Scenario
from equipsel.standard import CLASSES, granted_watts, head_volts, port_carries, smallest_class

Chain = tuple[Extender, ...]


@dataclass(frozen=True)
class Head:
    """A port that feeds a line: its watts, its pairs for classes 0-4, its volts and its speed."""

    port_w: Decimal
    pairs: int
    volts: float
    mbps: Decimal


@dataclass(frozen=True)
class Route:
    """A run to a place: length with slack, cable, what extenders must bear; `row` of the runs table (None: a home run)."""

    place: str
    length: Decimal
    cable: Cable
    bears: Place
    row: int | None
    existing: int


@dataclass(frozen=True)
class Load:
    """What ends a line: class, watts at its input, lowest volts, link speed, cables in the bundle."""

    number: int | None
    watts: float
    min_volts: float
    link: Decimal
    bundle: int = 1


@dataclass(frozen=True)
class Solved:
    """A line that works: class at the head, pairs, watts at the head and at the first thing's input, volts at the end."""

    number: int | None
    pairs: int
    head_w: float
    first_w: float
    end_volts: float


NO_POWER = Solved(None, 0, 0.0, 0.0, 0.0)


def exact(value: float | Decimal) -> Fraction:
    """The exact fraction of a figure as it is written."""
    return Fraction(Decimal(repr(value))) if isinstance(value, float) else Fraction(value)


def fits(item: Switch | Supply | Injector | Extender, place: Place) -> bool:
    """Whether equipment bears a place: IP digit by digit, each stated end of the ambient range."""
    if place.ip is not None and not all(has >= needs for has, needs in zip(item.ip, place.ip, strict=True)):
        return False
    low = place.low_c is None or (item.low_c is not None and item.low_c <= place.low_c)
    return low and (place.high_c is None or (item.high_c is not None and item.high_c >= place.high_c))


def device_routes(scenario: Scenario, catalog: Catalog, device: Device) -> list[Route]:
    """The home run of a device, and every row of the runs table that starts at it."""
    home = scenario.place[device.place]
    existing = device.count if device.existing_cable else 0
    length = scenario.rules.run_m(device.run_m)
    found = [Route(device.place, length, catalog.cable(device.cable), _path(home, device), None, existing)]
    return found + [route for _, route in _rows(scenario, catalog, device.device, home)]


def feed_routes(scenario: Scenario, catalog: Catalog, place: str) -> list[Route]:
    """The runs over which a switch in a place can be fed."""
    return [route for _, route in _rows(scenario, catalog, place, scenario.place[place])]


def _path(place: Place, row: object) -> Place:
    names = ("ip", "low_c", "high_c")
    stated = {name: getattr(row, f"path_{name}") for name in names}
    return place.model_copy(update={name: value for name, value in stated.items() if value is not None})


def _rows(scenario: Scenario, catalog: Catalog, start: str, place: Place) -> Iterator[tuple[int, Route]]:
    for number, row in enumerate(scenario.runs):
        if row.from_ == start:
            length = scenario.rules.run_m(row.run_m)
            yield number, Route(row.to, length, catalog.cable(row.cable), _path(place, row), number, row.existing)


def device_load(device: Device) -> Load:
    """A device as the end of a line."""
    return Load(device.number if device.pd_w else None, float(device.pd_w), device.pd_min_v, device.link_mbps, device.bundle)


def spans(rules: Rules, route: Route, chain: Chain) -> list[Decimal] | None:
    """Lengths of the spans of a run with a chain, each extender as far out as it reaches; None if the chain does not fit."""
    left, lengths = route.length, []
    for span_m in (rules.span_m, *(extender.span_m for extender in chain)):
        if lengths and left <= 0:
            return None
        reach = reach_m(span_m, rules.cable_c, route.cable.shielded) if rules.derate_reach else span_m
        lengths.append(min(left, reach))
        left -= lengths[-1]
    return lengths if left <= 0 else None


def chains(rules: Rules, catalog: Catalog, route: Route, link: Decimal) -> list[Chain]:
    """Every chain of extenders that the run needs and its path allows; the empty one where none is needed."""
    usable = [row for row in catalog.extenders if fits(row, route.bears) and row.port_mbps >= link]
    done: list[Chain] = []
    growing: list[Chain] = [()]
    while growing:
        chain = growing.pop()
        if spans(rules, route, chain) is not None:
            done.append(chain)
        elif len(chain) < rules.max_extenders:
            growing += [(*chain, extender) for extender in usable]
    return done


@cache
def _ohm(ohm_per_100m: float, cable_c: float, length: float, pairs: int) -> float:
    return loop_ohm(at_temperature(ohm_per_100m, cable_c), length, pairs)


def solve(
    rules: Rules, head: Head, route: Route, chain: Chain, load: Load, limits: tuple[tuple[int, int, Decimal], ...] = ()
) -> Solved | None:
    """The line at its operating point, or None where a rule of the line is broken (speed, class, volts, amps, watts).

    limits: rows (gauge, cables, amps per conductor) of the bundle table.
    """
    slow = head.mbps < load.link or route.cable.mbps < load.link or any(row.port_mbps < load.link for row in chain)
    if slow or (route.cable.material == "cca" and not rules.allow_cca):
        return None
    if load.number is None and not chain:
        return NO_POWER
    pairs = min(head.pairs, route.cable.pairs)
    if not chain and load.number is not None and load.number >= 5:
        pairs = 4
    found = _try(rules, head, route, chain, load, pairs, 0)
    if chain and pairs < 4 and (found is None or found[0].number is None or found[0].number >= 5):
        pairs = 4
        found = _try(rules, head, route, chain, load, pairs, 5)
    if found is None or found[0].number is None or pairs > route.cable.pairs:
        return None
    return found[0] if found[1] and _bundle_allows(found[2], pairs, route.cable, load.bundle, limits) else None


def head_at(rules: Rules, head: Head, route: Route, chain: Chain, watts: float, pairs: int) -> tuple[float, float]:
    """Watts at the head, and at the input of the first thing, of a line known to work when its end draws less."""
    line = solve_line(head.volts, _ladder(rules, route, chain, watts, pairs))
    assert line is not None
    return line.head_w, line.spans[0].watts


def _ladder(rules: Rules, route: Route, chain: Chain, watts: float, pairs: int) -> list[Span]:
    lengths = spans(rules, route, chain)
    assert lengths is not None
    loads = [*(float(row.own_w) for row in chain), watts]
    each = route.cable.conductor_ohm_per_100m
    return [Span(_ohm(each, float(rules.cable_c), float(length), pairs), w) for length, w in zip(lengths, loads, strict=True)]


def _try(rules: Rules, head: Head, route: Route, chain: Chain, load: Load, pairs: int, least: int) -> tuple[Solved, bool, float] | None:
    """The line on a number of pairs: as solved (class None: no class carries it), whether its limits hold, amps at the head."""
    line = solve_line(head.volts, _ladder(rules, route, chain, load.watts, pairs))
    if line is None:
        return None
    first = smallest_class(line.spans[0].watts) if chain else load.number
    number = None if first is None else max(first, least)
    solved = Solved(number, pairs, line.head_w, line.spans[0].watts, line.end.volts)
    if number is None:
        return solved, False, line.head_amps
    row = CLASSES[number]
    holds = port_carries(head.port_w, number) and exact(line.head_w) <= head.port_w
    holds = holds and exact(line.head_amps) * 2 / pairs <= exact(row.amps_per_pairset)
    holds = holds and (load.number is None or exact(line.end.volts) >= exact(load.min_volts))
    classes: list[int | None] = [smallest_class(state.watts) for state in line.spans[:-1]] + [load.number]
    classes[0] = number  # what asks for less than class 5 is given the port's own pairs
    for extender, state, own, after in zip(chain, line.spans, classes, classes[1:], strict=False):
        holds = holds and own is not None and own <= extender.in_class and exact(state.volts) >= extender.min_volts
        holds = holds and (after is None or port_carries(extender.port_w, after))
        holds = holds and exact(state.watts) - exact(extender.own_w) <= extender.port_w
    return solved, holds, line.head_amps


def _bundle_allows(amps: float, pairs: int, cable: Cable, bundle: int, limits: tuple[tuple[int, int, Decimal], ...]) -> bool:
    rows = [(cables, most) for gauge, cables, most in limits if gauge == cable.awg]
    if not rows:
        return True
    enough = [row for row in rows if row[0] >= bundle]
    return bool(enough) and exact(amps) / pairs <= min(enough)[1]


def reserve_mw(rules: Rules, solved: Solved, head_w: float | None = None, first_w: float | None = None) -> int:
    """What the port sets aside, mW; head_w and first_w where the load at the end draws less than the most."""
    if solved.number is None:
        return 0
    watts = solved.head_w if head_w is None else head_w
    if rules.budget_basis == "class":
        return max(milliwatts_up(CLASSES[solved.number].pse_w), milliwatts_up(solved.head_w))
    if rules.budget_basis == "stated":
        return milliwatts_up(watts)
    return max(milliwatts_up(granted_watts(solved.number, solved.first_w if first_w is None else first_w)), milliwatts_up(watts))


@dataclass(frozen=True)
class Build:
    """A switch with its supplies, or an injector, as it can stand in a place. budget_w before spare; None: decided by its class."""

    model: Switch | Injector
    supplies: tuple[Supply, ...]
    budget_w: Fraction | None
    heads: tuple[tuple[Decimal, int, Decimal, int, Decimal | None], ...]

    @property
    def injector(self) -> bool:
        """Whether it is an injector."""
        return isinstance(self.model, Injector)

    @property
    def fed(self) -> bool:
        """Whether it takes its power from a port."""
        return isinstance(self.model, Switch) and self.model.feed == "port"

    @property
    def powered(self) -> int:
        """How many of its ports give power."""
        return sum(count for port_w, _, _, count, _ in self.heads if port_w > 0)

    def budget_mw(self, rules: Rules, number: int | None = None) -> int:
        """What it may set aside, mW, spare kept free; number: the class of a fed switch."""
        budget = fed_budget_w(self.model, number) if self.budget_w is None else self.budget_w
        kept = 1 if self.powered == 1 else 1 - exact(rules.spare_watts_pct) / 100
        return milliwatts_down(budget * kept)

    def volts(self, group: int) -> float:
        """At a group of its ports, where it is not a fed switch that states none."""
        return head_volts(self.heads[group][0]) if self.model.volts is None else float(self.model.volts)


def fed_budget_w(model: Switch, number: int) -> Fraction:
    """What a fed switch of a class can hand out, W; negative where the class does not even carry the switch."""
    left = exact(CLASSES[number].pd_w) * exact(model.efficiency) - exact(model.own_w)
    return left if model.budget_w is None else min(left, exact(model.budget_w))


def fed_load(model: Switch, number: int) -> Load:
    """A fed switch of a class as the end of a line, at the most it may draw."""
    most = (exact(model.own_w) + fed_budget_w(model, number)) / exact(model.efficiency)
    watts = min(exact(CLASSES[number].pd_w), most)
    return Load(number, float(watts), float(model.min_volts), min(model.uplink_mbps, Decimal(1000)))


def switch_builds(rules: Rules, catalog: Catalog) -> list[Build]:
    """Every switch of the catalog with every set of supplies that fits it."""
    return [build for row in catalog.switches for build in _with_supplies(rules, catalog, row)]


def _with_supplies(rules: Rules, catalog: Catalog, row: Switch) -> Iterator[Build]:
    heads = tuple((group.port_w, group.pairs, group.port_mbps, group.count, group.group_w) for group in catalog.groups[row.model])
    if row.feed != "supply":
        yield Build(row, (), None if row.feed == "port" else exact(row.budget_w or Decimal(0)), heads)
        return
    fitting = [supply for supply in catalog.supplies if supply.fit == row.supply_fit]
    for count in range(2 if rules.redundant_supplies else 1, row.supply_slots + 1):
        for supplies in combinations_with_replacement(fitting, count):
            watts = sum(exact(supply.watts) for supply in supplies)
            if rules.redundant_supplies:
                watts -= max(exact(supply.watts) for supply in supplies)
            budget = watts - exact(row.own_w)
            if budget >= 0:
                yield Build(row, supplies, budget if row.budget_w is None else min(budget, exact(row.budget_w)), heads)


def injector_builds(catalog: Catalog) -> list[Build]:
    """Every injector of the catalog."""
    return [Build(row, (), exact(row.total_w), ((row.port_w, row.pairs, row.port_mbps, row.ports, None),)) for row in catalog.injectors]


def stands(build: Build, place: Place) -> bool:
    """Whether a unit may stand in a place: mains, IP and ambient, supplies too."""
    powered = place.mains or build.fed
    return powered and fits(build.model, place) and all(fits(supply, place) for supply in build.supplies)


def head_of(build: Build, group: int, volts: float | None = None) -> Head:
    """A port of a unit as the head of a line; volts where a fed switch passes on what reaches it."""
    port_w, pairs, mbps, _, _ = build.heads[group]
    return Head(port_w, pairs, build.volts(group) if volts is None else volts, mbps)


def bundle_limits(catalog: Catalog) -> tuple[tuple[int, int, Decimal], ...]:
    """The bundle table as rows."""
    return tuple((row.awg, row.cables_up_to, row.amps_per_conductor) for row in catalog.bundles)
