"""Kits that cost nearly the same, each really different: no kit buys everything that a cheaper one of them buys."""

from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.compare.ask import Question, Unproven, bought, proven
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


@dataclass(frozen=True)
class NearTask:
    """A site, how many kits at most, and how far above the cheapest in percent; the searches' gap is 0."""

    question: Question
    most: int
    within_pct: Decimal


MOST_TIES = 100
"""Ties are counted up to so many (our own limit: each is a search, and who has a hundred to choose from needs no more)."""


def near(task: NearTask) -> Near:
    """The cheapest kit, then the cheapest that does not buy all of any before it, and so on; kits of the least cost are counted on.

    Kits of one cost come in any order: one that turns out to buy all of a later one at the same cost is left out.
    """
    found: list[NearKit] = []
    try:
        while True:
            new = _next(task.question, found)
            if new is None or (found and _beyond(new.cost, found[0].cost, task.within_pct)):
                return _near(task, found, complete=True, counted=True)
            dearer = bool(found) and new.cost > found[0].cost
            if len(found) >= task.most and (dearer or len(found) >= MOST_TIES):
                return _near(task, found, complete=False, counted=dearer)
            found = [*(one for one in found if one.cost < new.cost or not _covers(one.bought, new.bought)), new]
    except Unproven:
        return _near(task, found, complete=False, counted=bool(found) and found[-1].cost > found[0].cost)


def _next(question: Question, found: list[NearKit]) -> NearKit | None:
    """The cheapest kit that does not buy all of any of these. Raises Unproven."""
    bills = tuple(one.bought for one in found)
    kit, cost = proven(replace(question, restriction=replace(question.restriction, bills=bills)))
    return None if cost is None else NearKit(money(cost), bought(kit, question.site), kit)


def _near(task: NearTask, found: list[NearKit], *, complete: bool, counted: bool) -> Near:
    kits = tuple(found[: task.most])
    ties = sum(one.cost == found[0].cost for one in found)
    return Near(kits, task.within_pct, complete and len(kits) == len(found), ties, counted)


def _beyond(cost: Decimal, least: Decimal, within_pct: Decimal) -> bool:
    return (cost - least) * 100 > least * within_pct


def _covers(one: dict[str, int], other: dict[str, int]) -> bool:
    return all(one.get(model, 0) >= count for model, count in other.items())
