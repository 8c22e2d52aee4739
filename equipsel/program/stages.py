"""One program over stages of growth: each stage its own variables and rules, and what one buys the next one keeps."""

import time
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

import pulp

from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.layout import Layout, Unpacked, lay_out
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.money import Money
from equipsel.program.paid import Paid
from equipsel.program.rows import Rows, Terms
from equipsel.program.rules import batteries_of, build_model

FINEST_CENTS = Fraction(1, 100)
"""A plan is looked for that is better by at least so much of a cent; discounted sums are no whole cents (our own limit)."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What is minimised: the sum over stages of a weight times what has been paid by their end, in cents.

    most: caps on what has been paid by the end of a stage, by its position; least: what is known to be paid at least.
    beat: only a plan whose sum is below this is of use.
    """

    weights: tuple[Fraction, ...]
    least: tuple[int, ...]
    most: dict[int, int]
    beat: Fraction


@dataclass(frozen=True)
class StageAnswer:
    """The units of a stage and its batteries by place and model."""

    layout: Layout
    batteries: dict[tuple[str, str], int]


@dataclass(frozen=True)
class Staged:
    """How the search ended. proven: the stages given are the best, or (none given) nothing beats what was to be beaten."""

    proven: bool
    stages: tuple[StageAnswer, ...] = ()


class Stages:
    """One search over the stages of a site, with its clock and what it has learnt of each."""

    def __init__(self, problems: Sequence[Problem], aim: Aim, seconds: float) -> None:
        """Start the clock."""
        self.problems, self.aim = problems, aim
        self.deadline = time.monotonic() + seconds
        self.learnt = [Refinement() for _ in problems]

    def run(self) -> Staged:
        """Solve until every unit of every stage is packed, or nothing is left that would be better."""
        with suppress(KeyboardInterrupt):
            while (left_s := self.deadline - time.monotonic()) > 0:
                models, answer = self._solve(left_s)
                if answer.stop is Stop.INFEASIBLE:
                    return Staged(proven=True)
                if not answer.found:
                    break
                found = self._laid_out(models)
                if found:
                    return Staged(answer.stop is Stop.PROVEN, found)
                if answer.stop is not Stop.PROVEN:
                    break
        return Staged(proven=False)

    def _solve(self, left_s: float) -> tuple[list[Model], Answer]:
        rows, before = Rows("plan"), Paid()
        built: list[tuple[Model, Money]] = []
        for problem, learnt in zip(self.problems, self.learnt, strict=True):
            model, money = build_model(replace(problem, paid=before), learnt, rows)
            before = Paid(money.held)
            built.append((model, money))
        aimed = self._aimed(rows, built)
        rows.problem.setObjective(pulp.lpSum(float(factor) * variable for factor, variable in aimed))
        return [model for model, _ in built], solve(rows.problem, 0.0, left_s)

    def _aimed(self, rows: Rows, built: Sequence[tuple[Model, Money]]) -> Terms:
        """The objective; adds the rows that bound what is paid by each stage, and that only something better is of use."""
        total: Terms = []
        fixed = Fraction(0)
        for at, ((_, money), weight) in enumerate(zip(built, self.aim.weights, strict=True)):
            rows.at_least(f"stage{at}-least", money.terms, self.aim.least[at] - money.fixed_cents)
            if at in self.aim.most:
                rows.at_most(f"stage{at}-most", money.terms, self.aim.most[at] - money.fixed_cents)
            total += [(weight * factor, variable) for factor, variable in money.terms if weight]
            fixed += weight * money.fixed_cents
        if all(weight.denominator == 1 for weight in self.aim.weights):
            rows.at_most("better", total, ceil(self.aim.beat - fixed) - 1)
        else:
            limit = self.aim.beat - fixed - FINEST_CENTS
            rows.problem += pulp.lpSum(float(factor) * variable for factor, variable in total) <= float(limit), "better"
        return total

    def _laid_out(self, models: Sequence[Model]) -> tuple[StageAnswer, ...]:
        """Every stage packed; nothing where one could not be, and what that teaches is kept."""
        found: list[StageAnswer] = []
        for at, model in enumerate(models):
            try:
                found.append(StageAnswer(lay_out(model), batteries_of(model)))
            except Unpacked as lesson:
                self.learnt[at] = lesson.refinement
        return tuple(found) if len(found) == len(models) else ()
