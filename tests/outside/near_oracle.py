"""The cheapest kit of every bill up to a cost, by trying every arrangement: for what kits cost nearly the same."""

from collections import Counter

from exhaustive import MOST_IDLE, Search
from exhaustive_leaf import judge
from exhaustive_parts import Broken, chains_of
from exhaustive_site import Site
from exhaustive_state import Best

Bill = tuple[tuple[str, int], ...]


class EverySite(Site):
    """A site where supplies that others beat may be bought too: they are what is in stock."""

    def _beats(self, *_):
        return False


class EveryBill(Search):
    """The exhaustive search, kept from dropping what is dearer than the best, up to a cost in cents."""

    def __init__(self, site, most_cents):
        super().__init__(site)
        self.best = Best(most_cents + 1, ())
        self.bills: dict[Bill, int] = {}

    def _judge(self):
        try:
            cost = judge(self.site, self.units, self.placements)
        except Broken as broken:
            if broken.place is not None and len(self.idle) <= MOST_IDLE:
                self._add_idle(broken.place)
            return
        bill = self._bill()
        if cost < self.best.cost:
            self.bills[bill] = min(cost, self.bills.get(bill, cost))

    def _bill(self):
        used = Counter((unit.place, unit.build.model.model) for unit in self.units)
        used += Counter((unit.place, row.model) for unit in self.units for row in unit.build.supplies)
        total = Counter()
        for (place, model), count in used.items():
            total[model] += max(0, count - self.site.owned.get((model, place), 0))
        total += Counter(row.model for chain in chains_of(self.units, self.placements) for row in chain)
        return tuple(sorted((+total).items()))


def different_bills(scenario, catalog, most_cents):
    """Bills and their costs up to a cost, but for those that buy everything of another that costs no more."""
    search = EveryBill(EverySite(scenario, catalog), most_cents)
    search.devices(0)
    found = search.bills

    def beaten(bill, cost):
        mine = dict(bill)
        others = ((dict(other), price) for other, price in found.items() if other != bill and price <= cost)
        return any(all(mine.get(model, 0) >= count for model, count in other.items()) for other, _ in others)

    return {bill: cost for bill, cost in found.items() if not beaten(bill, cost)}
