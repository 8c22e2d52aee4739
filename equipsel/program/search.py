"""The search: sketch it in counts where that is quick; solve, pack every unit exactly, learn from what cannot be packed, and again.

Then ties are settled.
"""

import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field, replace
from enum import StrEnum
from math import ceil, inf

import pulp

from equipsel.feeds.fed import FedBuild
from equipsel.program import site_rules
from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.blocks import alone
from equipsel.program.layout import Layout, Unpacked, lay_out
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.money import Money
from equipsel.program.parts import places_of
from equipsel.program.projection import projected
from equipsel.program.rows import Terms
from equipsel.program.rules import batteries_of, build_model, chosen_units
from equipsel.program.sketch import Asked, Outline, sketched

MENDING_EFFORT = 2000
"""Steps of the search spent on packing the chosen units exactly (our own limit: a count, so that the answer repeats)."""

ROUGH_GAP = 0.05
"""The gap at which that may stop where the program itself was not solved in time: any kit is better than none (our own limit)."""

MENDING_ROUNDS = 8
"""How often the draws of fed switches are made exact while that is done (our own limit)."""

MENDING_SHARE, MENDING_MOST_S = 0.15, 10.0
"""Of the time allowed, what is kept for it; and the most of that in seconds (our own limits)."""

TIE_VARIABLES = 1500
"""Ties are settled among all kits of the least cost in programs up to this size, beyond it among those of the same units."""

TIE_EFFORT = 200
"""Steps of the search spent on each tie (our own limit, likewise)."""

SKETCH_CHOICES, SKETCH_COUNTS, SKETCH_SHARE = 100, 0.2, 0.5
"""A program is sketched first from so many pairs of a group and a build that may serve it on, where counts are no more than so many of
its variables (measured: with a quarter and more it is no sooner); for how much of the time (our own limit)."""

Progress = Callable[[int | None, int | None], None]
"""Called with the cents of the best kit so far and of the proven bound; None where there is none yet."""


class Ties(StrEnum):
    """Among which kits of the least cost ties are settled: all where that is quick, those of the same units, or not at all."""

    ALL = "all"
    UNITS = "units"
    NONE = "none"


@dataclass(frozen=True)
class Found:
    """What the search found: why it stopped, the layout (None: none), batteries by place and model, cost and bound in cents.

    learnt, size: what the search has learnt, and the variables of its program.
    """

    stop: Stop
    layout: Layout | None = None
    batteries: dict[tuple[str, str], int] = field(default_factory=dict)
    cost_cents: int | None = None
    bound_cents: int | None = None
    learnt: Refinement = field(default_factory=Refinement)
    size: int = TIE_VARIABLES + 1


@dataclass(frozen=True)
class Objective:
    """Something to minimise: its name, its terms."""

    name: str
    terms: Callable[[Model, Money], Terms]

    def fixed(self, money: Money) -> int:
        """What is added to its terms whatever is chosen."""
        return money.fixed_cents if self.name == "cost" else 0


COST = Objective("cost", lambda _, money: money.terms)
UNITS = Objective("units", lambda model, _: [(1, item.count) for item in model.bins])
"""What leads to any kit at all: few units."""

TIES = (
    Objective("port_watts", lambda model, _: site_rules.port_watts(model)),
    Objective("fewest", lambda model, _: site_rules.fewest(model)),
)
"""What decides between kits of the same cost, in this order."""


@dataclass(frozen=True)
class Packed:
    """A packed answer of one round: its program, its layout, its cost in cents."""

    model: Model
    layout: Layout
    value: int

    def batteries(self) -> dict[tuple[str, str], int]:
        """How many battery units stand in each place, by place and model."""
        return batteries_of(self.model)


class Search:
    """One search over one problem, with its clock and what it has learnt."""

    def __init__(
        self,
        problem: Problem,
        gap: float,
        time_limit_s: float,
        progress: Progress | None = None,
        ties: Ties = Ties.ALL,
        aim: Objective = COST,
    ) -> None:
        """Start the clock. `ties`: among which kits they are settled; aim: what is minimised (where not the cost, any kit will do)."""
        self.problem, self.gap, self.progress, self.ties = problem, gap, progress, ties
        self.limit_s, self.deadline = time_limit_s, time.monotonic() + time_limit_s
        self.refinement = Refinement()
        self.aim = aim
        self.bound: int | None = None
        self.best: Packed | None = None
        self.size = 0

    def run(self) -> Found:
        """The cheapest layout, and among those of its cost the one the ties prefer."""
        stop = Stop.INTERRUPTED
        with suppress(KeyboardInterrupt):
            stop = self._cheapest()
        if self.best is None:
            return Found(stop, bound_cents=self.bound)
        cost = self.best.value
        if stop is Stop.PROVEN:
            self.bound = cost if self.gap == 0 or self.bound is None else min(self.bound, cost)
            if self.ties is not Ties.NONE:
                with suppress(KeyboardInterrupt):
                    self._settle_ties(cost)
        return Found(stop, self.best.layout, self.best.batteries(), cost, self.bound, self.refinement, self.size)

    def settle(self, known: Refinement, chosen: dict[int, int]) -> Found | None:
        """Settle the ties of a kit known to be the cheapest, of so many units of each build; None where time does not allow it."""
        self.refinement = known
        with suppress(KeyboardInterrupt):
            if self._pack_chosen(chosen, known, 0.0) is not Stop.PROVEN or self.best is None:
                return None
            self.size = len(build_model(self.problem, known)[0].rows.problem.variables())
            self._settle_ties(self.best.value)
        return Found(Stop.PROVEN, self.best.layout, self.best.batteries(), self.best.value) if self.best else None

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _cheapest(self) -> Stop:
        """Solve for cost until every unit is packed, or the best packed answer so far is proven."""
        if self.aim is COST and worth_sketching(self.problem) and self._sketched():
            return Stop.PROVEN
        while True:
            model, money = build_model(self.problem, self.refinement)
            if self.best is not None:
                model.rows.at_most("beat-the-best", money.terms, self.best.value - 1 - money.fixed_cents)
            self.size = len(model.rows.problem.variables())
            answer = self._solve(model, money, self.aim, self.gap, None)
            if answer.stop is Stop.INFEASIBLE and self.best is not None:
                self.bound = self.best.value if self.aim is COST else self.bound
                return Stop.PROVEN
            if self.aim is COST:
                self._raise_bound(answer, money)
            if not answer.found:
                return answer.stop
            try:
                self.best = Packed(model, lay_out(model), round(answer.value) + money.fixed_cents)
            except Unpacked as lesson:
                better = self._mend(model, lesson.refinement, self._mending_gap(answer.stop))
                self.refinement = lesson.refinement
                if better and answer.stop is Stop.PROVEN and self._good_enough():
                    return Stop.PROVEN
                if answer.stop is not Stop.PROVEN or self._left_s() <= 0:
                    return answer.stop if answer.stop is not Stop.PROVEN else Stop.LIMIT
            else:
                return answer.stop

    def _sketched(self) -> bool:
        """The best counts, laid out; whether that is proven to be good enough. Raises KeyboardInterrupt."""
        outline = Outline(projected(alone(self.problem)))
        fixed, self.size = outline.projection.fixed_cents, outline.projection.size
        if len(outline.projection.cost) > SKETCH_COUNTS * self.size:
            return False
        tell = self._reporter(fixed)
        asked = Asked({0: outline}, {}, gap=self.gap)
        found = sketched(asked, SKETCH_SHARE * self._left_s(), None if tell is None else lambda _, bound: tell(inf, bound))
        if found.bound is not None:
            self.bound = found.bound + fixed
        if found.counts:
            units = {index: found.counts[0][column] for index, column in outline.projection.units.items()}
            self._lay_out(units)
        if found.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
        return self.best is not None and self.bound is not None and self.best.value - self.bound <= self.gap * self.best.value

    def _lay_out(self, units: dict[int, int]) -> None:
        """A kit of so many units of each build, or one more of each where that cannot be packed. Raises KeyboardInterrupt."""
        model, money = build_model(self.problem, Refinement(among=units))
        answer = self._solve(model, money, COST, 0.0, MENDING_EFFORT)
        if answer.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
        known = Refinement()
        if answer.found:
            try:
                self.best = Packed(model, lay_out(model), round(answer.value) + money.fixed_cents)
            except Unpacked as lesson:
                known = replace(lesson.refinement, among=None)
        if self.best is None:
            self._pack_chosen({index: number + 1 for index, number in units.items() if number}, known, 0.0)

    def _mending_gap(self, stop: Stop) -> float:
        """How good a mended kit must be: the best where that may end the search, rough where time is short, any where any will do."""
        if self.aim is not COST:
            return self.gap
        return 0.0 if stop is Stop.PROVEN else ROUGH_GAP

    def _good_enough(self) -> bool:
        """Whether nothing cheaper than the best kit can be, or any will do."""
        return self.aim is not COST or (self.best is not None and self.best.value == self.bound)

    def _solve(self, model: Model, money: Money, objective: Objective, gap: float, effort: int | None) -> Answer:
        terms = objective.terms(model, money)
        model.rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in terms))
        progress = self._reporter(money.fixed_cents) if objective is COST and effort is None else None  # else its bound is not the whole's
        keep_s = min(MENDING_SHARE * self.limit_s, MENDING_MOST_S) if effort is None else 0.0
        return solve(model.rows.problem, gap, self._left_s() - keep_s, effort, progress)

    def _raise_bound(self, answer: Answer, money: Money) -> None:
        """The bound of a round holds for the whole: what was learnt only takes away what cannot be packed."""
        if -inf < answer.bound < inf:
            bound = ceil(answer.bound - 1e-6) + money.fixed_cents
            if self.best is not None:
                bound = min(bound, self.best.value)
            self.bound = bound if self.bound is None else max(self.bound, bound)

    def _mend(self, model: Model, known: Refinement, gap: float) -> bool:
        """Pack the units chosen, or one more of each, exactly: a kit that may already be the cheapest. Says whether it is better."""
        return self._pack_chosen(chosen_units(model, 1), known, gap) is not None

    def _pack_chosen(self, chosen: dict[int, int], known: Refinement, gap: float) -> Stop | None:
        """The cheapest exact packing of up to so many units of each build: how its search stopped; None where it is no better."""
        for _ in range(MENDING_ROUNDS):
            exact, money = build_model(self.problem, replace(known, only=chosen))
            answer = self._solve(exact, money, self.aim, gap, MENDING_EFFORT)
            if answer.stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt
            if not answer.found or (self.best is not None and round(answer.value) + money.fixed_cents >= self.best.value):
                return None
            try:
                self.best = Packed(exact, lay_out(exact), round(answer.value) + money.fixed_cents)
            except Unpacked as lesson:
                known = lesson.refinement
            else:
                return answer.stop
        return None

    def _settle_ties(self, cost: int) -> None:
        """Minimise each tie in turn, all before it kept at their best: among kits of the same units, then among all."""
        caps = [(COST, cost)]
        for objective in TIES:
            value = self._settle_among_chosen(objective, caps)
            if value is None:
                return
            caps.append((objective, self._settle_among_all(objective, caps, value)))

    def _settle_among_chosen(self, objective: Objective, caps: list[tuple[Objective, int]]) -> int | None:
        """The best value of a tie among kits of the units chosen; None where time ran out."""
        assert self.best is not None, "ties are settled between kits"
        return self._improve(objective, caps, replace(self.refinement, only=chosen_units(self.best.model, 0)))

    def _settle_among_all(self, objective: Objective, caps: list[tuple[Objective, int]], value: int) -> int:
        """The best value of a tie among all kits, where the program is small; else the value known."""
        if self.size > TIE_VARIABLES or self.ties is not Ties.ALL:
            return value
        better = self._improve(objective, [*caps, (objective, value - 1)], self.refinement)
        return value if better is None else better

    def _improve(self, objective: Objective, caps: list[tuple[Objective, int]], refinement: Refinement) -> int | None:
        """Minimise a tie under caps on those before it; a packed answer becomes the best and gives its value."""
        if self._left_s() <= 0:
            return None
        model, money = build_model(self.problem, refinement)
        for cap, most in caps:
            model.rows.at_most(f"tie-{cap.name}", cap.terms(model, money), most - cap.fixed(money))
        answer = self._solve(model, money, objective, 0.0, TIE_EFFORT)
        if not answer.found or answer.stop is Stop.INTERRUPTED or self.best is None:
            return None
        with suppress(Unpacked):
            self.best = Packed(model, lay_out(model), self.best.value)
            return round(answer.value)
        return None

    def _reporter(self, fixed: int) -> Callable[[float, float], None] | None:
        if self.progress is None:
            return None
        report = self.progress
        return lambda best, bound: report(
            None if best == inf else round(best) + fixed, None if bound == -inf else ceil(bound - 1e-6) + fixed
        )


def worth_sketching(problem: Problem) -> bool:
    """Whether counts are found sooner than plugs: where many builds may serve each device, and none is fed by another (measured)."""
    standing = Counter(build.place for build in problem.builds)
    choices = sum(standing[name] for group in problem.groups for name in places_of(group))
    return choices >= SKETCH_CHOICES and not any(isinstance(build, FedBuild) for build in problem.builds)


def any_kit(problem: Problem, time_limit_s: float) -> Stop:
    """Whether there is any kit at all: PROVEN where there is one, INFEASIBLE where there is none, else why that is not known."""
    found = Search(problem, inf, time_limit_s, ties=Ties.NONE, aim=UNITS).run()
    return found.stop if found.layout is None else Stop.PROVEN
