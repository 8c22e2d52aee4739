"""A bound for blocks that devices with a choice tie together: those are priced, and each block chooses alone.

For any prices p: no kit costs less than the sum over blocks of the least (cost - p x shared devices served) plus the sum of
p x shared devices (Lagrangian relaxation). The best prices are those of the best mixture of columns (Dantzig and Wolfe 1960). They
are looked for in a box around the best so far (Marsten, Hogan, Blankenship 1975), by the mixture of the columns known.
"""

import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil

import pulp

from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.block_program import Cut, Prices
from equipsel.program.blocks import Blocks
from equipsel.program.columns import Box, Columns
from equipsel.program.joint import Settled
from equipsel.program.outlines import Outlines
from equipsel.program.plugs import Condition
from equipsel.program.projection import Counts
from equipsel.program.rows import Rows
from equipsel.program.sketch import Asked, Marginal, marginal, sketched
from equipsel.sweep import sweep
from equipsel.workers import Workers, waiting

BLOCK_S = 10.0
"""Seconds for one block at most; its bound is true all the same (our own limit)."""

JOINED_S = 10.0
"""Seconds for each of several at once, likewise."""

HOPE = 2
"""What three blocks gain is up to so many times what the two best pairs among them do (measured)."""

LAST_S = 1.0
"""Seconds to reckon what joined blocks gain together, even where time is up (our own limit)."""

REACH, LEAST_REACH = 0.05, 0.01
"""The box at first: to either side so much of each price, and at least so much of the mean of all (measured)."""

NARROWER, WIDER, TIMES = 0.5, 4.0, 3
"""What the box is multiplied by after a round that raised no bound, and where it promises too little, so many times (our own limits)."""

ROUGH = 0.5
"""A device is left unserved for the time being where serving it costs so much more than its price (measured)."""

PROMISE = 1e-4
"""A round is worth its time where the bound might rise by so much of itself, and by more than it may be off (our own limit)."""


@dataclass(frozen=True, slots=True)
class _Task:
    """What is asked of some blocks at some prices, in so many seconds."""

    asked: Asked
    seconds: float


@dataclass(frozen=True, slots=True)
class _Priced:
    """A bound on the (cost - price x served) of blocks, in cents; where found, what each costs, serves and counts; what was learnt."""

    least: int | None
    columns: Mapping[int, tuple[int, Mapping[int, int], Counts]]
    conditions: Mapping[int, tuple[Condition, ...]]


def _priced(task: _Task) -> _Priced:
    """The choice of some blocks at some prices; its bound is true however it ends. Raises KeyboardInterrupt."""
    found = sketched(task.asked, task.seconds)
    if found.stop is Stop.INTERRUPTED:
        raise KeyboardInterrupt
    of = {at: task.asked.outlines[at].projection for at in found.counts}
    columns = {at: (of[at].cost_of(counts), of[at].served_by(counts), counts) for at, counts in found.counts.items()}
    return _Priced(found.bound, columns, found.conditions)


def _marginal(task: _Task) -> Marginal:
    return marginal(task.asked, task.seconds)


@dataclass
class Pricing:
    """The best bound so far, in cents and without what is paid whatever is chosen; what was proven of each block on the way."""

    blocks: Blocks
    columns: Columns
    outlines: Outlines
    executor: Workers | None
    deadline: float
    prices: Prices = field(default_factory=dict)
    bound: int | None = None
    centre: Prices = field(default_factory=dict)
    least: dict[int, int] = field(default_factory=dict)
    cuts: list[Cut] = field(default_factory=list)
    reached: int | None = None
    tried: set[tuple[int, tuple[tuple[int, int], ...]]] = field(default_factory=set)
    width: float = 1.0
    within: int = 0

    def begin(self, homes: Mapping[int, Mapping[int, int]]) -> None:
        """The first prices: what one device more costs at home in fractions of units; if not known, what others do on average."""
        share = waiting(self.executor)
        asked = ((at, wanted, min(left / share, BLOCK_S)) for at, wanted in homes.items() if (left := self._left_s()) > 0)
        tasks = (_Task(Asked(self.outlines.some([at]), wanted), seconds) for at, wanted, seconds in asked)
        found: dict[int, float] = {}
        for _, item in sorted(sweep(_marginal, tasks, self.executor), key=lambda result: result[0]):
            self.outlines.learn(item.conditions)
            found |= item.prices
        mean = sum(found.values()) / max(len(found), 1)
        self.prices = {group: round(max(found.get(group, mean), 0.0)) for group in self.blocks.counts}

    def rounds(self) -> Iterator[None]:
        """Round after round, until no prices promise more or time is up."""
        while self._round():
            yield
            if not self._aim():
                return

    def _aim(self) -> bool:
        """The next prices; whether they are new and promise a better bound, if need be in a wider box."""
        assert self.reached is not None, "a round comes first"
        worth_it = max(PROMISE * self.reached, self.within * len(self.blocks.all))
        for _ in range(TIMES):
            value, prices = self.columns.prices(self._box(), self._left_s())
            if value - self.reached > worth_it and (self.within, tuple(prices.items())) not in self.tried:
                self.prices = prices
                return True
            self.width *= WIDER
        return False

    def rough(self, seconds: float) -> dict[int, dict[int, int]]:
        """What each block may serve, after the columns and the best prices known: leads to a kit when few columns are."""
        box = {at: (round(price * (1 - ROUGH)), round(price * (1 + ROUGH))) for at, price in self.centre.items()}
        return self.columns.chosen(seconds, box)

    def _box(self) -> Box:
        mean = sum(self.centre.values()) / max(len(self.centre), 1)
        sides = {at: ceil(self.width * max(REACH * price, LEAST_REACH * mean, 1)) for at, price in self.centre.items()}
        return {at: (max(price - sides[at], 0), price + sides[at]) for at, price in self.centre.items()}

    def slack(self, block: int, item: Settled) -> int:
        """What a block as it stands costs more than the bound reckons with, in cents: over all blocks, the cost less the bound.

        All of it where no round is done.
        """
        if not self.least:
            return item.cost
        return item.cost - sum(self.centre[group] * number for group, number in item.served.items()) - self.least[block]

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _round(self) -> bool:
        """Every block at the prices; whether there was time for all."""
        alone = [frozenset({at}) for at in range(len(self.blocks.all))]
        known = {at: self.columns.start(at, self.prices) for (at,) in alone}
        starts = {at: start for at, start in known.items() if start is not None}
        found = self._choose(alone, self.prices, BLOCK_S, starts)
        if len(found) < len(alone):
            return False
        self._move({at: least for (at,), least in found.items()})
        return True

    def join(self, starts: Mapping[int, Counts]) -> None:
        """Blocks in twos, then in threes, at the best prices: what is between them is no longer priced, which raises the bound.

        starts: the counts of a kit.
        """
        if self.reached is None:
            return
        gains = self._gains(self.blocks.pairs(), starts)
        self._raise(gains)
        while self._left_s() > 0:
            hoped = self._threes(gains)
            asked = [some for some in heaviest({**hoped, **gains}, self._left_s()) if some not in gains]
            if not asked:
                return
            gains |= self._gains(asked, starts)
            self._raise(gains)

    def _gains(self, joined: list[frozenset[int]], starts: Mapping[int, Counts]) -> dict[frozenset[int], int]:
        """By how much the least of some blocks together is more than that of each alone, as far as time allows."""
        found: dict[frozenset[int], int] = {}
        for some, least in self._choose(joined, self.centre, JOINED_S, starts).items():
            between = sum(self.centre[group] * count for group, count in self.blocks.inner(some).items())
            found[some] = least - between - sum(self.least[at] for at in some)
        return found

    def _raise(self, gains: Mapping[frozenset[int], int]) -> None:
        """The bound with what disjoint sets of blocks gain."""
        assert self.reached is not None, "a round comes first"
        chosen = heaviest(gains, max(self._left_s(), LAST_S))
        self.bound = max(self.reached + sum(gains[some] for some in chosen), self.bound or 0)

    def _threes(self, gains: Mapping[frozenset[int], int]) -> dict[frozenset[int], int]:
        """What three blocks may gain that hang together: a multiple of what the two best pairs among them do."""
        hoped: dict[frozenset[int], list[int]] = {}
        for pair in (some for some in gains if len(some) == 2):
            for at in frozenset().union(*(self.blocks.near[one] for one in pair)) - pair:
                hoped.setdefault(pair | {at}, []).append(gains[pair])
        return {some: HOPE * sum(sorted(found)[-2:]) for some, found in sorted(hoped.items(), key=lambda item: sorted(item[0]))}

    def _choose(
        self, parts: list[frozenset[int]], prices: Prices, seconds: float, starts: Mapping[int, Counts]
    ) -> dict[frozenset[int], int]:
        """What each part costs at the least at some prices, as far as time allows; what is seen of it is kept."""
        share = waiting(self.executor)
        tasks = (self._task(part, prices, min(left / share, seconds), starts) for part in parts if (left := self._left_s()) > 0)
        found: dict[frozenset[int], int] = {}
        for at, priced in sorted(sweep(_priced, tasks, self.executor), key=lambda result: result[0]):
            self.outlines.learn(priced.conditions)
            for block, (cost, served, counts) in priced.columns.items():
                self.columns.add(block, served, cost, counts)
            if priced.least is not None:
                found[parts[at]] = priced.least
                self.cuts.append(Cut(parts[at], self._outer(parts[at], prices), priced.least))
        return found

    def _task(self, part: frozenset[int], prices: Prices, seconds: float, starts: Mapping[int, Counts]) -> _Task:
        """Blocks at some prices; pairs with what is known of either, which does not help one alone (measured)."""
        known = tuple(cut for cut in self.cuts if cut.blocks <= part) if len(part) > 1 else ()
        begun = {at: starts[at] for at in part if at in starts}
        outlines, inner = self.outlines.some(part), self.blocks.inner(part)
        return _Task(Asked(outlines, inner, self._outer(part, prices), known, begun, within=self.within * len(part)), seconds)

    def _outer(self, part: frozenset[int], prices: Prices) -> Prices:
        """The prices of groups that others can serve as well."""
        return {group: price for group, price in prices.items() if not self.blocks.holders[group] <= part}

    def _move(self, least: dict[int, int]) -> None:
        """The box moves to prices that raise the bound; else it gets narrower."""
        value = sum(price * self.blocks.counts[at] for at, price in self.prices.items()) + sum(least.values())
        self.tried.add((self.within, tuple(self.prices.items())))
        self.bound = max(value, self.bound or 0)
        if self.reached is None or value > self.reached:
            self.reached, self.centre, self.least = value, self.prices, least
        else:
            self.width *= NARROWER


def heaviest(gains: Mapping[frozenset[int], int], seconds: float) -> list[frozenset[int]]:
    """The sets of blocks that gain most together, of which no two share a block (none where time ran out)."""
    rows = Rows("joined")
    chosen = {some: rows.variable(f"some{number}", 0, 1) for number, some in enumerate(gains)}
    for block in sorted({at for some in gains for at in some}):
        rows.at_most(f"block{block}", [(1, variable) for some, variable in chosen.items() if block in some], 1)
    rows.problem.setObjective(pulp.lpSum(-gains[some] * variable for some, variable in chosen.items()))
    answer = solve(rows.problem, 0.0, seconds)
    if answer.stop is Stop.INTERRUPTED:
        raise KeyboardInterrupt
    return [some for some, variable in chosen.items() if whole(variable)] if answer.found else []
