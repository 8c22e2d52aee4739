"""One search of a cost curve: the cheapest kit of a point, and what it says of the points beside it.

Where the kit of a point has room for more devices, they cost what they bring along and nothing is searched; the equipment of a later
point bounds those before it.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.growth.ledger import bought, equipment, paid
from equipsel.growth.points import Curve, CurveQuestion, Point
from equipsel.kit import Kit, Status
from equipsel.quantities import cents
from equipsel.solve import Limits, cheapest_kit

REASONS_S = 20.0
"""Seconds for finding out why there is no kit from a number on (our own limit)."""

ROOM_S = 10.0
"""Seconds for finding out whether the equipment of a point serves another one (our own limit)."""


@dataclass(frozen=True)
class SearchTask:
    """A point to search, for how many seconds (None: it is known, and only what it says of others is sought); what is known before."""

    curve: int
    number: int
    seconds: float | None
    known: Curve


@dataclass(frozen=True)
class ReasonsTask:
    """Why no kit takes so many more devices."""

    curve: int
    known: Curve


def begun(question: CurveQuestion, today: Kit) -> Curve:
    """A curve with today's kit as its first point."""
    search = _Search(Curve(question))
    search.take(0, today)
    return search.known


def searched(task: SearchTask) -> Curve:
    """What is known after a search."""
    search = _Search(replace(task.known, points=dict(task.known.points)))
    if task.seconds is not None:
        search.known.searched |= {task.number}
        search.take(task.number, search.kit(task.number, task.seconds, 0.0))
    if task.number in search.known.points:
        search.fill(task.number)
        search.known.raise_bounds()
    return search.known


def reasons(task: ReasonsTask) -> tuple[str, ...]:
    """Why a curve ends where it does."""
    assert task.known.ends is not None, "reasons are sought where a curve ends"
    return _Search(task.known).kit(task.known.ends, REASONS_S, REASONS_S).reasons


class _Search:
    """The work of `searched` on what is known."""

    def __init__(self, known: Curve) -> None:
        self.known, self.question = known, known.question

    def kit(self, number: int, seconds: float, reasons_s: float) -> Kit:
        site = self.question.grown(number)
        return cheapest_kit(site.scenario, site.catalog, Limits(self.question.gap, seconds, reasons_s=reasons_s, ties=False))

    def take(self, number: int, kit: Kit) -> None:
        """Keep what a kit says of its point."""
        if kit.status is Status.INFEASIBLE:
            self.known.ends, self.known.reasons = number, kit.reasons
        elif kit.cost is not None:
            least = max(_cents(kit.lower_bound or 0), self.known.least(number))
            there = equipment(bought(kit, self.question.grown(number)))
            self.known.keep(Point(number, _cents(kit.cost), least, there, "solved" if not kit.gap else "tried"))

    def fill(self, number: int) -> None:
        """Settle the points after one whose kit has room for more, and bound those before one from its kit."""
        low, high, last = number, self.known.last + 1, self.known.last
        while high - low > 1:
            middle = min(2 * low - number + 1, last) if high > last else (low + high) // 2
            low, high = (middle, high) if self._has_room(number, middle) else (low, middle)
        for at in range(number + 1, low):
            if self.known.open(at):
                self._has_room(number, at)
        for at in range(number - 1, -1, -1):
            if self.known.open(at) and at + 1 in self.known.points:
                self._has_room(at + 1, at)

    def _has_room(self, number: int, other: int) -> bool:
        """Whether the equipment of a point serves another one; if so its cost is known from above.

        Fewer devices may do without some of it, which the ties find out.
        """
        site, there = self.question.grown(other), self.known.points[number].equipment
        limits = Limits(self.question.gap, ROOM_S, ties=other < number)
        kit = cheapest_kit(site.scenario, site.catalog, limits, paid=paid(there, frozen=True))
        if kit.cost is None:
            return False
        own = self.question.own(number, other)[1] if other > number else self.question.own(other, number)[1]
        self.known.keep(Point(other, _cents(kit.cost), self.known.least(other), equipment(bought(kit, site)), "room", own))
        return True


def _cents(money: float | int) -> int:
    return cents(Decimal(str(money)))
