"""Kits that cost nearly the same, each really different: no kit buys everything that a cheaper one of them buys."""

from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.compare.ask import Question, bought
from equipsel.compare.stepwise import Searches
from equipsel.kit import Kit
from equipsel.quantities import money


@dataclass(frozen=True)
class NearKit:
    """A kit near the cheapest: its cost, and how many it buys of each switch, supply, injector and extender."""

    cost: Decimal
    bought: dict[str, int]
    kit: Kit


@dataclass(frozen=True)
class Near:
    """Kits in order of cost. `complete`: there are no others within the limit; else there may be more.

    ties: how many different bills cost the same as the cheapest, also those beyond the kits given; counted: that is all of them.
    """

    kits: tuple[NearKit, ...]
    within_pct: Decimal
    complete: bool
    ties: int
    counted: bool


MOST_TIES = 100
"""Ties are counted up to so many (our own limit: each is a search, and who has a hundred to choose from needs no more)."""


class NearKits:
    """The study: the cheapest kit, then the cheapest that does not buy all of any before it, and so on; ties are counted on.

    Kits of one cost come in any order: one that turns out to buy all of a later one at the same cost is left out.
    """

    def __init__(self, question: Question, most: int, within_pct: Decimal) -> None:
        """A site, how many kits at most, and how far above the cheapest in percent."""
        self.question, self.most, self.within_pct = question, most, within_pct
        self.kits: list[NearKit] = []
        self.complete = self.counted = False

    @property
    def found(self) -> Near:
        """The kits known by now."""
        kits = tuple(self.kits[: self.most])
        ties = sum(one.cost == self.kits[0].cost for one in self.kits)
        return Near(kits, self.within_pct, self.complete and len(kits) == len(self.kits), ties, self.counted)

    def searches(self) -> Searches[None]:
        """Until there is no other kit within the limit, or all that cost the least are counted and enough are found."""
        while new := (yield from self._next()):
            dearer = bool(self.kits) and new.cost > self.kits[0].cost
            self.counted |= dearer
            if self.kits and _beyond(new.cost, self.kits[0].cost, self.within_pct):
                break
            if len(self.kits) >= self.most and (dearer or len(self.kits) >= MOST_TIES):
                return
            self.kits = [*(one for one in self.kits if one.cost < new.cost or not _covers(one.bought, new.bought)), new]
        self.complete = self.counted = True

    def _next(self) -> Searches[NearKit | None]:
        """The cheapest kit that does not buy all of any of these."""
        bills = tuple(one.bought for one in self.kits)
        kit, cost = yield replace(self.question, restriction=replace(self.question.restriction, bills=bills))
        return None if cost is None else NearKit(money(cost), bought(kit, self.question.site), kit)


def _beyond(cost: Decimal, least: Decimal, within_pct: Decimal) -> bool:
    return (cost - least) * 100 > least * within_pct


def _covers(one: dict[str, int], other: dict[str, int]) -> bool:
    return all(one.get(model, 0) >= count for model, count in other.items())
