"""Nothing reaches the network: every command runs with an audit hook that stops whatever asks for an address or a connection."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
WORKSHOP = "scenarios/workshop"
GUARDED = """
import sys
WATCHED = ("socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto", "urllib.Request", "http.client.connect")
def stop(event, args):
    if event in WATCHED:
        raise RuntimeError(f"reached for the network: {event} {args}")
sys.addaudithook(stop)
from equipsel.cli import main
"""


def guarded(code: str, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", GUARDED + code, *words]
    return subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False, env={**os.environ, "COLUMNS": "80"})


@pytest.mark.parametrize(
    "words",
    [
        ["kit", WORKSHOP, "--out", "{out}"],
        ["compare", WORKSHOP, "--set", "rules.spare_watts_pct=30", "--workers", "1", "--out", "{out}"],
        ["grow", WORKSHOP, "--no-reach", "--workers", "1", "--out", "{out}"],
        ["new", "{out}.xlsx"],
        ["voltage-drop", "--watts", "20", "--run-m", "90"],
    ],
    ids=lambda words: words[0],
)
def test_a_command_reaches_no_network(words: list[str], tmp_path: Path) -> None:
    done = guarded("main()", *(word.format(out=tmp_path / "out") for word in words))
    assert (done.returncode, "network" in done.stderr) == (0, False), done.stderr


def test_the_guard_stops_what_does() -> None:
    done = guarded("import urllib.request\nurllib.request.urlopen('http://127.0.0.1:9/')")
    assert done.returncode != 0
    assert "reached for the network" in done.stderr
