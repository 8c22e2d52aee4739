"""Whatever stands in the tables: no traceback, no hang over 10 s, no memory over 500 MB; a kit, or words why there is none."""

import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from types import FrameType

import pytest
from cases import numbers
from mutations import spoilt

from equipsel.files import InputError, kit_files, read_site
from equipsel.kit import Status
from equipsel.solve import Limits, cheapest_kit

MOST_SECONDS, MOST_MB = 10, 500
ENDINGS = {Status.OPTIMAL: 0, Status.FEASIBLE: 0, Status.INFEASIBLE: 3, Status.STOPPED: 4}
RUN = "import sys; from equipsel.cli import main; sys.argv[0] = 'equipsel'; main()"


def ending(path: Path) -> int:
    """The exit code that a site would end with, its files made too."""
    try:
        site = read_site(path)
    except InputError as error:
        return 2 if error.problems else 1
    kit = cheapest_kit(site.scenario, site.catalog, Limits(time_limit_s=1))
    if ENDINGS[kit.status] == 0:
        kit_files(kit, site)
    return ENDINGS[kit.status]


def hang(_number: int, _frame: FrameType | None) -> None:
    raise TimeoutError(f"longer than {MOST_SECONDS} s")


def highest_mb() -> float:
    """The highest memory of this process since `forget_highest`, MB."""
    text = Path("/proc/self/status").read_text()
    return int(next(line for line in text.splitlines() if line.startswith("VmHWM")).split()[1]) / 1024


def forget_highest() -> None:
    Path("/proc/self/clear_refs").write_text("5")


@pytest.mark.parametrize("seeds", numbers(150, 3))
def test_spoilt_tables_end_in_a_kit_or_in_words(tmp_path: Path, seeds: range) -> None:
    endings: Counter[int] = Counter()
    slowest, largest, failed = (0.0, -1), (0.0, -1), []
    signal.signal(signal.SIGALRM, hang)
    for seed in seeds:
        folder = tmp_path / str(seed)
        folder.mkdir()
        path = spoilt(seed, folder)
        forget_highest()
        started = time.perf_counter()
        signal.setitimer(signal.ITIMER_REAL, 2 * MOST_SECONDS)
        try:
            endings[ending(path)] += 1
        except Exception as error:
            failed.append(f"{seed}: {type(error).__name__}: {str(error)[:200]}")
        finally:
            signal.setitimer(signal.ITIMER_REAL, 0)
        slowest, largest = max(slowest, (time.perf_counter() - started, seed)), max(largest, (highest_mb(), seed))
    print(f"endings {dict(endings)}, slowest {slowest[0]:.1f} s (seed {slowest[1]}), largest {largest[0]:.0f} MB (seed {largest[1]})")
    assert not failed, "\n".join(failed)
    assert slowest[0] < MOST_SECONDS, f"seed {slowest[1]} took {slowest[0]:.1f} s"
    assert largest[0] < MOST_MB, f"seed {largest[1]} took {largest[0]:.0f} MB"
    assert endings[0], "some of the spoilt sites still have a kit"
    assert endings[2], "most of them are refused"


@pytest.mark.parametrize("seeds", numbers(8, 4))
def test_the_command_ends_the_same(tmp_path: Path, seeds: range) -> None:
    for seed in seeds:
        folder = tmp_path / str(seed)
        folder.mkdir()
        words = ["kit", str(spoilt(seed, folder)), "--time-limit", "1"]
        done = subprocess.run([sys.executable, "-c", RUN, *words], capture_output=True, timeout=60, check=False)
        assert done.returncode in (0, 2, 3, 4), f"seed {seed}: {done.stderr.decode()}"
        assert b"Traceback" not in done.stderr
        assert bool(done.stdout) == (done.returncode != 2)
