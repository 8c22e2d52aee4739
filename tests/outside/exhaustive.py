"""The cheapest kit by trying every arrangement: depth first, one device after another, then one feed after another.

For tests only, and for small sites only. Every leaf is judged from scratch; on the way down only those rules are tested
that more equipment can never mend, so nothing compliant is lost. Two states that differ only in which of several
alike devices or units is which are met once.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor

from exhaustive_leaf import HOURS_A_YEAR, Broken, judge, mains_w, rack_and_outlets
from exhaustive_site import GRAIN, Feed, Placement, Site, Unit, grains
from oracle_feeds import Build, Chain, Route, exact, reserve_mw

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario
from equipsel.standard import port_carries

CENT = GRAIN // 100
MOST_IDLE = 4
"""Units bought for nothing but their spare ports: more than these never pay in the sites of these tests."""


def cheapest_cost(scenario: Scenario, catalog: Catalog) -> int | None:
    """Cost of the cheapest compliant kit in cents; None where there is none."""
    best = cheapest(scenario, catalog)
    return None if best is None else best.cost


@dataclass(frozen=True)
class Best:
    """A cheapest kit: its cost in cents and, in words, its units and where each device goes."""

    cost: int
    words: tuple[str, ...]


def cheapest(scenario: Scenario, catalog: Catalog) -> Best | None:
    """The cheapest compliant kit, or None."""
    search = Search(Site(scenario, catalog))
    search.devices(0)
    return search.best


class Search:
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

    def devices(self, at: int) -> None:
        """Place the devices from the at-th on, then everything else."""
        if not self._promising(at) or not self._new(at):
            return
        if at == len(self.order):
            self.feeds()
            return
        number = self.order[at]
        for route, chain in self.site.ways[number]:
            self._direct(at, number, route, chain)
            if self.site.places[route.place].mains and (self.site.loads[number].number is not None or chain):
                self._injected(at, number, route, chain)

    def _promising(self, at: int) -> bool:
        if self.best is None:
            return True
        least, watts, ports = self.least[at]
        free_mw = sum(max(0, self.budgets[unit.place, id(unit.build)] - unit.total) for unit in self.units)
        free = sum(head[3] - used for unit in self.units if not unit.build.injector for head, used in zip(unit.build.heads, unit.used, strict=True))
        per_mw, per_port = self.ratios
        more = max(per_mw * max(0, watts - free_mw), per_port * max(0, ports - free))
        return self.spent + least + more + self._energy() - self.uneven * CENT / 2 <= (self.best.cost - 1) * CENT

    def _energy(self) -> float:
        """What the energy of the units so far costs at least, in grains."""
        if not self.per_watt:
            return 0.0
        heat = sum(float(mains_w(unit, unit.total)) - unit.total / 1000 for unit in self.units)
        return heat * self.per_watt * 0.999999

    def _new(self, at: int) -> bool:
        units = tuple(sorted(unit.key() for unit in self.units))
        lines = tuple(sorted((placed.number, id(placed.route), id(placed.chain)) for placed in self.placements))
        marks: tuple[object, ...] = ()
        if self.site.catalog.extras or self.site.rules.backup_minutes:
            marks = tuple(sorted((placed.number, id(placed.unit.build), id(placed.injector and placed.injector.build)) for placed in self.placements))
        key = (at, units, lines, marks)
        if key in self.seen:
            return False
        self.seen.add(key)
        return True

    def _spots(self, place: str, *, injector: bool, waiting: Unit | None = None) -> Iterator[tuple[Unit, bool]]:
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

    def _raise(self, unit: Unit, new: bool) -> tuple[int, bool]:
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
        rack, outlets = rack_and_outlets([*here, unit])
        fine = (place.rack_u is None or rack <= place.rack_u) and (place.outlets is None or outlets <= place.outlets)
        most = self.site.rules.max_models
        return price, fine and (most is None or len({other.build.model.model for other in self.units}) <= most)

    def _raze(self, unit: Unit, new: bool, price: int) -> None:
        if new:
            for name in (unit.build.model.model, *(row.model for row in unit.build.supplies)):
                self.models[name, unit.place] -= 1
            self.units.pop()
            self.spent -= price

    def _direct(self, at: int, number: int, route: Route, chain: Chain) -> None:
        for unit, new in self._spots(route.place, injector=False):
            price, fine = self._raise(unit, new)
            for group in range(len(unit.used)) if fine else ():
                self._place(at, number, route, chain, unit, group, None)
            self._raze(unit, new, price)

    def _injected(self, at: int, number: int, route: Route, chain: Chain) -> None:
        for injector, fresh in self._spots(route.place, injector=True):
            if self.site.device_line(number, injector.build, 0, route, chain, None) is None:
                continue
            cost, fine = self._raise(injector, fresh)
            for unit, new in self._spots(route.place, injector=False) if fine else ():
                price, stands = self._raise(unit, new)
                for group in range(len(unit.used)) if stands else ():
                    self._place(at, number, route, chain, unit, group, injector)
                self._raze(unit, new, price)
            self._raze(injector, fresh, cost)

    def _place(self, at: int, number: int, route: Route, chain: Chain, unit: Unit, group: int, injector: Unit | None) -> None:
        mw = self._room(number, route, chain, unit, group, injector)
        if mw is None:
            return
        device = self.site.scenario.devices[number]
        placed = Placement(device, number, unit, group, injector, route, chain, mw)
        self.placements.append(placed)
        cost = self._cable(route, number if route.row is None else ("row", route.row), 1) + sum(map(self.site.extender, chain))
        self.spent += cost
        self._fill(placed, 1)
        self.devices(at + 1)
        self._fill(placed, -1)
        self.spent -= cost
        self._cable(route, number if route.row is None else ("row", route.row), -1)
        self.placements.pop()

    def _cable(self, route: Route, shared: object, step: int) -> int:
        """Count a run in or out; what its cable costs when it comes in."""
        self.runs[shared] += step
        return self.site.pulled(route) if step > 0 and self.runs[shared] > route.existing else 0

    def _room(self, number: int, route: Route, chain: Chain, unit: Unit, group: int, injector: Unit | None) -> int | None:
        """Watts to set aside, mW, where the port is free, fast and strong enough; None where not. At least so many if volts are open."""
        load = self.site.loads[number]
        _, _, mbps, count, _ = unit.build.heads[group]
        if unit.used[group] >= count or unit.traffic + self.site.traffic[number] > self.site.uplink(unit):
            return None
        if injector is not None and (mbps < load.link or injector.used[0] >= injector.build.heads[0][3]):
            return None
        source, where = (unit, group) if injector is None else (injector, 0)
        if source.build.fed and source.build.model.volts is None and (load.number is not None or chain):
            needed = 1 if chain or load.number is None else load.number
            carries = port_carries(source.build.heads[where][0], needed) and mbps >= load.link
            mw = floor(load.watts * 1000) if carries else None
        else:
            solved = self.site.device_line(number, source.build, where, route, chain, None)
            mw = None if solved is None else reserve_mw(self.site.rules, solved)
        return mw if mw is not None and self._holds(source, where, mw) else None

    def _holds(self, source: Unit, group: int, mw: int) -> bool:
        limit = source.build.heads[group][4]
        if limit is not None and source.mw[group] + mw > floor(exact(limit) * 1000):
            return False
        number = source.feed.number if source.feed else None
        most = self.budgets[source.place, id(source.build)] if number is None else self.site.budget(source.build, number)
        return source.total + mw <= most

    def _fill(self, placed: Placement, step: int) -> None:
        unit, source, group = placed.unit, placed.unit if placed.injector is None else placed.injector, placed.group
        unit.used[group] += step
        unit.traffic += step * self.site.traffic[placed.number]
        at = group if placed.injector is None else 0
        source.mw[at] += step * placed.mw
        source.total += step * placed.mw
        critical = step * (placed.device.priority == "critical")
        unit.critical += critical
        if placed.injector is not None:
            source.used[0] += step
            source.critical += critical
        if unit.build.fed:
            note = (placed.number, id(placed.route), id(placed.chain), group, placed.device.backup, placed.injector is not None)
            unit.notes.append(note) if step > 0 else unit.notes.remove(note)

    def feeds(self) -> None:
        """Feed the first switch that waits for it, in every way; at the end judge the whole."""
        waiting = next((unit for unit in self.units if unit.build.fed and unit.feed is None), None)
        if self.best is not None and self.spent + self._energy() - self.uneven * CENT / 2 > (self.best.cost - 1) * CENT:
            return
        if waiting is None:
            self._judge()
            return
        for route, chain in self.site.feeds[waiting.place, id(waiting.build)]:
            cost = self._cable(route, ("row", route.row), 1) + sum(map(self.site.extender, chain))
            self.spent += cost
            self._feed_direct(waiting, route, chain)
            if self.site.places[route.place].mains:
                self._feed_injected(waiting, route, chain)
            self.spent -= cost
            self._cable(route, ("row", route.row), -1)

    def _feed_direct(self, waiting: Unit, route: Route, chain: Chain) -> None:
        for unit, new in self._spots(route.place, injector=False, waiting=waiting):
            price, fine = self._raise(unit, new)
            for group in range(len(unit.used)) if fine else ():
                self._feed(waiting, route, chain, unit, group, None)
            self._raze(unit, new, price)

    def _feed_injected(self, waiting: Unit, route: Route, chain: Chain) -> None:
        for injector, fresh in self._spots(route.place, injector=True):
            cost, fine = self._raise(injector, fresh)
            for unit, new in self._spots(route.place, injector=False, waiting=waiting) if fine else ():
                price, stands = self._raise(unit, new)
                for group in range(len(unit.used)) if stands else ():
                    self._feed(waiting, route, chain, unit, group, injector)
                self._raze(unit, new, price)
            self._raze(injector, fresh, cost)

    def _feed(self, waiting: Unit, route: Route, chain: Chain, unit: Unit, group: int, injector: Unit | None) -> None:
        port_w, _, mbps, count, _ = unit.build.heads[group]
        source = unit if injector is None else injector
        link = min(waiting.build.model.uplink_mbps, Decimal(1000))
        free = unit.used[group] < count and mbps >= link and (injector is None or injector.used[0] < injector.build.heads[0][3])
        if not free or (injector is None and port_w == 0):
            return
        if not self._shallow(waiting, unit):
            return
        unit.used[group] += 1
        if injector is not None:
            injector.used[0] += 1
        for number in self.site.classes[waiting.place, id(waiting.build)]:
            if waiting.total <= self.site.budget(waiting.build, number):
                self._feed_class(waiting, Feed(number, unit, group, injector, route, chain))
        unit.used[group] -= 1
        if injector is not None:
            injector.used[0] -= 1

    def _feed_class(self, waiting: Unit, feed: Feed) -> None:
        """Feed a switch at one class and go on, unless its line, or the watts it takes at least, already forbid it."""
        source, group = (feed.unit, feed.group) if feed.injector is None else (feed.injector, 0)
        if source.build.fed and source.build.model.volts is None:
            mw = floor((exact(waiting.build.model.own_w) * 1000 + waiting.total) / exact(waiting.build.model.efficiency))
        elif not self._lights(waiting, feed):
            return
        else:
            mw = self.site.feed_at(waiting, feed, None, waiting.total)
        if self._holds(source, group, mw):
            source.mw[group] += mw
            source.total += mw
            waiting.feed = feed
            self.feeds()
            waiting.feed = None
            source.mw[group] -= mw
            source.total -= mw

    def _lights(self, waiting: Unit, feed: Feed) -> bool:
        """Whether the line that feeds a switch works, and every device on the switch at the volts that then reach it."""
        solved = self.site.feed_line(waiting, feed, None)
        if solved is None:
            return False
        volts = solved.end_volts if waiting.build.model.volts is None else None
        for placed in self.placements:
            if placed.unit is waiting and placed.injector is None:
                if self.site.device_line(placed.number, waiting.build, placed.group, placed.route, placed.chain, volts) is None:
                    return False
        return True

    def _shallow(self, waiting: Unit, unit: Unit) -> bool:
        """Whether a switch may hang on a unit: no ring, and no more in a row than allowed."""
        height, layer = 0, [waiting]
        while layer:
            if unit in layer:
                return False
            height, layer = height + 1, [other for other in self.units if other.feed and other.feed.unit in layer]
        above: Unit | None = unit
        while above is not None and above.build.fed:
            height, above = height + 1, above.feed.unit if above.feed else None
        return height <= self.site.rules.max_cascade

    def _judge(self) -> None:
        try:
            cost = judge(self.site, self.units, self.placements)
        except Broken as broken:
            if broken.place is not None and len(self.idle) <= MOST_IDLE:
                self._add_idle(broken.place)
            return
        if self.best is None or cost < self.best.cost:
            self.best = Best(cost, tuple(self._words()))

    def _add_idle(self, place: str) -> None:
        """Add a unit that nothing is plugged into, in table order after those added before."""
        for at, build in enumerate(self.site.standing[place]):
            before = self.idle[-1]
            if build.powered and self.budgets[place, id(build)] >= 0 and (place != before[0] or at >= before[1]):
                unit = Unit(build, place, [0] * len(build.heads), [0] * len(build.heads))
                price, fine = self._raise(unit, True)
                self.idle.append((place, at))
                if fine:
                    self.feeds()
                self.idle.pop()
                self._raze(unit, True, price)

    def _words(self) -> Iterator[str]:
        names = {unit: f"{unit.place}-{at} {unit.build.model.model}" for at, unit in enumerate(self.units, 1)}
        for unit, name in names.items():
            supplies = "+".join(row.model for row in unit.build.supplies)
            feed = unit.feed
            fed = f" fed by {names[feed.unit]} {feed.injector and names[feed.injector]} class {feed.number} {len(feed.chain)} ext" if feed else ""
            yield f"{name} {supplies} {unit.mw}{fed}"
        for placed in self.placements:
            source = f" via {names[placed.injector]}" if placed.injector else ""
            chain = "".join(f" > {row.model}" for row in placed.chain)
            yield f"{placed.device.device} on {names[placed.unit]} group {placed.group}{source}{chain} {placed.mw} mW"


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
