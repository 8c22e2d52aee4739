"""Devices added against least cost, each point proven or between bounds, and what each step buys.

It begins with today's kit. Least cost never falls as devices are added, and taking a device away saves at least what it brings along.
So where the kit of a point has room for more, they cost what they bring along and nothing is searched; the equipment of a later point
bounds those before it. What is left is searched, the nearest first. Where time does not allow a proof of all, the second half of it is
for the others: each for a share of it, the last first and then where most lie open together, and again with what time is left. A
second process begins so at once. What time does not allow lies between its bounds.
"""

import time
from decimal import Decimal
from itertools import groupby
from math import inf

from equipsel.growth.ledger import bought, equipment, paid
from equipsel.growth.points import Curve, CurveTask, Point
from equipsel.kit import Kit, Status
from equipsel.quantities import cents
from equipsel.solve import Limits, cheapest_kit

SHARE, LEAST_S = 3.4, 20.0
"""A curve may take so many times the seconds of today's kit, and so many seconds at any rate (our own limits)."""

LONGER = 0.6
"""A point is searched again where the seconds it had are less than so much of those left (our own limit)."""

REASONS_S = 20.0
"""Seconds for finding out why there is no kit from a number on (our own limit)."""

SLICE = 0.4
"""So much of the seconds of today's kit each search gets at the least where time does not allow a proof of all (our own limit)."""


def curve(task: CurveTask) -> Curve:
    """The curve of a task."""
    return _Tracer(task).run()


class _Tracer:
    """The work of `curve`, with its clock."""

    def __init__(self, task: CurveTask) -> None:
        assert task.today is not None, "a curve begins with today's kit"
        self.task, self.today, self.found = task, task.today, Curve(task)
        self.last, self.tried = task.most, {0: inf}
        self.first_s = float(self.today.seconds or 0)
        self.allowed_s = max(LEAST_S, SHARE * self.first_s)
        self.deadline = time.monotonic() + self.allowed_s

    def run(self) -> Curve:
        self._take(0, self.today)
        while self._left_s() > 0 and (number := self._next()) is not None:
            self._search(number)
        if self.found.ends is not None and not self.found.reasons:
            self.found.reasons = self._kit(self.found.ends, REASONS_S, REASONS_S).reasons
        return self.found

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _next(self) -> int | None:
        """The point to search next; None where all are proven, or time allows none a longer search than it had."""
        left = [number for number in range(self.last + 1) if self._open(number) and self.tried.get(number, 0.0) < LONGER * self._left_s()]
        untried = [number for number in left if number not in self.tried]
        if self._proves(len(untried)) and not (self.task.down and untried):
            return next(iter([*untried, *left]), None)
        return self.last if self.found.ends is None and self.last in untried else _middle(untried)

    def _proves(self, untried: int) -> bool:
        """Whether it is time for proofs: there is enough for all, or more than half is left."""
        return self._left_s() >= untried * self.first_s or self._left_s() > self.allowed_s / 2

    def _search(self, number: int) -> None:
        untried = sum(1 for one in range(self.last + 1) if self._open(one) and one not in self.tried)
        share = 0.5 if self._proves(untried) and untried > 1 else 1 / max(untried, 1)
        seconds = max(share * self._left_s(), SLICE * self.first_s)
        self.tried[number] = min(self.task.terms.seconds(self.task.site), self._left_s(), seconds)
        self.found.searched |= {number}
        self._take(number, self._kit(number, self.tried[number], 0.0))

    def _kit(self, number: int, seconds: float, reasons_s: float) -> Kit:
        site = self.task.grown(number)
        return cheapest_kit(site.scenario, site.catalog, Limits(self.task.terms.gap, seconds, reasons_s=reasons_s, ties=False))

    def _take(self, number: int, kit: Kit) -> None:
        """What a kit says of a point, and of those beside it."""
        if kit.status is Status.INFEASIBLE:
            self.found.ends, self.found.reasons, self.last = number, kit.reasons, number - 1
        elif kit.cost is not None:
            least = max(_cents(kit.lower_bound or 0), self.found.least(number))
            there = equipment(bought(kit, self.task.grown(number)))
            self._keep(Point(number, _cents(kit.cost), least, there, "solved" if not kit.gap else "tried"))
            self._fill(number)
            self.found.raise_bounds()

    def _keep(self, point: Point) -> None:
        known = self.found.points.get(point.number)
        if known is None or point.cost < known.cost or (point.cost == known.cost and point.least > known.least):
            self.found.points[point.number] = point

    def _fill(self, number: int) -> None:
        """Settle the points after one whose kit has room for more, and bound those before one from its kit."""
        low, high = number, self.last + 1
        while high - low > 1:
            middle = min(2 * low - number + 1, self.last) if high > self.last else (low + high) // 2
            low, high = (middle, high) if self._has_room(number, middle) else (low, middle)
        for at in range(number + 1, low):
            if self._open(at):
                self._has_room(number, at)
        for at in range(number - 1, -1, -1):
            if self._open(at) and at + 1 in self.found.points:
                self._has_room(at + 1, at)

    def _open(self, number: int) -> bool:
        """Whether a point is not yet known, or not yet proven."""
        return number not in self.found.points or not self.found.points[number].proven

    def _has_room(self, number: int, other: int) -> bool:
        """Whether the equipment of a point serves another one; if so its cost is known from above."""
        site, there = self.task.grown(other), self.found.points[number].equipment
        kit = cheapest_kit(site.scenario, site.catalog, Limits(self.task.terms.gap, 10.0), paid=paid(there, frozen=True))
        if kit.cost is None:
            return False
        own = self.task.own(number, other)[1] if other > number else self.task.own(other, number)[1]
        self._keep(Point(other, _cents(kit.cost), self.found.least(other), equipment(bought(kit, site)), "room", own))
        return True


def _middle(numbers: list[int]) -> int | None:
    """The middle of the longest stretch of numbers that follow one another, the first of those; None where there are none."""
    stretches = [[number for _, number in held] for _, held in groupby(enumerate(numbers), lambda one: one[1] - one[0])]
    longest = max(stretches, key=len, default=[])
    return longest[len(longest) // 2] if longest else None


def _cents(money: float | int) -> int:
    return cents(Decimal(str(money)))
