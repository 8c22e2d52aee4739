"""A bound for a large part of a site that holds together: devices with a choice of places are priced, and each block chooses alone.

For any prices p: no kit costs less than the sum over blocks of the least (cost - p x devices with a choice served) plus the sum of
p x those devices (Lagrangian relaxation; the best prices give the bound of place-sized columns, Dantzig and Wolfe 1960). Prices
begin at the duals of the linear relaxation and move against what is served too often or too rarely (Held and Karp 1971).
"""

import time
from dataclasses import dataclass, replace
from math import ceil, inf

import pulp

from equipsel.program.adapter import Stop, relaxed, solve, whole
from equipsel.program.model import Model, Problem, Refinement, Way
from equipsel.program.money import Money
from equipsel.program.parts import cut
from equipsel.program.rows import Terms
from equipsel.program.search import build_model
from equipsel.program.windows import Blocks, shared

BLOCK_S = 5.0
"""Seconds for one block at most; its bound is true all the same (our own limit)."""

FIRST_STEP, SHRINK = 0.6, 0.7
"""The first step as a share of the one that would close the gap; by how much it shrinks where the bound does not rise (our own)."""

SMALLEST_STEP = 0.02
"""Steps below this are not worth a round (our own limit)."""


TOLERANCE_CENTS = 0.01
"""A linear relaxation is solved to a tolerance; its value counts this much lower (our own limit)."""


@dataclass(frozen=True)
class _Block:
    """The program of a block, and how many of each group with a choice it serves."""

    model: Model
    money: Money
    served: dict[int, Terms]


class Prices:
    """The best bound so far of a problem, in cents, and the prices of its groups with a choice."""

    def __init__(self, problem: Problem, found: Blocks, deadline: float) -> None:
        """Know the blocks; there is no bound yet."""
        self.problem, self.blocks, self.deadline = problem, found, deadline
        self.bound: int | None = None
        self.fixed_cents = 0
        self.counts = {at: group.count for at, group in enumerate(problem.groups) if shared(group)}
        self.first: dict[int, int] = {}

    def raise_bound(self, best: int) -> None:
        """Move prices until the bound meets the cost of the best kit, steps are small, or time is up."""
        prices = self.first
        programs = [self._block(places) for places in self.blocks.places]
        step, held, reached = FIRST_STEP, prices, -inf
        while self.deadline > time.monotonic() and (self.bound is None or self.bound < best) and step >= SMALLEST_STEP:
            found = self._round(programs, prices)
            if found is None:
                return
            value, lacking = found[0] + self.fixed_cents, found[1]
            if value > reached:
                reached, held, slope = value, prices, lacking
            else:
                step *= SHRINK
            self.bound = value if self.bound is None else max(self.bound, value)
            length = sum(number**2 for number in slope.values())
            if not length:
                return
            stride = step * (best - reached) / length
            prices = {at: round(price + stride * slope[at]) for at, price in held.items()}

    def begin(self) -> None:
        """Take the value of the linear relaxation as the first bound, and its duals as the first prices."""
        model, money = build_model(self.problem, Refinement())
        model.rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in money.terms))
        least, duals = relaxed(model.rows.problem, self.deadline - time.monotonic())
        if least > -inf:
            self.bound = ceil(least - TOLERANCE_CENTS) + money.fixed_cents
        self.fixed_cents = money.fixed_cents
        self.first = {at: round(duals.get(f"group{at}_served", 0.0)) for at in self.counts}

    def _block(self, places: frozenset[str]) -> _Block:
        reach = {
            at: group.count for at, group in enumerate(self.problem.groups) if any(r.route.place in places for r in group.first.routes)
        }
        part = cut(self.problem, places, reach)
        optional = frozenset(position for position, at in enumerate(part.groups) if at in self.counts)
        model, money = build_model(replace(part.problem, optional=optional), Refinement())
        served: dict[int, Terms] = {part.groups[position]: [] for position in optional}
        for plug in model.plugs:
            if isinstance(plug.payload, Way) and plug.payload.group in optional:
                served[part.groups[plug.payload.group]].append((1, plug.count))
        return _Block(model, money, served)

    def _round(self, programs: list[_Block], prices: dict[int, int]) -> tuple[int, dict[int, int]] | None:
        """The bound at some prices, and how many devices of each group are served too rarely; None where time ran out."""
        value, lacking = sum(price * self.counts[at] for at, price in prices.items()), dict(self.counts)
        for block in programs:
            left = self.deadline - time.monotonic()
            if left <= 0:
                return None
            paid = [(-prices[at], variable) for at, terms in block.served.items() for _, variable in terms]
            rows = block.model.rows.problem
            rows.setObjective(pulp.lpSum(factor * variable for factor, variable in [*block.money.terms, *paid]))
            answer = solve(rows, 0.0, min(left, BLOCK_S))
            if answer.stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt
            if answer.bound in (-inf, inf) or not answer.found:
                return None
            value += ceil(answer.bound - 1e-6)
            for at, terms in block.served.items():
                lacking[at] -= sum(whole(variable) for _, variable in terms)
        return value, lacking
