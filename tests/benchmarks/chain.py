"""A chain of invented sites as folders on disk, each one place of a campus with a catalog they share; and runs of `kit --all` over it."""

import csv
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from random import Random

from campus import Row, catalog_tables, device_rows
from memory import tree_mib

ROOT = Path(__file__).parents[2]
EVERY_S = 0.2


def write_chain(folder: Path, sites: int, devices: int, broken: int = 0) -> Path:
    """So many sites of so many devices, the first of them with a wrong table; gives the folder of the sites."""
    for name, rows in catalog_tables(odd=True).items():
        _write(folder / "catalog" / f"{name}.csv", rows)
    for number in range(sites):
        site = folder / "sites" / f"site-{number:05d}"
        rows = device_rows(Random(f"chain {devices} {number}"), "shop", devices)
        _write(site / "devices.csv", [{**row, "watts": "many"} for row in rows] if number < broken else rows)
        (site / "scenario.toml").write_text(f'title = "Shop {number} (invented)"\ncatalog = "../../catalog"\n', encoding="utf-8")
    return folder / "sites"


def _write(path: Path, rows: list[Row]) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows({name: "yes" if cell is True else cell for name, cell in row.items()} for row in rows)


@dataclass(frozen=True)
class Ran:
    """A run over the chain: seconds, sites done when it ended, memory with its workers in MiB at each tenth of the sites, its order."""

    seconds: float
    done: int
    exit_code: int
    mib: tuple[float, ...]
    order: bytes

    @property
    def sites_per_s(self) -> float:
        """Throughput."""
        return self.done / self.seconds


Disturb = Callable[[subprocess.Popen[bytes]], None]


def run_chain(sites: Path, out: Path, *options: str, half_way: Disturb | None = None) -> Ran:
    """`equipsel kit SITES --all` in a process of its own, disturbed once when half the sites are done."""
    number, before, begin = len(list(sites.iterdir())), _done(out), time.monotonic()
    words = [sys.executable, "-m", "equipsel.cli", "kit", str(sites), "--all", "--out", str(out), *options]
    samples: dict[int, float] = {}
    signal.signal(signal.SIGINT, signal.default_int_handler)  # a job in the background is started deaf to it, and so would its own be
    with subprocess.Popen(words, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
        while process.poll() is None:
            done = _done(out)
            samples[done * 10 // number] = max(samples.get(done * 10 // number, 0), tree_mib(process.pid))
            if half_way is not None and 2 * done >= number:
                half_way(process)
                half_way = None
            time.sleep(EVERY_S)
    order = (out / "order.csv").read_bytes() if (out / "order.csv").is_file() else b""
    mib = tuple(round(samples[tenth], 1) for tenth in sorted(samples))
    return Ran(round(time.monotonic() - begin, 1), _done(out) - before, process.returncode, mib, order)


def _done(out: Path) -> int:
    return len(list(out.glob("site-*/kit.json")))


def kill_a_worker(process: subprocess.Popen[bytes]) -> None:
    """One of the processes that solve sites dies at once."""
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children").read_text(encoding="ascii").split()
    solving = [pid for pid in children if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes()]
    os.kill(int(solving[0]), signal.SIGKILL)


def press_ctrl_c(process: subprocess.Popen[bytes]) -> None:
    """The run is interrupted."""
    process.send_signal(signal.SIGINT)


@contextmanager
def cluster_of(workers: int) -> Iterator[str]:
    """A Dask cluster of this machine's, with workers of one thread; gives its address."""
    from distributed import LocalCluster  # noqa: PLC0415 - an extra

    with LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=None) as cluster:
        yield cluster.scheduler_address
