"""Kits that cost nearly the same, each really different: no kit buys everything that a cheaper one of them buys."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.compare.ask import Question, bought, cost_cents, is_proven
from equipsel.kit import Kit, Status
from equipsel.program.restriction import Restriction
from equipsel.quantities import money


@dataclass(frozen=True)
class NearKit:
    """A kit near the cheapest: its cost, and how many it buys of each switch, supply, injector and extender."""

    cost: Decimal
    bought: dict[str, int]
    kit: Kit


@dataclass(frozen=True)
class Near:
    """Kits in order of cost. `complete`: there are no others within the limit; else there may be more."""

    kits: tuple[NearKit, ...]
    within_pct: Decimal
    complete: bool

    @property
    def ties(self) -> int:
        """How many of them cost the same as the cheapest."""
        return sum(kit.cost == self.kits[0].cost for kit in self.kits)


@dataclass(frozen=True)
class NearTask:
    """A site, how many kits at most, and how far above the cheapest in percent; the searches' gap is 0."""

    question: Question
    most: int
    within_pct: Decimal


def near(task: NearTask, tell: Callable[[NearKit], None] | None = None) -> Near:
    """The cheapest kit, then the cheapest that does not buy all of any before it, and so on.

    Kits of one cost come in any order: one that turns out to buy all of a later one at the same cost is left out.
    """
    found: list[NearKit] = []
    while True:
        ask = replace(task.question, gap=Decimal(0), restriction=_unlike(task.question, found))
        kit = ask.kit()
        cost = cost_cents(kit)
        if not is_proven(kit):
            return Near(tuple(found), task.within_pct, False)
        if kit.status is Status.INFEASIBLE or cost is None or (found and _beyond(money(cost), found[0].cost, task.within_pct)):
            return Near(tuple(found), task.within_pct, True)
        if len(found) >= task.most:
            return Near(tuple(found), task.within_pct, False)
        new = NearKit(money(cost), bought(kit, ask.site), kit)
        found = [*(one for one in found if one.cost < new.cost or not _covers(one.bought, new.bought)), new]
        if tell:
            tell(new)


def _unlike(question: Question, found: list[NearKit]) -> Restriction:
    return replace(question.restriction, bills=tuple(one.bought for one in found))


def _beyond(cost: Decimal, least: Decimal, within_pct: Decimal) -> bool:
    return (cost - least) * 100 > least * within_pct


def _covers(one: dict[str, int], other: dict[str, int]) -> bool:
    return all(one.get(model, 0) >= count for model, count in other.items())
