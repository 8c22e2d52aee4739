"""One measurement in a process of its own, so that its peak memory is its own: JSON in on the command line, JSON out.

User CPU counts worker processes too.
"""

import json
import resource
import subprocess
import sys
from dataclasses import asdict, dataclass
from pathlib import Path

from beyond import Beyond
from memory import Peak
from programs import PROGRAMS, Outcome
from registry import FAMILIES, read_size

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Case:
    """What is measured: a program on a site of a family, with prices round or odd, for so many seconds at most; processes of the tool."""

    program: str
    family: str
    size: str
    seed: int
    odd: bool
    basis: str
    limit_s: float
    workers: int = 1


@dataclass(frozen=True)
class Measured:
    """A row of the table; the gap in percent of the cost."""

    program: str
    family: str
    size: str
    seed: int
    prices: str
    basis: str
    devices: int
    status: str
    cost: float | None
    bound: float | None
    gap_pct: float | None
    seconds: float
    user_s: float
    peak_mib: float


def measure(case: Case) -> Measured:
    """Run a case in a fresh process. Raises RuntimeError with its last words where it failed."""
    words = [sys.executable, "-m", "tests.benchmarks", "one", json.dumps(asdict(case))]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        raise RuntimeError(done.stderr.strip() or f"ended with {done.returncode}")
    return Measured(**json.loads(done.stdout.splitlines()[-1]))


def measure_here(case: Case) -> Measured:
    """Run a case in this process; making the site does not count as time, but as memory."""
    site = FAMILIES[case.family].make(read_size(case.size), case.seed, case.odd, case.basis)
    peak, before = Peak(), _user_s()
    try:
        outcome = PROGRAMS[case.program](site, case.limit_s, case.workers)
    except Beyond as beyond:
        outcome = Outcome(f"knows no {beyond}", None, None, 0.0)
    return Measured(
        program=case.program, family=case.family, size=case.size, seed=case.seed, prices="odd" if case.odd else "round", basis=case.basis,
        devices=sum(row.count for row in site[0].devices), status=outcome.status, cost=_rounded(outcome.cost),
        bound=_rounded(outcome.bound), gap_pct=_gap_pct(outcome), seconds=round(outcome.seconds, 2),
        user_s=round(_user_s() - before, 2), peak_mib=round(peak.stop_mib(), 1),
    )  # fmt: skip


def _rounded(money: float | None) -> float | None:
    return None if money is None or abs(money) > 1e15 else round(money, 2)


def _gap_pct(outcome: Outcome) -> float | None:
    if not outcome.cost or outcome.bound is None or abs(outcome.bound) > 1e15:
        return None
    return round(max(0.0, 1 - outcome.bound / outcome.cost) * 100, 3)


def _user_s() -> float:
    return sum(resource.getrusage(who).ru_utime for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
