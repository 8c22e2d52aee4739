"""A program that stays with the solver, so that rows can be added and it can be solved again from where it stood.

Beside the adapter the one place that talks to HiGHS: PuLP hands a program over anew each time.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import inf, isclose

import highspy
import numpy as np
from numpy.typing import NDArray

from equipsel.program.adapter import OPTIONS, Answer, Progress, SolverError, Stop, Watch, answer_of, quiet
from equipsel.workers import told

Numbers = NDArray[np.float64]

PLAIN = {
    "mip_heuristic_run_root_reduced_cost": False, "mip_heuristic_run_rens": False, "mip_heuristic_run_rins": False,
    "mip_heuristic_run_feasibility_jump": False,
}  # fmt: skip
"""HiGHS's own: without these it solves the counts of one block in a third to a half of the time, those of two in no less. Fewer cuts at
hand make one block a fifth quicker still, but leave the bounds of two behind (measured)."""


LEAST_S = 0.01
"""Seconds that a run is given at least (our own limit)."""

LARGE = 2000
"""Columns from which on a linear program can be stopped by Ctrl-C, which costs half a millisecond to one. Of a thousand columns it takes
at most ten, of 2,600 mostly ten and up to forty (measured)."""

TOLERANCE, RELATIVE = 1e-6, 1e-6
"""By how much a row may be off in a solution that is known, and a value from what its columns cost (our own limits)."""


@dataclass(frozen=True, slots=True)
class Linear:
    """The solution of a linear program: its value, that of each column, the dual of each row."""

    value: float
    columns: list[float]
    duals: list[float]


class Live:
    """A program to be minimised, held by the solver; nothing is printed."""

    def __init__(self, cost: Sequence[float], high: Sequence[float]) -> None:
        """Columns from 0, with their cost and most; no row yet."""
        with quiet():
            self.solver = highspy.Highs()
        for name, value in {"output_flag": False, "threads": 1, **OPTIONS, **PLAIN}.items():
            self.solver.setOptionValue(name, value)
        self.cost, self.high, self.count = list(cost), list(high), len(cost)
        self.held: list[tuple[Sequence[int], Sequence[float], float, float]] = []
        self.solver.addCols(self.count, list(cost), [0.0] * self.count, list(high), 0, [0] * self.count, [], [])
        self._integer = False

    def add(self, columns: Sequence[int], factors: Sequence[float], low: float = -inf, high: float = inf) -> None:
        """Another row: low <= factors x columns <= high, each column once. Raises SolverError."""
        if self.solver.addRow(low, high, len(columns), list(columns), list(factors)) == highspy.HighsStatus.kError:
            raise SolverError("the solver refuses a row")
        self.held.append((columns, factors, low, high))

    def limit(self, low: Numbers, high: Numbers) -> None:
        """New limits of the first rows."""
        rows = np.arange(len(low), dtype=np.int32)
        self.solver.changeRowsBounds(len(rows), rows, low, high)  # type: ignore[attr-defined] # its stubs leave it out

    def relax(self, seconds: float) -> Linear | None:
        """Solve it as a linear program, from where it stood; None where it has no solution or time ran out.

        Raises KeyboardInterrupt, also where this process was told to stop. A large one may not be solved again then: HiGHS may remain
        interrupted (seen in 1.16).
        """
        self._set_integer(False)
        self._allow(self.solver.getRunTime() + max(seconds, LEAST_S))
        watch = Watch()
        if self.count < LARGE:
            self.solver.run()
        else:
            watch.run(self.solver)
        if watch.interrupted or told():
            raise KeyboardInterrupt
        if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        found = self.solver.getSolution()
        return Linear(self.solver.getInfo().objective_function_value, list(found.col_value), list(found.row_dual))

    @property
    def rows(self) -> int:
        """How many rows there are."""
        return len(self.held)

    def solve(
        self, gap: float, within: float, seconds: float, start: Sequence[float] | None = None, progress: Progress | None = None
    ) -> Answer:
        """Solve it in integers to a relative gap, or within so much, from a solution known where there is one.

        HiGHS is to know of no other solution: it completes those in fractions, or that break a row, by a search of its own, whose
        value it may then take for the bound of the whole (seen in 1.16: proven at 0, where the least is 114,500). Where it starts
        from one that is known it may end with that and tell the value of a better one (seen likewise): then it searches without.
        """
        deadline = time.monotonic() + seconds
        for known in dict.fromkeys((tuple(start) if start is not None and self._holds(start) else None, None)):
            self.solver.clearSolver()
            self._set_integer(True)
            self._allow(max(deadline - time.monotonic(), LEAST_S))
            self.solver.setOptionValue("mip_rel_gap", gap)
            self.solver.setOptionValue("mip_abs_gap", max(within, 1e-6))
            answer = self._search(known, progress)
            worth = sum(cost * value for cost, value in zip(self.cost, self.values(), strict=True)) if answer.found else answer.value
            if not answer.found or answer.stop is Stop.INTERRUPTED:
                return answer
            if isclose(worth, answer.value, rel_tol=RELATIVE, abs_tol=1.0):
                return replace(answer, value=min(answer.value, worth), bound=min(answer.bound, worth))
        return Answer(Stop.LIMIT, False, inf, -inf)

    def _search(self, start: Sequence[float] | None, progress: Progress | None) -> Answer:
        if start is not None:
            known = highspy.HighsSolution()
            known.col_value = list(start)
            self.solver.setSolution(known)
        watch = Watch(progress)
        watch.run(self.solver)
        return answer_of(self.solver, watch.interrupted, whole=True)

    def _holds(self, start: Sequence[float]) -> bool:
        """Whether a solution meets every row and is within its bounds."""
        if any(value > most for value, most in zip(start, self.high, strict=True)):
            return False
        sums = (sum(factor * start[at] for at, factor in zip(columns, factors, strict=True)) for columns, factors, _, _ in self.held)
        return all(low - TOLERANCE <= value <= high + TOLERANCE for value, (_, _, low, high) in zip(sums, self.held, strict=True))

    def values(self) -> tuple[int, ...]:
        """The solution in integers."""
        return tuple(round(value) for value in self.solver.getSolution().col_value)

    def _allow(self, until_s: float) -> None:
        """The solver's clock runs on over its linear programs; a search in integers begins at nought (seen in 1.16)."""
        self.solver.setOptionValue("time_limit", until_s)

    def _set_integer(self, integer: bool) -> None:
        if integer is not self._integer:
            kind = highspy.HighsVarType.kInteger if integer else highspy.HighsVarType.kContinuous
            self.solver.changeColsIntegrality(self.count, list(range(self.count)), np.full(self.count, int(kind), dtype=np.uint8))
            self._integer = integer
