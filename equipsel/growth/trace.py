"""Which points of a cost curve are searched, in which order and for how long; what is known of it at any time.

It begins with today's kit. Least cost never falls as devices are added, and taking a device away saves at least what it brings along:
so a kit that has room for more settles more than its own point. Where time allows a proof of all, the nearest is searched first, and
what is found counts in that order: then nothing depends on how many searches are under way at a time. Where it does not, the first half
of it is for proofs, nearest first, and the second for the others: each for a share of it, the last first and then where most lie open
together, and again with what time is left. A second search under way begins so at once. What time does not allow lies between its
bounds.
"""

import time
from itertools import groupby
from math import inf

from equipsel.growth.points import Curve, CurveQuestion, joined
from equipsel.growth.search import ReasonsTask, SearchTask, begun
from equipsel.kit import Kit

SHARE, LEAST_S = 3.2, 20.0
"""A curve may take so many times the seconds of today's kit, and so many seconds at any rate (our own limits)."""

LONGER = 0.6
"""A point is searched again where the seconds it had are less than so much of those it may have now (our own limit)."""

A_DAY_S = 86_400.0
"""Seconds for a search that is to go on until it proves its point: more than anyone waits (our own limit)."""

SLICE = 0.4
"""So much of the seconds of today's kit each search gets at the least where time does not allow a proof of all (our own limit)."""


class Trace:
    """What is known of a curve, and what is searched next; its clock begins with the first search."""

    def __init__(self, at: int, question: CurveQuestion, today: Kit, lanes: int) -> None:
        """Begin with today's kit; so many searches may be under way at a time."""
        self.at, self.question, self.lanes = at, question, lanes
        self.found = begun(question, today)
        self.first_s = float(today.seconds or 0)
        self.search_s = _most_seconds(question)
        self.allowed_s = inf if question.prove else max(LEAST_S, SHARE * self.first_s)
        self.deadline: float | None = None
        self.had: dict[int, float] = {}
        self.under_way: dict[int, bool] = {}
        self.waiting: dict[int, Curve] = {}
        self.asked_why = self.told_why = False

    def next(self) -> SearchTask | ReasonsTask | None:
        """What to do next; None where nothing is, or not before something comes back."""
        if len(self.under_way) >= self.lanes:
            return None
        if self.deadline is None:
            self.deadline = time.monotonic() + self.allowed_s
            again = self.question.prove and self.found.open(0)
            return self._search(0, self.search_s if again else None, near=True)
        if not self.found.complete() and self._left_s() > 0 and (task := self._next_search()):
            return task
        return self._why() if self.found.complete() or not self.under_way else None

    def take(self, task: SearchTask | ReasonsTask, result: Curve | tuple[str, ...]) -> None:
        """Keep what came back."""
        if isinstance(task, ReasonsTask):
            assert not isinstance(result, Curve)
            self.found.reasons, self.told_why = result, True
            return
        assert isinstance(result, Curve)
        del self.under_way[task.number]
        self.waiting[task.number] = result
        while self.waiting and self._settled_below(min(self.waiting)):
            self._join(min(self.waiting))
        if not self._time_for_all():
            self.settle()

    def settle(self) -> None:
        """Let count all that came back: time is short, or over."""
        for number in sorted(self.waiting):
            self._join(number)

    def over(self) -> bool:
        """Whether all is known that was asked for."""
        return self.found.complete() and not self._why_is_open()

    @property
    def left(self) -> int:
        """How many points are still open."""
        return sum(self.found.open(number) for number in range(self.found.last + 1))

    def _join(self, number: int) -> None:
        """Let a search count, unless its point was settled without it."""
        other = self.waiting.pop(number)
        if number == 0 or (number <= self.found.last and self.found.open(number)):
            self.found = joined(self.found, other)

    def _settled_below(self, number: int) -> bool:
        """Whether nothing before a point is still to be searched."""
        return all(not self.found.open(at) or at in self.found.searched or at == 0 for at in range(number)) and 0 not in self.under_way

    def _left_s(self) -> float:
        assert self.deadline is not None, "the clock runs"
        return self.deadline - time.monotonic()

    def _untried(self) -> list[int]:
        """The points that are open and were not searched, the nearest first."""
        ends = (curve.last for curve in (self.found, *self.waiting.values()))
        return [number for number in range(1, min(ends) + 1) if self.found.open(number) and number not in self.had]

    def _time_for_all(self) -> bool:
        return self._left_s() >= len(self._untried()) * self.first_s

    def _next_search(self) -> SearchTask | None:
        untried, for_all = self._untried(), self._time_for_all()
        if not for_all:
            self.settle()
        elif 0 in self.under_way:
            return None
        proves = for_all or self._left_s() > self.allowed_s / 2
        near = for_all or (proves and sum(self.under_way.values()) < (self.lanes + 1) // 2)
        number = self._nearest(untried) if near or not untried else self._far(untried)
        if number is None:
            return None
        share = 0.5 if proves and len(untried) > 1 else min(1.0, self.lanes / max(len(untried), 1))
        seconds = max(share * self._left_s(), SLICE * self.first_s)
        return self._search(number, min(self.search_s, self._left_s(), seconds), near=near)

    def _nearest(self, untried: list[int]) -> int | None:
        """The nearest that was not searched, else that may be searched longer than it was."""
        most = LONGER * min(self._left_s(), self.search_s)
        again = (number for number, had in sorted(self.had.items()) if had < most and number not in {*self.under_way, *self.waiting})
        return next(iter(untried), None) or next((number for number in again if self.found.open(number)), None)

    def _far(self, untried: list[int]) -> int:
        """The last point where it is not known whether there is a kit, else the middle of the most that are open together."""
        last = self.found.last
        return last if self.found.ends is None and last in untried else _middle(untried)

    def _search(self, number: int, seconds: float | None, *, near: bool) -> SearchTask:
        self.had[number] = inf if seconds is None else seconds
        self.under_way[number] = near
        return SearchTask(self.at, number, seconds, self.found)

    def _why(self) -> ReasonsTask | None:
        """What finds out why the curve ends, once it is known where."""
        self.settle()
        if self.asked_why or not self._why_is_open():
            return None
        self.asked_why = True
        return ReasonsTask(self.at, self.found)

    def _why_is_open(self) -> bool:
        return self.found.ends is not None and not self.found.reasons and not self.told_why


def _most_seconds(question: CurveQuestion) -> float:
    """Seconds for one search: as the terms say; where every point is to be proven, only what was asked for ends it sooner."""
    if question.prove and question.terms.time_limit_s is None:
        return A_DAY_S
    return question.terms.seconds(question.site)


def _middle(numbers: list[int]) -> int:
    """The middle of the longest stretch of numbers that follow one another, the first of those."""
    stretches = [[number for _, number in held] for _, held in groupby(enumerate(numbers), lambda one: one[1] - one[0])]
    longest = max(stretches, key=len)
    return longest[len(longest) // 2]
