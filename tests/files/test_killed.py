"""A process killed while it writes: every file is whole, and the next one to write finds nothing in its way."""

import os
import random
import signal
import time
from itertools import cycle
from pathlib import Path

import pytest
from cases import numbers

from equipsel.files import write_whole

NAMES = ("kit.json", "bill.csv", "ports.csv", "cables.csv", "report.html")
LONGEST_S = 0.02


def version(mark: bytes) -> dict[str, bytes]:
    return dict.fromkeys(NAMES, mark * 200000)


def write_until_killed(folder: Path) -> None:
    for mark in cycle((b"a", b"b")):
        write_whole(folder, version(mark))


def killed(folder: Path, after_s: float) -> None:
    """A process of its own writes again and again until it is killed."""
    pid = os.fork()
    if pid == 0:
        try:
            write_until_killed(folder)
        finally:
            os._exit(1)
    time.sleep(after_s)
    os.kill(pid, signal.SIGKILL)
    os.waitpid(pid, 0)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.filterwarnings("ignore:This process:DeprecationWarning")
@pytest.mark.parametrize("cases", numbers(40, 2), ids=str)
def test_every_file_is_whole_whenever_the_writer_is_killed(tmp_path: Path, cases: range) -> None:
    """EQUIPSEL_CASES=12.5 makes it 500 kills."""
    folder, whole, left = tmp_path / "out", set(version(b"a").values()) | set(version(b"b").values()), 0
    for number in cases:
        killed(folder, random.Random(number).uniform(0, LONGEST_S))
        files = {path.name: path.read_bytes() for path in folder.glob("*.*") if path.is_file()}
        assert set(files.values()) <= whole
        assert len(files) in (0, len(NAMES))
        left += any(tmp_path.rglob(".*.part"))
        write_whole(folder, version(b"c"))
        assert {path.name for path in folder.iterdir()} == set(NAMES)
        assert not any(tmp_path.rglob(".*.part"))
        write_whole(folder, version(b"a"))
    assert left, "some kill must have come while it wrote"
