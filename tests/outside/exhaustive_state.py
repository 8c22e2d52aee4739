"""Where the exhaustive search stands: what is bought and placed so far, what it costs, and what it must still cost at least."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import floor

from exhaustive_cost import HOURS_A_YEAR
from exhaustive_parts import mains_w, rack_and_outlets
from exhaustive_site import GRAIN, Placement, Site, Unit, grains
from oracle_feeds import Build, Route, exact

CENT = GRAIN // 100


@dataclass(frozen=True)
class Best:
    """A cheapest kit: its cost in cents and, in words, its units and where each device goes."""

    cost: int
    words: tuple[str, ...]


class State:
    """The state of the search: units so far, placements so far, the best kit so far."""

    def __init__(self, site: Site) -> None:
        self.site = site
        rows = enumerate(site.scenario.devices)
        self.order = [number for number, row in sorted(rows, key=lambda pair: -pair[1].pd_w) for _ in range(row.count)]
        self.units: list[Unit] = []
        self.placements: list[Placement] = []
        self.spent = 0
        self.best: Best | None = None
        self.seen: set[tuple[object, ...]] = set()
        self.models: Counter[tuple[str, str]] = Counter()
        self.runs: Counter[object] = Counter()
        self.least = _least_to_come(site, self.order)
        self.ratios = _ratios(site)
        self.budgets = {(name, id(build)): _most_mw(site, build, name) for name in site.places for build in site.builds}
        self.uneven = _uneven(site)
        self.per_watt = float(site.rules.energy_price_kwh * site.rules.years) * HOURS_A_YEAR / 1000 * GRAIN
        self.idle: list[tuple[str, int]] = [("", 0)]

    def promising(self, at: int) -> bool:
        if self.best is None:
            return True
        least, watts, ports = self.least[at]
        free_mw = sum(max(0, self.budgets[unit.place, id(unit.build)] - unit.total) for unit in self.units)
        free = sum(
            head[3] - used for unit in self.units if not unit.build.injector for head, used in zip(unit.build.heads, unit.used, strict=True)
        )
        per_mw, per_port = self.ratios
        more = max(per_mw * max(0, watts - free_mw), per_port * max(0, ports - free))
        return self.spent + least + more + self.energy_so_far() - self.uneven * CENT / 2 <= (self.best.cost - 1) * CENT

    def energy_so_far(self) -> float:
        """What the energy of the units so far costs at least, in grains."""
        if not self.per_watt:
            return 0.0
        heat = sum(float(mains_w(unit, unit.total)) - unit.total / 1000 for unit in self.units)
        return heat * self.per_watt * 0.999999

    def unmet(self, at: int) -> bool:
        units = tuple(sorted(unit.key() for unit in self.units))
        lines = tuple(sorted((placed.number, id(placed.route), id(placed.chain)) for placed in self.placements))
        marks: tuple[object, ...] = ()
        if self.site.catalog.extras or self.site.rules.backup_minutes:
            marks = tuple(
                sorted((placed.number, id(placed.unit.build), id(placed.injector and placed.injector.build)) for placed in self.placements)
            )
        key = (at, units, lines, marks)
        if key in self.seen:
            return False
        self.seen.add(key)
        return True

    def spots(self, place: str, *, injector: bool, waiting: Unit | None = None) -> Iterator[tuple[Unit, bool]]:
        """Units of a place, alike ones once, then one new unit of each build; not the one that waits for its feed."""
        met: set[object] = set()
        feeding = {id(unit) for other in self.units if other.feed for unit in (other, other.feed.unit, other.feed.injector)}
        for unit in self.units:
            key = id(unit) if id(unit) in feeding else unit.key()
            if unit is not waiting and unit.place == place and unit.build.injector == injector and key not in met:
                met.add(key)
                yield unit, False
        for build in self.site.standing[place]:
            if build.injector == injector and (not build.fed or self.budgets[place, id(build)] >= 0):
                yield Unit(build, place, [0] * len(build.heads), [0] * len(build.heads)), True

    def buy(self, unit: Unit, new: bool) -> tuple[int, bool]:
        """Let a new unit stand: what it costs, and whether the place and the rules allow it."""
        if not new:
            return 0, True
        price, names = 0, [(unit.build.model.model, unit.build.model.price + unit.build.model.install_cost + self.site.rules.piece_cost)]
        names += [(row.model, row.price + row.install_cost) for row in unit.build.supplies]
        for name, money in names:
            price += self.site.spot_price(name, unit.place, self.models[name, unit.place], money)
            self.models[name, unit.place] += 1
        place = self.site.places[unit.place]
        here = [other for other in self.units if other.place == unit.place]
        price += 0 if here else grains(place.open_cost)
        self.units.append(unit)
        self.spent += price
        fine = True
        if place.rack_u is not None or place.outlets is not None:
            rack, outlets = rack_and_outlets([*here, unit])
            fine = (place.rack_u is None or rack <= place.rack_u) and (place.outlets is None or outlets <= place.outlets)
        most = self.site.rules.max_models
        return price, fine and (most is None or len({other.build.model.model for other in self.units}) <= most)

    def give_back(self, unit: Unit, new: bool, price: int) -> None:
        if new:
            for name in (unit.build.model.model, *(row.model for row in unit.build.supplies)):
                self.models[name, unit.place] -= 1
            self.units.pop()
            self.spent -= price

    def cable(self, route: Route, shared: object, step: int) -> int:
        """Count a run in or out; what its cable costs when it comes in."""
        self.runs[shared] += step
        return self.site.pulled(route) if step > 0 and self.runs[shared] > route.existing else 0

    def holds(self, source: Unit, group: int, mw: int) -> bool:
        limit = source.build.heads[group][4]
        if limit is not None and source.mw[group] + mw > floor(exact(limit) * 1000):
            return False
        number = source.feed.number if source.feed else None
        most = self.budgets[source.place, id(source.build)] if number is None else self.site.budget(source.build, number)
        return source.total + mw <= most


def _most_mw(site: Site, build: Build, place: str) -> int:
    """The most a build in a place can set aside, mW; -1 for a switch that nothing can feed there."""
    if not build.fed:
        return site.budget(build, None)
    return max((site.budget(build, number) for number in site.classes[place, id(build)]), default=-1)


def _least_to_come(site: Site, order: list[int]) -> list[tuple[int, int, int]]:
    """From each device on: the least their cables and extenders cost, the watts they draw (mW), and their number."""
    tails = [(0, 0, 0)]
    for number in reversed(order):
        costs = [(0 if route.existing else site.pulled(route)) + sum(map(site.extender, chain)) for route, chain in site.ways[number]]
        cost, watts, ports = tails[-1]
        tails.append((cost + min(costs, default=0), watts + floor(site.loads[number].watts * 1000), ports + 1))
    return tails[::-1]


def _ratios(site: Site) -> tuple[float, float]:
    """The least a new unit costs for each milliwatt, and a new switch for each port; nothing where anything is owned."""
    if site.scenario.owned:
        return 0.0, 0.0
    mw = [site.price(build) / max(1, *(_most_mw(site, build, name) for name in site.places)) for build in site.builds]
    ports = [site.price(build) / sum(head[3] for head in build.heads) for build in site.builds if not build.injector]
    return min(mw, default=0.0) * 0.999999, min(ports, default=0.0) * 0.999999


def _uneven(site: Site) -> int:
    """How many lines of the bill may round down: cables with fractions of a cent, and energy."""
    routes = [route for ways in site.ways for route, _ in ways] + [route for ways in site.feeds.values() for route, _ in ways]
    cables = {route.cable.model for route in routes if site.pulled(route) % CENT}
    return len(cables) + bool(Fraction(site.rules.energy_price_kwh))
