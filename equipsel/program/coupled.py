"""The search of a part of a site: one program where that is quick, else windows for the kit and prices for the bound, then one program."""

import time
from collections.abc import Callable

from equipsel.program.adapter import Stop
from equipsel.program.model import Problem
from equipsel.program.parts import bound_by_the_bill, places_of
from equipsel.program.prices import Prices
from equipsel.program.search import Found, Progress, Search, Ties
from equipsel.program.windows import Blocks, Price, Windows, blocks, shared

FEWEST_BLOCKS, FEWEST_CHOICES = 4, 1000
"""Blocks, and pairs of a group and a build that may serve it, from which on one program alone is too slow (measured)."""

KIT_SHARE, BOUND_SHARE = 0.5, 0.45
"""Of the time allowed, at most so much for windows, then for prices; what is left is for one program (our own limits)."""


def search(problem: Problem, gap: float, seconds: float, ties: Ties, price: Price, progress: Progress | None = None) -> Found:
    """The cheapest layout of a problem, by whichever way suits its size."""
    found = blocks(problem)
    if not _worth_it(problem, found):
        return Search(problem, gap, seconds, progress, ties).run()
    return Coupled(problem, found, gap, seconds, price, progress).run()


def _worth_it(problem: Problem, found: Blocks) -> bool:
    """Whether a problem is large, falls into blocks with few neighbours each, tied together by nothing but devices with a choice."""
    standing: dict[str, int] = {}
    for build in problem.builds:
        standing[build.place] = standing.get(build.place, 0) + 1
    choices = sum(standing.get(name, 0) for group in problem.groups for name in places_of(group))
    large = len(found.places) >= FEWEST_BLOCKS and choices >= FEWEST_CHOICES
    local = 2 * max((len(near) for near in found.near), default=0) <= len(found.places)
    return large and local and any(shared(group) for group in problem.groups) and next(bound_by_the_bill(problem), None) is None


class Coupled:
    """One search of blocks that devices with a choice tie together."""

    def __init__(self, problem: Problem, found: Blocks, gap: float, seconds: float, price: Price, progress: Progress | None) -> None:
        """Start the clock."""
        started = time.monotonic()
        self.problem, self.gap, self.price, self.progress = problem, gap, price, progress
        self.deadline = started + seconds
        self.windows = Windows(problem, found, price, started + KIT_SHARE * seconds)
        self.prices = Prices(problem, found, started + (KIT_SHARE + BOUND_SHARE) * seconds)
        self.best: int | None = None

    def run(self) -> Found:
        """The cheapest layout found, and the best bound."""
        stop = Stop.LIMIT
        try:
            self.prices.begin()
            if not self.windows.first():
                return Search(self.problem, self.gap, self._left_s(), self.progress, Ties.UNITS).run()
            self._tell()
            self.windows.improve(self._tell)
            self.prices.raise_bound(self._cost())
            self._tell()
            if not self._proven() and self._left_s() > 0:
                return self._together()
        except KeyboardInterrupt:
            stop = Stop.INTERRUPTED
        return self._found(Stop.PROVEN if self._proven() else stop)

    def _together(self) -> Found:
        """One program for what is cheaper than the kit known, in the time that is left."""
        found = Search(self.problem, self.gap, self._left_s(), self._reporter(), Ties.UNITS, beat=self._cost()).run()
        bounds = [bound for bound in (found.bound_cents, self.prices.bound) if bound is not None]
        if found.layout is not None:
            bound = max(bounds, default=None)
            return Found(found.stop, found.layout, found.batteries, found.cost_cents, bound)
        self.prices.bound = self._cost() if found.stop is Stop.PROVEN else min(max(bounds, default=0), self._cost())
        return self._found(Stop.PROVEN if self._proven() else found.stop)

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _cost(self) -> int:
        return self.price(*self.windows.layout())

    def _proven(self) -> bool:
        bound = self.prices.bound
        return bound is not None and self.best is not None and self.best - bound <= self.gap * self.best

    def _found(self, stop: Stop) -> Found:
        if self.best is None:
            return Found(stop, bound_cents=self.prices.bound)
        layout, batteries = self.windows.layout()
        cost = self.price(layout, batteries)
        bound = None if self.prices.bound is None else min(self.prices.bound, cost)
        return Found(stop, layout, batteries, cost, bound)

    def _tell(self) -> None:
        self.best = self._cost()
        if self.progress:
            self.progress(self.best, self.prices.bound)

    def _reporter(self) -> Callable[[int | None, int | None], None] | None:
        tell, best, bound = self.progress, self._cost(), self.prices.bound
        if tell is None:
            return None
        return lambda cost, low: tell(best if cost is None else min(cost, best), max(low or 0, bound or 0) or None)
