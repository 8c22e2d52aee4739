"""The cheapest kit by trying every arrangement: depth first, one device after another, then one feed after another.

For tests only, and for small sites only. Every leaf is judged from scratch; on the way down only those rules are tested
that more equipment can never mend, so nothing compliant is lost. Two states that differ only in which of several
alike devices or units is which are met once.
"""

from collections.abc import Iterator
from decimal import Decimal
from math import floor

from exhaustive_leaf import judge
from exhaustive_parts import Broken
from exhaustive_site import Feed, Placement, Site, Unit
from exhaustive_state import CENT, Best, State
from oracle_feeds import Chain, Route, exact, reserve_mw

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario
from equipsel.standard import port_carries

MOST_IDLE = 4
"""Units bought for nothing but their spare ports: more than these never pay in the sites of these tests."""


def cheapest_cost(scenario: Scenario, catalog: Catalog) -> int | None:
    """Cost of the cheapest compliant kit in cents; None where there is none."""
    best = cheapest(scenario, catalog)
    return None if best is None else best.cost


def cheapest(scenario: Scenario, catalog: Catalog) -> Best | None:
    """The cheapest compliant kit, or None."""
    search = Search(Site(scenario, catalog))
    search.devices(0)
    return search.best


class Search(State):
    """Device by device, then feed by feed."""

    def devices(self, at: int) -> None:
        """Place the devices from the at-th on, then everything else."""
        if not self.promising(at) or not self.unmet(at):
            return
        if at == len(self.order):
            self.feeds()
            return
        number = self.order[at]
        for route, chain in self.site.ways[number]:
            self._direct(at, number, route, chain)
            if self.site.places[route.place].mains and (self.site.loads[number].number is not None or chain):
                self._injected(at, number, route, chain)

    def _direct(self, at: int, number: int, route: Route, chain: Chain) -> None:
        for unit, new in self.spots(route.place, injector=False):
            price, fine = self.buy(unit, new)
            for group in range(len(unit.used)) if fine else ():
                self._place(at, number, route, chain, unit, group, None)
            self.give_back(unit, new, price)

    def _injected(self, at: int, number: int, route: Route, chain: Chain) -> None:
        for injector, fresh in self.spots(route.place, injector=True):
            if self.site.device_line(number, injector.build, 0, route, chain, None) is None:
                continue
            cost, fine = self.buy(injector, fresh)
            for unit, new in self.spots(route.place, injector=False) if fine else ():
                price, stands = self.buy(unit, new)
                for group in range(len(unit.used)) if stands else ():
                    self._place(at, number, route, chain, unit, group, injector)
                self.give_back(unit, new, price)
            self.give_back(injector, fresh, cost)

    def _place(self, at: int, number: int, route: Route, chain: Chain, unit: Unit, group: int, injector: Unit | None) -> None:
        mw = self._room(number, route, chain, unit, group, injector)
        if mw is None:
            return
        device = self.site.scenario.devices[number]
        placed = Placement(device, number, unit, group, injector, route, chain, mw)
        self.placements.append(placed)
        cost = self.cable(route, number if route.row is None else ("row", route.row), 1) + sum(map(self.site.extender, chain))
        self.spent += cost
        self._fill(placed, 1)
        self.devices(at + 1)
        self._fill(placed, -1)
        self.spent -= cost
        self.cable(route, number if route.row is None else ("row", route.row), -1)
        self.placements.pop()

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
        return mw if mw is not None and self.holds(source, where, mw) else None

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
        if self.best is not None and self.spent + self.energy_so_far() - self.uneven * CENT / 2 > (self.best.cost - 1) * CENT:
            return
        if waiting is None:
            self._judge()
            return
        for route, chain in self.site.feeds[waiting.place, id(waiting.build)]:
            cost = self.cable(route, ("row", route.row), 1) + sum(map(self.site.extender, chain))
            self.spent += cost
            self._feed_direct(waiting, route, chain)
            if self.site.places[route.place].mains:
                self._feed_injected(waiting, route, chain)
            self.spent -= cost
            self.cable(route, ("row", route.row), -1)

    def _feed_direct(self, waiting: Unit, route: Route, chain: Chain) -> None:
        for unit, new in self.spots(route.place, injector=False, waiting=waiting):
            price, fine = self.buy(unit, new)
            for group in range(len(unit.used)) if fine else ():
                self._feed(waiting, route, chain, unit, group, None)
            self.give_back(unit, new, price)

    def _feed_injected(self, waiting: Unit, route: Route, chain: Chain) -> None:
        for injector, fresh in self.spots(route.place, injector=True):
            cost, fine = self.buy(injector, fresh)
            for unit, new in self.spots(route.place, injector=False, waiting=waiting) if fine else ():
                price, stands = self.buy(unit, new)
                for group in range(len(unit.used)) if stands else ():
                    self._feed(waiting, route, chain, unit, group, injector)
                self.give_back(unit, new, price)
            self.give_back(injector, fresh, cost)

    def _feed(self, waiting: Unit, route: Route, chain: Chain, unit: Unit, group: int, injector: Unit | None) -> None:
        port_w, _, mbps, count, _ = unit.build.heads[group]
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
        if self.holds(source, group, mw):
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
        fed = [placed for placed in self.placements if placed.unit is waiting and placed.injector is None]
        lines = (self.site.device_line(placed.number, waiting.build, placed.group, placed.route, placed.chain, volts) for placed in fed)
        return all(line is not None for line in lines)

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
                price, fine = self.buy(unit, True)
                self.idle.append((place, at))
                if fine:
                    self.feeds()
                self.idle.pop()
                self.give_back(unit, True, price)

    def _words(self) -> Iterator[str]:
        names = {unit: f"{unit.place}-{at} {unit.build.model.model}" for at, unit in enumerate(self.units, 1)}
        for unit, name in names.items():
            supplies = "+".join(row.model for row in unit.build.supplies)
            feed = unit.feed
            fed = (
                f" fed by {names[feed.unit]} {feed.injector and names[feed.injector]} class {feed.number} {len(feed.chain)} ext"
                if feed
                else ""
            )
            yield f"{name} {supplies} {unit.mw}{fed}"
        for placed in self.placements:
            source = f" via {names[placed.injector]}" if placed.injector else ""
            chain = "".join(f" > {row.model}" for row in placed.chain)
            yield f"{placed.device.device} on {names[placed.unit]} group {placed.group}{source}{chain} {placed.mw} mW"
