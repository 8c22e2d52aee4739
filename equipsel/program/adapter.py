"""The one place that talks to a solver: PuLP 3.3 or 4 with HiGHS, its answer read from HiGHS itself.

PuLP 3.3 calls a search stopped by its time limit optimal, so PuLP's own words are not used. HiGHS checks rows only to a
tolerance: every answer is rounded to integers here and re-checked exactly by those who asked.
"""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from enum import StrEnum
from math import inf

import highspy
import pulp

from equipsel.program.rows import Variable


class Stop(StrEnum):
    """Why a search stopped."""

    PROVEN = "proven"
    LIMIT = "limit"
    INTERRUPTED = "interrupted"
    INFEASIBLE = "infeasible"


STOPS = {
    highspy.HighsModelStatus.kOptimal: Stop.PROVEN,
    highspy.HighsModelStatus.kModelEmpty: Stop.PROVEN,
    highspy.HighsModelStatus.kInfeasible: Stop.INFEASIBLE,
    highspy.HighsModelStatus.kTimeLimit: Stop.LIMIT,
    highspy.HighsModelStatus.kSolutionLimit: Stop.LIMIT,
    highspy.HighsModelStatus.kIterationLimit: Stop.LIMIT,
    highspy.HighsModelStatus.kObjectiveBound: Stop.LIMIT,
    highspy.HighsModelStatus.kObjectiveTarget: Stop.LIMIT,
    highspy.HighsModelStatus.kInterrupt: Stop.LIMIT,
}


OPTIONS = {"mip_feasibility_tolerance": 1e-7, "mip_allow_restart": False}
"""HiGHS's own: a finer integrality than its default, with which it took dearer kits for the cheapest (measured: of 10,000 random
sites one, and glpsol and CBC agree against it); and no restarts, which cost small programs most of their time (measured)."""


class SolverError(RuntimeError):
    """The solver ended in a state it should not reach."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What a search gave: why it stopped, whether it holds a solution, the objective's value and its proven bound."""

    stop: Stop
    found: bool
    value: float
    bound: float


Progress = Callable[[float, float], None]
"""Called with the best value so far (inf: none) and its bound (-inf: none yet)."""


class Watch:
    """A run of the solver that Ctrl-C stops with its best solution kept, that tells how it goes, and ends when its effort is spent."""

    def __init__(self, progress: Progress | None = None, effort: int | None = None) -> None:
        """Nothing has run yet. effort: how many steps of the search (cut rounds, nodes) are allowed."""
        self.progress, self.effort = _throttled(progress) if progress else None, effort
        self.interrupted, self.looked_up = False, 0

    def run(self, solver: highspy.Highs) -> None:
        """Run it until it ends."""
        with self._looking_on(solver), self._stopped_by_ctrl_c(solver):
            solver.startSolve()
            finished = False
            try:
                while not finished:
                    finished, _ = solver.wait(0.1)
            finally:
                while not finished:
                    solver.cancelSolve()
                    finished, _ = solver.wait(0.1)

    @contextmanager
    def _looking_on(self, solver: highspy.Highs) -> Iterator[None]:
        """Be called back by the solver for this run alone: one that is run again would call all who ever watched it."""
        solver.HandleUserInterrupt = True
        solver.cbMipInterrupt.subscribe(self._look_up)
        try:
            yield
        finally:
            solver.cbMipInterrupt.unsubscribe(self._look_up)
            solver.HandleUserInterrupt = False

    @contextmanager
    def _stopped_by_ctrl_c(self, solver: highspy.Highs) -> Iterator[None]:
        """Let Ctrl-C stop the search; an exception there would leave the solver running on a model that is gone."""
        before = signal.getsignal(signal.SIGINT)
        if threading.current_thread() is not threading.main_thread() or before in (None, signal.SIG_IGN):
            yield
            return

        def stop(*_: object) -> None:
            self.interrupted = True
            solver.cancelSolve()

        signal.signal(signal.SIGINT, stop)
        try:
            yield
        finally:
            signal.signal(signal.SIGINT, before)

    def _look_up(self, event: highspy.highs.HighsCallbackEvent) -> None:
        """Between steps of the search: tell how it goes, and stop where the effort allowed is spent."""
        seen = event.data_out
        self.looked_up += 1
        if self.progress and seen.mip_dual_bound < inf:  # above all there is where the search finds that nothing is left
            self.progress(seen.mip_primal_bound, seen.mip_dual_bound)
        if self.effort is not None and self.looked_up > self.effort:
            event.interrupt()


class _Highs(pulp.HiGHS):  # type: ignore[misc]
    """HiGHS as PuLP calls it, watched; nothing is printed."""

    watch: Watch

    def createAndConfigureSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 (PuLP's name)
        with quiet():
            super().createAndConfigureSolver(lp)

    def callSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 (PuLP's name)
        self.watch.run(lp.solverModel)


@contextmanager
def quiet() -> Iterator[None]:
    """Keep what the solver's library prints to standard output when it starts away from it."""
    sys.stdout.flush()
    kept = os.dup(1)
    try:
        with open(os.devnull, "wb") as nowhere:
            os.dup2(nowhere.fileno(), 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)


def solve(problem: pulp.LpProblem, gap: float, time_limit_s: float, effort: int | None = None, progress: Progress | None = None) -> Answer:
    """Minimise a problem to a relative gap within a time and (optionally) an effort; values stay in its variables.

    `effort` counts steps of the search (cut rounds, nodes), which repeat from run to run as seconds do not.
    """
    solver = _Highs(msg=False, gapRel=gap, gapAbs=1e-6, threads=1, timeLimit=max(time_limit_s, 0.01), **OPTIONS)
    solver.watch = Watch(progress, effort)
    problem.solve(solver)
    return answer_of(problem.solverModel, solver.watch.interrupted, whole=problem.isMIP())


def relaxed(problem: pulp.LpProblem, time_limit_s: float) -> tuple[float, dict[str, float]]:
    """The least value of a problem's linear relaxation and the duals of its rows by name; -inf and none where time ran out.

    Raises KeyboardInterrupt.
    """
    solver = _Highs(mip=False, msg=False, threads=1, timeLimit=max(time_limit_s, 0.01))
    solver.watch = Watch()
    problem.solve(solver)
    if solver.watch.interrupted:
        raise KeyboardInterrupt
    model = problem.solverModel
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return -inf, {}
    rows = problem.constraints
    names = [row.name for row in rows()] if callable(rows) else list(rows)
    return model.getInfo().objective_function_value, dict(zip(names, model.getSolution().row_dual, strict=True))


def answer_of(solver: highspy.Highs, interrupted: bool, *, whole: bool) -> Answer:
    """What a solver that has ended says. whole: whether its program has integer variables. Raises SolverError."""
    status, info = solver.getModelStatus(), solver.getInfo()
    if status not in STOPS:
        raise SolverError(f"the solver ended with {solver.modelStatusToString(status)}")
    stop = Stop.INTERRUPTED if interrupted else STOPS[status]
    found = int(info.primal_solution_status) == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    value = info.objective_function_value if found else inf
    if stop is Stop.INFEASIBLE:
        return Answer(stop, found, value, inf)
    if not whole:
        return Answer(stop, found, value, value if stop is Stop.PROVEN else -inf)
    return Answer(stop, found, value, float(info.mip_dual_bound))


def _throttled(progress: Progress, every_s: float = 0.25) -> Progress:
    last = time.monotonic()

    def report(best: float, bound: float) -> None:
        nonlocal last
        if time.monotonic() - last >= every_s:
            last = time.monotonic()
            progress(best, bound)

    return report


def whole(variable: Variable) -> int:
    """The integer value of a solved variable."""
    return round(variable.varValue or 0)
