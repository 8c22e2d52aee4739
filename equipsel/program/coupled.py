"""The search of a part of a site: one program where that is quick; else blocks, priced for the bound and put together for the kit."""

import time
from collections.abc import Callable
from dataclasses import replace
from math import ceil, floor

from equipsel.program.adapter import Stop
from equipsel.program.answer import joined
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.columns import Columns
from equipsel.program.joint import settle
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.money import Money
from equipsel.program.outlines import Outlines
from equipsel.program.parts import bound_by_the_bill, places_of
from equipsel.program.prices import Pricing
from equipsel.program.projection import RUN
from equipsel.program.search import Found, Progress, Search, Ties
from equipsel.program.windows import Standing
from equipsel.workers import Workers

FEWEST_BLOCKS, FEWEST_CHOICES = 4, 1000
"""Blocks, and pairs of a group and a build that may serve it, from which on one program alone is too slow (measured)."""

ROUNDS_SHARE = 0.65
"""By which share of the time allowed rounds of pricing end, but for the first, which must be whole (our own limit)."""

TOGETHER_BLOCKS, TOGETHER_SHARE = 6, 0.3
"""Up to so many blocks, one program of all is given so much of the time at the end (our own limits)."""

NARROW_SHARE, JOIN_SHARE = 0.75, 0.92
"""By which share of the time before that windows of two blocks end, and joining blocks for the bound (our own limits)."""

ROUGHNESS = 0.02
"""The choice of a block need be no nearer to the best than so much of the gap of the whole (our own limit)."""

OPEN_AT_FIRST = 0.04
"""What of a first bound is taken to be open while there is no kit (our own limit)."""

KIT_ROUNDS = 3
"""After so many rounds a kit is put together, and after as many more again (our own limit)."""

CHOOSE_S = 2.0
"""Seconds for choosing columns that make a kit at most (our own limit)."""


def search(
    problem: Problem, gap: float, seconds: float, ties: Ties, progress: Progress | None = None, executor: Workers | None = None
) -> Found:
    """The cheapest layout of a problem, by whichever way suits its size; blocks are worked on by an executor where there is one."""
    deadline, found = time.monotonic() + seconds, blocks(problem)
    answer = Coupled(found, gap, deadline, progress, executor).run() if _worth_it(problem, found) else None
    return Search(problem, gap, deadline - time.monotonic(), progress, ties).run() if answer is None else answer


def _worth_it(problem: Problem, found: Blocks) -> bool:
    """Whether a problem is large, falls into blocks with few neighbours each, tied together by nothing but devices with a choice."""
    standing: dict[str, int] = {}
    for build in problem.builds:
        standing[build.place] = standing.get(build.place, 0) + 1
    choices = sum(standing.get(name, 0) for group in problem.groups for name in places_of(group))
    large = len(found.all) >= FEWEST_BLOCKS and choices >= FEWEST_CHOICES
    local = 2 * max((len(near) for near in found.near), default=0) <= len(found.all)
    return large and local and bool(found.counts) and next(bound_by_the_bill(problem), None) is None


class Coupled:
    """One search of blocks that devices with a choice tie together."""

    def __init__(self, found: Blocks, gap: float, deadline: float, progress: Progress | None, executor: Workers | None) -> None:
        """Know the blocks; there is no kit and no bound yet."""
        self.blocks, self.gap, self.deadline, self.progress = found, gap, deadline, progress
        outlines = Outlines(found, executor, deadline)
        columns = Columns(found.counts)
        self.pricing = Pricing(found, columns, outlines, executor, deadline)
        self.kit = Standing(found, columns, outlines, executor, self.pricing.cuts, self.pricing.slack)
        self.fixed_cents = 0

    def run(self) -> Found | None:
        """The cheapest layout found, and the best bound; None where no block by itself gives a kit to begin with."""
        try:
            if not self.begin():
                return self._found(Stop.LIMIT)
            if not self._price():
                return None
            self._improve()
            self._together()
        except KeyboardInterrupt:
            if self.kit.executor is not None:
                self.kit.executor.stop()
            return self._found(Stop.INTERRUPTED)
        return self._found(Stop.PROVEN if self._proven() else Stop.LIMIT)

    def _share_time(self) -> None:
        """Until when each step may take, of the time that is left."""
        now, apart = time.monotonic(), 1 - TOGETHER_SHARE if len(self.blocks.all) <= TOGETHER_BLOCKS else 1
        shares = (ROUNDS_SHARE, NARROW_SHARE, JOIN_SHARE, 1)
        self.rounds_end, self.narrow_end, self.join_end, self.wide_end = (now + share * apart * (self.deadline - now) for share in shares)
        self.pricing.deadline = self.narrow_end

    def begin(self) -> bool:
        """The first prices, and what is paid whatever is chosen; whether there was time to look at every block."""
        if not self.pricing.outlines.complete:
            return False
        self._share_time()
        self.kit.columns.home = {group: self._home_of(group) for group in self.blocks.counts}
        self.fixed_cents = Money(Model(replace(self.blocks.problem, builds=[]), Refinement())).fixed_cents
        self.pricing.begin(self.homes())
        return True

    def _home_of(self, group: int) -> int:
        """The first block that a group's first run leads to and that can power it there; if none can, the first that it leads to."""
        first = places_of(self.blocks.problem.groups[group])[0]
        there = [at for at in sorted(self.blocks.holders[group]) if first in self.blocks.all[at].part.problem.site.scenario.place]
        return next((at for at in there if self._powers(at, group)), there[0])

    def _powers(self, block: int, group: int) -> bool:
        """Whether a block has any way to power a shared group over its first run."""
        run = (RUN, self.blocks.all[block].shared[group], 0)
        return any(key[:3] == run for key in self.pricing.outlines.known[block].projection.keys)

    def homes(self) -> dict[int, dict[int, int]]:
        """Every shared group served at home."""
        served: dict[int, dict[int, int]] = {at: {} for at in range(len(self.blocks.all))}
        for group, block in self.kit.columns.home.items():
            served[block][group] = self.blocks.counts[group]
        return served

    def _price(self) -> bool:
        """Rounds of pricing, some with a kit put together from what they show. Whether there is a kit."""
        self.pricing.within = self._within()
        for number, _ in enumerate(self.pricing.rounds(), 1):
            self.pricing.deadline = self.rounds_end
            self._choose({} if number % KIT_ROUNDS else self.pricing.rough(self._choosing_s()))
            if self._proven():
                return True
            if number >= KIT_ROUNDS and not self._begun():
                return False
        if self.pricing.reached is not None:  # else some block may have no column
            self._choose(self.kit.columns.chosen(self._choosing_s()))
        return self._begun()

    def _improve(self) -> None:
        """Windows of two blocks; pairs of blocks for the bound; wider windows."""
        for step in (self._narrow, self._join, self._wide):
            if not self._proven():
                step()

    def _narrow(self) -> None:
        self.kit.narrow(self.narrow_end, self._tell)
        self.pricing.within = self._within()

    def _join(self) -> None:
        self.pricing.deadline = self.join_end
        self.pricing.join(self.kit.starts(self.kit.kept))
        self._choose(self.kit.columns.chosen(self._choosing_s()))

    def _wide(self) -> None:
        self.kit.widen(self.wide_end, self._tell)

    def _begun(self) -> bool:
        """Whether there is a kit: if need be the one that serves every device at home."""
        return bool(self.kit.kept) or self.kit.choose(self.homes(), self._share_open(), self._choosing_end())

    def _choosing_end(self) -> float:
        """Until when a kit may be put together: the first as long as it takes."""
        return self.narrow_end if self.kit.kept else self.deadline

    def _choosing_s(self) -> float:
        """Seconds in which columns may be chosen."""
        return min(CHOOSE_S, self.deadline - time.monotonic())

    def _choose(self, chosen: dict[int, dict[int, int]]) -> None:
        if chosen:
            self.kit.choose(chosen, self._share_open(), self._choosing_end())
        self.pricing.within = self._within()
        self._tell()

    def _within(self) -> int:
        """How far from the least a block may be priced, in cents."""
        return floor(self._share_open() * (self.pricing.bound or 0) / len(self.blocks.all))

    def _share_open(self) -> float:
        """The gap at which the choice of a block may be left."""
        bound = self.pricing.bound
        return ROUGHNESS * (max(self.kit.cost() / bound - 1, 0) if self.kit.kept and bound else OPEN_AT_FIRST)

    def _together(self) -> None:
        """One program for what is cheaper than the kit known, in the time that is left."""
        if self._proven() or self.deadline <= time.monotonic():
            return
        everything = list(range(len(self.blocks.all)))
        starts = self.kit.starts(everything)
        task = self.kit.task(everything, self.blocks.counts, self.gap, self.deadline, starts, self.kit.cost())
        found = settle(replace(task, exact=True), self._reporter())
        if found.settled:
            self.kit.kept = dict(found.settled)
        bounds = [bound for bound in (self.pricing.bound, found.bound) if bound is not None]
        if bounds:
            self.pricing.bound = min(max(bounds), self.kit.cost())
        if found.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt

    def _proven(self) -> bool:
        bound = self.pricing.bound
        return bool(self.kit.kept) and bound is not None and self.kit.cost() - bound <= self.gap * (self.kit.cost() + self.fixed_cents)

    def _found(self, stop: Stop) -> Found:
        bound = None if self.pricing.bound is None else self.pricing.bound + self.fixed_cents
        if not self.kit.kept:
            return Found(stop, bound_cents=bound)
        layout, batteries = joined(self.blocks.problem, ((self.blocks.all[at].part, item.answer) for at, item in self.kit.kept.items()))
        cost = self.kit.cost() + self.fixed_cents
        return Found(stop, layout, batteries, cost, None if bound is None else min(bound, cost))

    def _tell(self) -> None:
        if self.progress:
            bound = None if self.pricing.bound is None else self.pricing.bound + self.fixed_cents
            self.progress(self.kit.cost() + self.fixed_cents if self.kit.kept else None, bound)

    def _reporter(self) -> Callable[[float, float], None] | None:
        tell, best, low, fixed = self.progress, self.kit.cost(), self.pricing.bound or 0, self.fixed_cents
        if tell is None:
            return None
        return lambda cost, bound: tell(round(min(cost, best)) + fixed, ceil(max(bound, low) - 1e-6) + fixed)
