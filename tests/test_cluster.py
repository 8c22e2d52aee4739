"""Work on a Dask cluster of two local workers, and what is said where there is none."""

import builtins
import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from equipsel.cluster import ClusterError, cluster
from equipsel.sweep import sweep

HERE = Path(__file__).parent
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(HERE.parent), os.environ.get("PYTHONPATH", "")])}


def square(number: int) -> int:
    return number * number


SCHEDULER = """
from distributed import LocalCluster
if __name__ == "__main__":
    with LocalCluster(n_workers={workers}, threads_per_worker=1, dashboard_address=None, host="127.0.0.1") as started:
        print(started.scheduler_address, flush=True)
        input()
"""


@pytest.fixture
def address(tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[str]:
    """The address of a cluster in processes of its own, which ends when its standard input does."""
    (tmp_path / "start.py").write_text(SCHEDULER.format(workers=getattr(request, "param", 2)))
    with subprocess.Popen(
        [sys.executable, "start.py"],
        cwd=tmp_path,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=ENVIRONMENT,
    ) as started:
        assert started.stdout
        yield started.stdout.readline().strip()
        started.communicate("\n", timeout=30)


def test_a_cluster_does_the_work(address: str) -> None:
    with cluster(address) as executor:
        assert executor.ahead == 4
        assert dict(sweep(abs, range(-5, 0), executor)) == {position: 5 - position for position in range(5)}


@pytest.mark.parametrize(
    "words", [("compare", "--set", "rules.spare_watts_pct=40"), ("grow", "--add", "phone=1", "--no-reach", "--curve", "phone=2")], ids=str
)
def test_comparing_and_growing_give_the_same_on_a_cluster(address: str, words: tuple[str, ...]) -> None:
    site = str(HERE.parent / "scenarios" / "workshop")
    command = [sys.executable, "-m", "equipsel.cli", words[0], site, *words[1:], "--json"]
    run = partial(subprocess.run, capture_output=True, env=ENVIRONMENT, check=False)
    there, here = (run([*command, *more]) for more in (("--cluster", address), ()))
    assert (there.returncode, here.returncode) == (0, 0), there.stderr
    assert without_seconds(there.stdout) == without_seconds(here.stdout)


def without_seconds(text: bytes) -> Any:
    """JSON without the seconds that searches took."""
    return json.loads(text, object_hook=lambda found: {name: value for name, value in found.items() if name != "seconds"})


@pytest.mark.parametrize("address", [0], indirect=True)
def test_a_cluster_without_workers_is_said(address: str) -> None:
    with pytest.raises(ClusterError, match="has no workers; start some"), cluster(address):
        pass


def test_an_address_that_does_not_answer_is_said_within_ten_seconds() -> None:
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        started = time.monotonic()
        with pytest.raises(ClusterError, match="does not answer"), cluster(f"tcp://127.0.0.1:{silent.getsockname()[1]}"):
            pass
        assert time.monotonic() - started < 10


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:1", "no such thing", "tcp://", "ftp://127.0.0.1:1", ""])
def test_wrong_addresses_are_said_in_words(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("equipsel.cluster.ANSWER_S", 2)
    with pytest.raises(ClusterError, match=r"does not answer|is no address"), cluster(address):
        pass


def test_without_the_extra_it_says_which_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "distributed":
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(ClusterError, match=r"pip install 'equipsel\[cluster\]'"), cluster("tcp://127.0.0.1:8786"):
        pass
