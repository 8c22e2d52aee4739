"""What the exhaustive search works on: units, placements and feeds as it lays them out, and exact prices."""

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from oracle_feeds import (
    Build,
    Chain,
    Load,
    Route,
    Solved,
    bundle_limits,
    chains,
    device_load,
    device_routes,
    exact,
    fed_budget_w,
    fed_load,
    feed_routes,
    head_at,
    head_of,
    injector_builds,
    reserve_mw,
    solve,
    stands,
    switch_builds,
)

from equipsel.catalog import Catalog, Extender
from equipsel.scenario import Device, Scenario

GRAIN = 10**8
"""Money is added up in hundred-millionths, so that a price times a length stays a whole number until it is rounded."""


def grains(money: Decimal | Fraction) -> int:
    """A sum of money in grains; it must be a whole number of them."""
    scaled = Fraction(money) * GRAIN
    assert scaled.denominator == 1, money
    return scaled.numerator


@dataclass(eq=False)
class Unit:
    """A switch or an injector being filled: ports used and watts set aside by group, traffic, and what feeds it."""

    build: Build
    place: str
    used: list[int]
    mw: list[int]
    total: int = 0
    traffic: Fraction = Fraction(0)
    critical: int = 0
    notes: list[tuple[object, ...]] = field(default_factory=list)
    feed: "Feed | None" = None

    def key(self) -> tuple[object, ...]:
        """What decides everything that can still happen to it, apart from its feed."""
        return (id(self.build), self.place, tuple(self.used), tuple(self.mw), self.traffic, self.critical, tuple(sorted(self.notes)))


class Placement(NamedTuple):
    """A device on a port (its data port, with an injector). mw: set aside for it, None where the volts are not known yet."""

    device: Device
    number: int
    unit: Unit
    group: int
    injector: Unit | None
    route: Route
    chain: Chain
    mw: int | None


class Feed(NamedTuple):
    """How a fed switch is fed: its class, the (data) port, the injector, the run."""

    number: int
    unit: Unit
    group: int
    injector: Unit | None
    route: Route
    chain: Chain


class Site:
    """A scenario and a catalog with everything looked up once."""

    def __init__(self, scenario: Scenario, catalog: Catalog) -> None:
        self.scenario, self.catalog, self.rules = scenario, catalog, scenario.rules
        self.places = scenario.place
        self.builds = switch_builds(self.rules, catalog) + injector_builds(catalog)
        self.limits = bundle_limits(catalog)
        self.loads = [device_load(device) for device in scenario.devices]
        self.ways = [
            self._ways(device_routes(scenario, catalog, device), load) for device, load in zip(scenario.devices, self.loads, strict=True)
        ]
        self.traffic = [exact(device.mbps) for device in scenario.devices]
        self._solved: dict[tuple[object, ...], Solved | None] = {}
        self._feed_mw: dict[tuple[object, ...], int] = {}
        self._budgets: dict[tuple[int, int | None], int] = {}
        self._uplinks = {
            id(build): exact(build.model.uplink_mbps) * exact(self.rules.uplink_share_pct) / 100
            for build in self.builds
            if not build.injector
        }
        self.owned: dict[tuple[str, str], int] = {}
        for row in scenario.owned:
            self.owned[row.model, row.place] = self.owned.get((row.model, row.place), 0) + row.count

    def _ways(self, routes: list[Route], load: Load) -> list[tuple[Route, Chain]]:
        return [(route, chain) for route in routes for chain in chains(self.rules, self.catalog, route, load.link)]

    @cached_property
    def standing(self) -> dict[str, list[Build]]:
        """The builds that may stand in each place, cheapest first."""
        found = {}
        for name, place in self.places.items():
            builds = sorted((build for build in self.builds if stands(build, place)), key=self.price)
            owned = any(model in self.catalog.supply for model, _ in self.owned)
            found[name] = [build for at, build in enumerate(builds) if owned or not any(self._beats(other, build) for other in builds[:at])]
        return found

    def _beats(self, other: Build, build: Build) -> bool:
        """Whether the same switch with other supplies, no dearer, is at least as good in every respect that any rule knows."""
        if other.model is not build.model or other.budget_w is None or build.budget_w is None:
            return False
        strong = other.budget_w >= build.budget_w and len(other.supplies) <= len(build.supplies)
        worst = [min((row.efficiency for row in one.supplies), default=one.model.efficiency) for one in (other, build)]
        rack = [sum(row.rack_u for row in one.supplies) for one in (other, build)]
        return strong and worst[0] >= worst[1] and rack[0] <= rack[1]

    @cached_property
    def feeds(self) -> dict[tuple[str, int], list[tuple[Route, Chain]]]:
        """Runs and chains that can feed a fed switch of a model (by id of its build) in a place."""
        return {
            (name, id(build)): self._ways(feed_routes(self.scenario, self.catalog, name), fed_load(build.model, build.model.in_class))
            for name in self.places
            for build in self.builds
            if build.fed
        }

    @cached_property
    def classes(self) -> dict[tuple[str, int], list[int]]:
        """The classes at which a fed switch could work in a place, over some run from some port (a fed one is taken as able)."""
        return {
            (name, id(build)): [number for number in range(1, build.model.in_class + 1) if self._feedable(name, build, number)]
            for name in self.places
            for build in self.builds
            if build.fed
        }

    def _feedable(self, name: str, build: Build, number: int) -> bool:
        if fed_budget_w(build.model, number) < 0:
            return False
        unit = Unit(build, name, [], [])
        for route, chain in self.feeds[name, id(build)]:
            for source in self.standing[route.place]:
                above = Unit(source, route.place, [], [])
                if self.rules.max_cascade <= source.fed:
                    continue
                if source.fed and source.model.volts is None:
                    return True
                for group in range(len(source.heads)):
                    if self.feed_line(unit, Feed(number, above, group, None, route, chain), None) is not None:
                        return True
        return False

    def price(self, build: Build) -> int:
        """Price of a build bought whole, in grains."""
        whole = build.model.price + build.model.install_cost + self.rules.piece_cost
        return grains(whole + sum((row.price + row.install_cost for row in build.supplies), Decimal(0)))

    def extender(self, row: Extender) -> int:
        """Price of an extender, in grains."""
        return grains(row.price + row.install_cost + self.rules.piece_cost)

    def pulled(self, route: Route) -> int:
        """Price of a new cable by the metre over a run, in grains; for boxed cable only the pulling."""
        each = route.cable.install_cost_per_m + (route.cable.price_per_m if route.cable.sold_m == 0 else 0)
        return grains(each * route.length)

    def spot_price(self, model: str, place: str, count: int, money: Decimal) -> int:
        """Price of one more of a model in a place that has `count` already: nothing while owned ones are left."""
        return 0 if count < self.owned.get((model, place), 0) else grains(money)

    def device_line(self, number: int, build: Build, group: int, route: Route, chain: Chain, volts: float | None) -> Solved | None:
        """The line of a device from a port, solved once."""
        key = (number, id(build), group, volts, id(route), id(chain))
        if key not in self._solved:
            self._solved[key] = solve(self.rules, head_of(build, group, volts), route, chain, self.loads[number], self.limits)
        return self._solved[key]

    def feed_at(self, unit: Unit, feed: Feed, volts: float | None, total: int) -> int:
        """What the port that feeds a switch sets aside, mW, when the switch itself has set aside `total` mW; worked out once."""
        source, group = (feed.unit, feed.group) if feed.injector is None else (feed.injector, 0)
        key = (id(unit.build), feed.number, id(source.build), group, volts, id(feed.route), id(feed.chain), total)
        if key not in self._feed_mw:
            solved = self.feed_line(unit, feed, volts)
            assert solved is not None
            draw = (exact(unit.build.model.own_w) + Fraction(total, 1000)) / exact(unit.build.model.efficiency)
            head = head_of(source.build, group, volts)
            head_w, first_w = head_at(self.rules, head, feed.route, feed.chain, float(draw), solved.pairs)
            self._feed_mw[key] = reserve_mw(self.rules, solved, head_w, first_w)
        return self._feed_mw[key]

    def feed_line(self, unit: Unit, feed: Feed, volts: float | None) -> Solved | None:
        """The line that feeds a switch, at the most it may draw, solved once."""
        source, group = (feed.unit, feed.group) if feed.injector is None else (feed.injector, 0)
        key = (id(unit.build), feed.number, id(source.build), group, volts, id(feed.route), id(feed.chain))
        if key not in self._solved:
            load = fed_load(unit.build.model, feed.number)
            self._solved[key] = solve(self.rules, head_of(source.build, group, volts), feed.route, feed.chain, load, self.limits)
        return self._solved[key]

    def uplink(self, unit: Unit) -> Fraction:
        """Traffic a switch's uplink may carry, Mb/s."""
        return self._uplinks[id(unit.build)]

    def budget(self, build: Build, number: int | None) -> int:
        """What a build may set aside, mW; number: the class of a fed switch."""
        key = (id(build), number)
        if key not in self._budgets:
            self._budgets[key] = build.budget_mw(self.rules, number)
        return self._budgets[key]
