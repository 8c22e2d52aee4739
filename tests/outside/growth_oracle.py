"""Plans over stages and the reach of a kit by trying every arrangement: every kit of every stage, and every way through the stages.

Written from the rules alone on top of the exhaustive search. For small sites without batteries and energy only.
"""

from collections import Counter
from fractions import Fraction
from math import ceil

from exhaustive import Search
from exhaustive_cost import _extras, _runs
from exhaustive_leaf import judge
from exhaustive_parts import Broken, feeds_of
from exhaustive_state import Best
from near_oracle import EverySite
from oracle_feeds import exact

from equipsel.quantities import cents


def held(site, units, placements):
    """What a complete arrangement takes: how many of each thing in each place and on each run."""
    found = Counter()
    for unit in units:
        for row in (unit.build.model, *unit.build.supplies):
            found["unit", row.model, unit.place] += 1
    for (model, place), there in site.owned.items():
        if found["unit", model, place]:
            found["unit", model, place] = max(0, found["unit", model, place] - there)
    for placed in placements:
        for row in placed.chain:
            found["extender", row.model, placed.route.place, placed.device.device, placed.route.length, placed.route.cable.model] += 1
    for unit, feed in feeds_of(units):
        for row in feed.chain:
            found["extender", row.model, feed.route.place, unit.place, feed.route.length, feed.route.cable.model] += 1
    found.update(_cables(site, units, placements))
    found.update(_bought_extras(site, units, placements))
    found.update({("open", place): 1 for place in {unit.place for unit in units} if site.places[place].open_cost})
    return {key: count for key, count in found.items() if count}


def _cables(site, units, placements):
    runs = _runs(units, placements)
    used = Counter(shared for _, shared in runs)
    routes = {shared: route for route, shared in runs}
    for shared, route in routes.items():
        new = max(0, used[shared] - route.existing)
        start = shared if isinstance(shared, tuple) else site.scenario.devices[shared].device
        yield from [("cable", start, route.length, route.cable)] * new


def _bought_extras(site, units, placements):
    """One extra at a time, read off its line of the bill."""
    for at, extra in enumerate(site.catalog.extras):
        each = cents(extra.price + extra.install_cost)
        alone = type("Alone", (), {"catalog": type("One", (), {"extras": (extra,)})})
        if each:
            yield from [("extra", at)] * (_extras(alone, units, placements) // each)


def paid_cents(site, counts):
    """What all of it costs, in cents."""
    rows = {row.model: row for table in (site.catalog.switches, site.catalog.injectors, site.catalog.extenders) for row in table}
    total, metres = Fraction(0), {}
    for key, count in counts.items():
        if key[0] in {"unit", "extender"}:
            row = rows.get(key[1])
            piece = site.rules.piece_cost if row else 0
            row = row or site.catalog.supply[key[1]]
            total += count * exact(row.price + row.install_cost + piece)
        elif key[0] == "open":
            total += exact(site.places[key[1]].open_cost)
        elif key[0] == "extra":
            extra = site.catalog.extras[key[1]]
            total += count * exact(extra.price + extra.install_cost)
        else:
            metres[key[3]] = metres.get(key[3], Fraction(0)) + count * exact(key[2])
    whole = cents(total)
    for cable, length in metres.items():
        if cable.sold_m:
            whole += cents(ceil(length / exact(cable.sold_m)) * exact(cable.sold_m * cable.price_per_m))
            whole += cents(length * exact(cable.install_cost_per_m))
        else:
            whole += cents(length * exact(cable.price_per_m + cable.install_cost_per_m))
    return whole


class EveryKit(Search):
    """The exhaustive search, kept from dropping what is dearer than the best, up to a cost: what every kit takes."""

    def __init__(self, site, most_cents):
        super().__init__(site)
        self.best = Best(most_cents + 1, ())
        self.kits = set()

    def _judge(self):
        try:
            cost = judge(self.site, self.units, self.placements)
        except Broken as broken:
            if broken.place is not None and len(self.idle) <= 2:
                self._add_idle(broken.place)
            return
        if cost < self.best.cost:
            self.kits.add(frozenset(held(self.site, self.units, self.placements).items()))


def every_kit(site, most_cents):
    """What kits of a site take, those left out that take no less of anything than another."""
    search = EveryKit(EverySite(site.scenario, site.catalog), most_cents)
    search.devices(0)
    return undominated([dict(one) for one in search.kits])


def no_more(one, other):
    return all(other.get(key, 0) >= count for key, count in one.items())


def undominated(found):
    kept = []
    for one in sorted(found, key=lambda counts: sum(counts.values())):
        if not any(no_more(other, one) for other in kept):
            kept.append(one)
    return kept


def merged(one, other):
    return {key: max(one.get(key, 0), other.get(key, 0)) for key in one.keys() | other.keys()}


class Plans:
    """Every way through the stages, given what the kits of each take."""

    def __init__(self, sites, kits):
        self.sites = [EverySite(site.scenario, site.catalog) for site in sites]
        self.kits = kits

    def paid(self, at, counts):
        return paid_cents(self.sites[at], counts)

    def once(self):
        return min(self.paid(-1, kit) for kit in self.kits[-1])

    def by_stage(self, weights):
        """Every total that buying the cheapest at each stage can end with: which of several cheapest was taken decides."""
        states = {((), Fraction(0), 0)}
        for at, kits in enumerate(self.kits):
            following = set()
            for counts, total, before in states:
                after = [(merged(dict(counts), kit), kit) for kit in kits]
                costs = [self.paid(at, one) for one, _ in after]
                for (one, _), cost in zip(after, costs, strict=True):
                    if cost == min(costs):
                        following.add((tuple(sorted(one.items(), key=repr)), total + weights[at] * (cost - before), cost))
            states = following
        return {cents(total / 100) for _, total, _ in states}

    def ahead(self, weights):
        """The least discounted total in cents; and, of all plans of that total, the least sum of what was paid by each earlier stage."""
        last = len(self.kits) - 1
        states = [({}, (Fraction(0), Fraction(0)))]
        for at, kits in enumerate(self.kits):
            later = weights[at + 1] if at < last else 0
            following = []
            for counts, (total, early) in states:
                for kit in kits:
                    one = merged(counts, kit)
                    cost = self.paid(at, one)
                    following.append((one, (total + (weights[at] - later) * cost, early + (cost if at < last else 0))))
            states = self._best(following)
        return min(value for _, value in states)

    def _best(self, states):
        kept = []
        for counts, value in sorted(states, key=lambda state: (state[1], sum(state[0].values()))):
            worse = (other for other, best in kept if best[0] <= value[0] and best[1] <= value[1] and no_more(other, counts))
            if next(worse, None) is None:
                kept.append((counts, value))
        return kept


class Found(Exception):  # noqa: N818 (the name says what happened)
    """An arrangement was found."""


class Within(Search):
    """The exhaustive search with so much equipment and no more: stops at the first arrangement."""

    def __init__(self, site, there):
        super().__init__(site)
        self.there = there

    def buy(self, unit, new):
        price, fine = super().buy(unit, new)
        return price, fine and all(
            self.models[row.model, unit.place] <= self._limit(row.model, unit.place) for row in (unit.build.model, *unit.build.supplies)
        )

    def _limit(self, model, place):
        return self.there.get(("unit", model, place), 0) + self.site.owned.get((model, place), 0)

    def promising(self, _at):
        return True

    def _judge(self):
        try:
            judge(self.site, self.units, self.placements)
        except Broken as broken:
            if broken.place is not None and len(self.idle) <= 4:
                self._add_idle(broken.place)
            return
        taken = held(self.site, self.units, self.placements)
        if all(self.there.get(key, 0) >= count for key, count in taken.items() if key[0] == "extender"):
            raise Found


def fits(site, there):
    """Whether a site has a kit that takes no more equipment than is there."""
    try:
        Within(EverySite(site.scenario, site.catalog), there).devices(0)
    except Found:
        return True
    return False
