"""One measurement in a process of its own, so that its peak memory is its own: JSON in on the command line, JSON out.

User CPU counts worker processes too. Peak memory is the largest sum over this process and its workers seen in samples of a
tenth of a second (Linux), or the process's own peak where that is larger.
"""

import json
import os
import resource
import subprocess
import sys
import threading
from dataclasses import asdict, dataclass
from pathlib import Path

from beyond import Beyond
from programs import PROGRAMS, Outcome
from registry import FAMILIES, read_size

ROOT = Path(__file__).parents[2]
EVERY_S = 0.1


@dataclass(frozen=True)
class Case:
    """What is measured: a program on a site of a family, with prices round or odd, for so many seconds at most."""

    program: str
    family: str
    size: str
    seed: int
    odd: bool
    basis: str
    limit_s: float


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
        outcome = PROGRAMS[case.program](site, case.limit_s)
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


class Peak:
    """The largest memory of this process and its workers together, sampled until stopped."""

    def __init__(self) -> None:
        self.most, self.over = 0.0, threading.Event()
        self.thread = threading.Thread(target=self._watch, daemon=True)
        self.thread.start()

    def _watch(self) -> None:
        while not self.over.wait(EVERY_S):
            self.most = max(self.most, _tree_mib(os.getpid()))

    def stop_mib(self) -> float:
        """End the samples; the peak in MiB."""
        self.over.set()
        self.thread.join()
        return max(self.most, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def _tree_mib(pid: int) -> float:
    """Memory of a process and all below it, MiB; 0 where it is gone, or where there is no /proc."""
    try:
        pages = int(Path(f"/proc/{pid}/statm").read_text(encoding="ascii").split()[1])
        children = " ".join(path.read_text(encoding="ascii") for path in Path(f"/proc/{pid}/task").glob("*/children")).split()
    except (OSError, IndexError):
        return 0.0
    return pages * os.sysconf("SC_PAGE_SIZE") / 2**20 + sum(_tree_mib(int(child)) for child in children)
