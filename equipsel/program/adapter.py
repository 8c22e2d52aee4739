"""The one place that talks to a solver: PuLP 3.3 or 4 with HiGHS, its answer read from HiGHS itself.

PuLP 3.3 calls a search stopped by its time limit optimal, so PuLP's own words are not used. HiGHS checks rows only to a
tolerance: every answer is rounded to integers here and re-checked exactly by those who asked.
"""

import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
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


STARTED = {
    "mip_heuristic_run_root_reduced_cost": False, "mip_heuristic_run_rens": False, "mip_heuristic_run_rins": False,
    "mip_heuristic_run_feasibility_jump": False, "mip_heuristic_effort": 0.0,
}  # fmt: skip
"""HiGHS's own: no looking for a first solution where one is known, which costs small programs most of their time (measured)."""


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


class _Highs(pulp.HiGHS):  # type: ignore[misc]
    """HiGHS run so that Ctrl-C stops the search and keeps its best solution, and nothing is printed."""

    interrupted = False
    on_progress: Progress | None = None
    effort: int | None = None
    looked_up = 0
    start: Mapping[str, int] | None = None

    def createAndConfigureSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 (PuLP's name)
        with _quiet():
            super().createAndConfigureSolver(lp)

    def callSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 (PuLP's name)
        solver = lp.solverModel
        if self.start is not None:
            known = highspy.HighsSolution()
            columns = getattr(lp, "exported_variables", lp.variables)()  # in PuLP 4 those that are in use, in PuLP 3 there are no others
            known.col_value = [float(self.start.get(variable.name, 0)) for variable in columns]
            solver.setSolution(known)
        solver.HandleUserInterrupt = True
        solver.cbMipInterrupt.subscribe(self._watch)
        with self._stopped_by_ctrl_c(solver):
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

    def _watch(self, event: highspy.highs.HighsCallbackEvent) -> None:
        """Between steps of the search: tell how it goes, and stop where the effort allowed is spent."""
        seen = event.data_out
        self.looked_up += 1
        if self.on_progress and seen.mip_dual_bound < inf:  # above all there is where the search finds that nothing is left
            self.on_progress(seen.mip_primal_bound, seen.mip_dual_bound)
        if self.effort is not None and self.looked_up > self.effort:
            event.interrupt()


@contextmanager
def _quiet() -> Iterator[None]:
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


def solve(
    problem: pulp.LpProblem,
    gap: float,
    time_limit_s: float,
    effort: int | None = None,
    progress: Progress | None = None,
    start: Mapping[str, int] | None = None,
    within: int = 0,
    heuristics: bool = True,
) -> Answer:
    """Minimise a problem to a relative gap within a time and (optionally) an effort; values stay in its variables.

    `effort` counts steps of the search (cut rounds, nodes), which repeat from run to run as seconds do not. start: a good solution
    that is known, by the names of its variables (those not named: 0). within: the absolute gap at which it may stop as well.
    heuristics: whether to look for better ones than a start by the solver's own heuristics; one that is nearly the best makes them a waste.
    """
    options = OPTIONS if start is None or heuristics else OPTIONS | STARTED
    solver = _Highs(msg=False, gapRel=gap, gapAbs=max(within, 1e-6), threads=1, timeLimit=max(time_limit_s, 0.01), **options)
    solver.effort, solver.start = effort, start
    solver.on_progress = _throttled(progress) if progress else None
    problem.solve(solver)
    status = problem.solverModel.getModelStatus()
    info = problem.solverModel.getInfo()
    if status not in STOPS:
        raise SolverError(f"the solver ended with {problem.solverModel.modelStatusToString(status)}")
    stop = Stop.INTERRUPTED if solver.interrupted else STOPS[status]
    found = int(info.primal_solution_status) == int(highspy.SolutionStatus.kSolutionStatusFeasible)
    value = info.objective_function_value if found else inf
    return Answer(stop, found, value, _bound(problem, info, stop, value))


def relaxed(problem: pulp.LpProblem, time_limit_s: float) -> tuple[float, dict[str, float]]:
    """The least value of a problem's linear relaxation and the duals of its rows by name; -inf and none where time ran out.

    Raises KeyboardInterrupt.
    """
    solver = _Highs(mip=False, msg=False, threads=1, timeLimit=max(time_limit_s, 0.01))
    problem.solve(solver)
    if solver.interrupted:
        raise KeyboardInterrupt
    model = problem.solverModel
    if model.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return -inf, {}
    rows = problem.constraints
    names = [row.name for row in rows()] if callable(rows) else list(rows)
    return model.getInfo().objective_function_value, dict(zip(names, model.getSolution().row_dual, strict=True))


def _bound(problem: pulp.LpProblem, info: highspy.HighsInfo, stop: Stop, value: float) -> float:
    if stop is Stop.INFEASIBLE:
        return inf
    if not problem.isMIP():
        return value if stop is Stop.PROVEN else -inf
    return float(info.mip_dual_bound)


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
