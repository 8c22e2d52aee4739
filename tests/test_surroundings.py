"""A machine that is not as it should be: full or read-only disks, no home, another language, a clock that runs backwards."""

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
WORKSHOP = str(ROOT / "scenarios" / "workshop")
RUN = "import sys; from equipsel.cli import main; sys.argv[0] = 'equipsel'; main()"
BACKWARDS = "import itertools, time; times = itertools.count(2e9, -3600); time.time = lambda: next(times); " + RUN


def start(*words: str, code: str = RUN, most_bytes: int | None = None, **environment: str | None) -> subprocess.CompletedProcess[bytes]:
    """A command in a process of its own, with some variables of the environment set (None: taken away), its files of limited size."""
    known = {name: value for name, value in {**os.environ, **environment}.items() if value is not None}
    limit = None if most_bytes is None else lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most_bytes, most_bytes))
    command = [sys.executable, "-B", "-c", code, *words]
    return subprocess.run(command, capture_output=True, cwd=ROOT, timeout=120, check=False, env=known, preexec_fn=limit)


def without_seconds(told: bytes) -> list[bytes]:
    """The lines of a kit as JSON but the one that says how long it took."""
    return [line for line in told.split(b"\n") if b'"seconds"' not in line]


@pytest.fixture(scope="module")
def usual() -> list[bytes]:
    return without_seconds(start("kit", WORKSHOP, "--json").stdout)


@pytest.mark.parametrize("most_bytes", [0, 1, 4096, 20_000])
def test_a_disk_that_takes_no_more_is_said_and_nothing_half_written_stays(most_bytes: int, tmp_path: Path) -> None:
    out = tmp_path / "kit"
    done = start("kit", WORKSHOP, "--out", str(out), most_bytes=most_bytes)
    assert (done.returncode, b"cannot be written" in done.stderr, b"Traceback" in done.stderr) == (2, True, False)
    assert list(tmp_path.iterdir()) == []


def test_what_a_full_disk_would_replace_stays_as_it_was(tmp_path: Path) -> None:
    out = tmp_path / "kit"
    assert start("kit", WORKSHOP, "--out", str(out)).returncode == 0
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    assert start("kit", WORKSHOP, "--out", str(out), most_bytes=4096).returncode == 2
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before


def test_a_disk_that_cannot_be_written_to_is_said() -> None:
    """/proc takes no folder from anybody."""
    done = start("kit", WORKSHOP, "--out", "/proc/kit")
    assert (done.returncode, b"/proc/kit: cannot be written" in done.stderr, b"Traceback" in done.stderr) == (2, True, False)


@pytest.mark.parametrize(
    "environment",
    [
        {"HOME": None},
        {"HOME": "/nowhere/at/all", "XDG_CACHE_HOME": None, "XDG_CONFIG_HOME": None},
        {"LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8"},
        {"LC_ALL": "C", "LANG": None, "PYTHONUTF8": "0"},
        {"TERM": None, "COLUMNS": "1"},
        {"TZ": "XXX+12", "TMPDIR": "/nowhere/at/all"},
        {"PYTHONHASHSEED": "1"},
    ],
    ids=str,
)
def test_the_kit_is_the_same_bytes(environment: dict[str, str | None], usual: list[bytes]) -> None:
    done = start("kit", WORKSHOP, "--json", **environment)
    assert (done.returncode, done.stderr) == (0, b"")
    assert without_seconds(done.stdout) == usual


def test_nor_does_it_matter_that_the_clock_is_set_back_all_the_time(usual: list[bytes]) -> None:
    done = start("kit", WORKSHOP, "--json", code=BACKWARDS)
    assert (done.returncode, done.stderr, without_seconds(done.stdout) == usual) == (0, b"", True)


@pytest.mark.parametrize("columns", ["1", "20", "0", "-5", "wide"])
def test_however_narrow_the_terminal_the_kit_is_told(columns: str) -> None:
    done = start("kit", WORKSHOP, COLUMNS=columns)
    assert (done.returncode, b"Traceback" in done.stderr) == (0, False)
    assert b"ost" in done.stdout
