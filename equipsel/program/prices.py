"""A bound for blocks that devices with a choice tie together: those are priced, and each block chooses alone.

For any prices p: no kit costs less than the sum over blocks of the least (cost - p x shared devices served) plus the sum of
p x shared devices (Lagrangian relaxation). The best prices are those of the best mixture of columns (Dantzig and Wolfe 1960). They
are looked for in a box around the best so far (Marsten, Hogan, Blankenship 1975), by the mixture of the columns known.
"""

import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import ceil, inf

import pulp

from equipsel.program.adapter import Stop, solve
from equipsel.program.blocks import Block, Blocks
from equipsel.program.columns import Box, Columns
from equipsel.program.joint import Cut, Prices, Settled, program
from equipsel.program.model import Refinement
from equipsel.sweep import Workers, sweep

BLOCK_S = 10.0
"""Seconds for one block at most; its bound is true all the same (our own limit)."""

REACH, LEAST_REACH = 0.3, 0.06
"""The box at first: to either side so much of each price, and at least so much of the mean of all (measured)."""

NARROWER, WIDER, TIMES = 0.5, 4.0, 3
"""What the box is multiplied by after two rounds that raised no bound, and where it promises too little, so many times (our own limits)."""

PROMISE = 1e-4
"""A round is worth its time where the bound might rise by so much of itself (our own limit)."""


@dataclass(frozen=True, slots=True)
class _Task:
    """A block to choose alone at some prices, with what has been learnt of it, in so many seconds."""

    block: Block
    prices: Prices
    learnt: Refinement
    seconds: float


@dataclass(frozen=True, slots=True)
class _Priced:
    """The least (cost - price x served) of a block and a choice that attains it, as its cost and what it serves; cents."""

    least: int
    cost: int
    served: Mapping[int, int]


def _priced(task: _Task) -> _Priced | None:
    """A block's choice at some prices; None where time ran out. Raises KeyboardInterrupt."""
    item = program(task.block, task.learnt)
    worth = [(-task.prices[group], variable) for group, terms in item.served.items() for _, variable in terms]
    rows = item.model.rows.problem
    rows.setObjective(pulp.lpSum(factor * variable for factor, variable in [*item.money.terms, *worth]))
    answer = solve(rows, 0.0, task.seconds)
    if answer.stop is Stop.INTERRUPTED:
        raise KeyboardInterrupt
    if answer.bound in (-inf, inf) or not answer.found:
        return None
    return _Priced(ceil(answer.bound - 1e-6), item.cost(), item.numbers())


@dataclass
class Pricing:
    """The best bound so far, in cents and without what is paid whatever is chosen; what was proven of each block on the way."""

    blocks: Blocks
    columns: Columns
    executor: Workers | None
    deadline: float
    prices: Prices = field(default_factory=dict)
    bound: int | None = None
    centre: Prices = field(default_factory=dict)
    least: dict[int, int] = field(default_factory=dict)
    cuts: dict[int, list[Cut]] = field(default_factory=dict)
    reached: int | None = None
    tried: set[tuple[tuple[int, int], ...]] = field(default_factory=set)
    width: float = 1.0
    vain: int = 0

    def rounds(self, learnt: Mapping[int, Refinement]) -> Iterator[None]:
        """Round after round, until no prices promise more or time is up."""
        while self._round(learnt):
            yield
            if not self._aim():
                return

    def _aim(self) -> bool:
        """The next prices; whether they are new and promise a better bound, if need be in a wider box."""
        assert self.reached is not None, "a round comes first"
        for _ in range(TIMES):
            value, prices = self.columns.prices(self._box(), self._left_s())
            if value - self.reached > PROMISE * self.reached and tuple(prices.items()) not in self.tried:
                self.prices = prices
                return True
            self.width *= WIDER
        return False

    def _box(self) -> Box:
        mean = sum(self.centre.values()) / max(len(self.centre), 1)
        sides = {at: ceil(self.width * max(REACH * price, LEAST_REACH * mean, 1)) for at, price in self.centre.items()}
        return {at: (max(price - sides[at], 0), price + sides[at]) for at, price in self.centre.items()}

    def slack(self, block: int, item: Settled) -> int:
        """What a block as it stands costs more than the bound reckons with, in cents: over all blocks, the cost less the bound."""
        if not self.least:
            return 0
        return item.cost - sum(self.centre[group] * number for group, number in item.served.items()) - self.least[block]

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _round(self, learnt: Mapping[int, Refinement]) -> bool:
        """Every block at the prices; whether there was time for all."""
        found = dict(sweep(_priced, self._tasks(learnt), self.executor))
        if len(found) < len(self.blocks.all):
            return False
        least: dict[int, int] = {}
        for at, priced in sorted(found.items()):
            if priced is None:
                return False
            least[at] = priced.least
            self.columns.add(at, priced.served, priced.cost)
            self.cuts.setdefault(at, []).append(Cut(self.prices, priced.least))
        self._move(least)
        return True

    def _move(self, least: dict[int, int]) -> None:
        """The box moves to prices that raise the bound; after two rounds in vain it gets narrower."""
        value = sum(price * self.blocks.counts[at] for at, price in self.prices.items()) + sum(least.values())
        self.tried.add(tuple(self.prices.items()))
        self.bound = max(value, self.bound or 0)
        if self.reached is None or value > self.reached:
            self.reached, self.centre, self.least, self.vain = value, self.prices, least, 0
            return
        self.vain += 1
        if self.vain == 2:
            self.width, self.vain = self.width * NARROWER, 0

    def _tasks(self, learnt: Mapping[int, Refinement]) -> Iterator[_Task]:
        for at, block in enumerate(self.blocks.all):
            if (left := self._left_s()) > 0:
                yield _Task(block, self.prices, learnt.get(at, Refinement()), min(left, BLOCK_S))
