"""The programs that are measured: the tool itself, and its peers on the same site.

`tool`: everything `cheapest_kit` does, its own re-check included. `textbook`: one binary for each device and port group of
each numbered unit, solved by HiGHS. `cpsat`: a model of the same kind solved by OR-Tools CP-SAT. `pooled`: the tool's integer
program as one model, handed to HiGHS as an LP file; its cost may be below that of any kit, since pools need not be packed.
"""

import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import cpsat_model
import highspy
from campus import Site
from textbook import enough, textbook

from equipsel.solve import Limits, cheapest_kit, write_lp


@dataclass(frozen=True)
class Outcome:
    """How it ended: cost and bound in the currency (None: none), and one word or two on what it is."""

    status: str
    cost: float | None
    bound: float | None
    seconds: float


def tool(site: Site, limit: float, workers: int = 1) -> Outcome:
    """The whole call, tables to re-checked kit; starting its processes included."""
    started = time.perf_counter()
    kit = cheapest_kit(*site, Limits(time_limit_s=limit, workers=workers))
    return Outcome(str(kit.status), kit.cost, kit.lower_bound, time.perf_counter() - started)


def textbook_peer(site: Site, limit: float, _workers: int = 1) -> Outcome:
    """Solve time alone."""
    found = textbook(*site, units=enough(*site), seconds=limit)
    proven = found.cost is not None and found.bound is not None and found.cost - found.bound < 0.005
    return Outcome("optimal" if proven else "stopped" if found.cost is None else "feasible", found.cost, found.bound, found.seconds)


def cpsat_peer(site: Site, limit: float, _workers: int = 2) -> Outcome:
    """Model and search, two workers."""
    started = time.perf_counter()
    found = cpsat_model.cheapest_cost(*site, limit)
    cost, bound = (None if cents is None else cents / 100 for cents in (found.cost, found.bound))
    return Outcome("optimal" if found.proven else "stopped" if cost is None else "feasible", cost, bound, time.perf_counter() - started)


def pooled_peer(site: Site, limit: float, _workers: int = 1) -> Outcome:
    """Solve time alone, one thread."""
    solver = highspy.Highs()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "pooled.lp"
        write_lp(*site, path)
        solver.setOptionValue("output_flag", False)
        solver.readModel(str(path))
    for option, value in (("time_limit", limit), ("threads", 1), ("mip_rel_gap", 0.0), ("mip_abs_gap", 0.0)):
        solver.setOptionValue(option, value)
    started = time.perf_counter()
    solver.run()
    seconds, info = time.perf_counter() - started, solver.getInfo()
    cost = info.objective_function_value / 100 if info.primal_solution_status == 2 else None  # the program reckons in cents
    optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return Outcome("optimal" if optimal else "feasible" if cost is not None else "stopped", cost, info.mip_dual_bound / 100, seconds)


PROGRAMS: dict[str, Callable[[Site, float, int], Outcome]] = {
    "tool": tool,
    "textbook": textbook_peer,
    "cpsat": cpsat_peer,
    "pooled": pooled_peer,
}
