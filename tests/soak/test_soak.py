"""The soak command itself, on a few cases; that it can tell a difference; and that it ends in a table."""

import subprocess
import sys
from pathlib import Path

import pytest
import trials
from trials import Case, tried

ROOT = Path(__file__).parents[2]


def test_a_few_cases_end_in_a_table_without_a_difference() -> None:
    words = [sys.executable, "-m", "tests.soak", "--small", "5", "--filled", "5", "--middling", "1", "--seed", "10"]
    done = subprocess.run(words, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    rows = [line.split() for line in done.stdout.splitlines()]
    for kind in ("small", "filled"):
        assert sum(int(row[-1]) for row in rows if row[:2] == [kind, "oracle"]) == 5
        assert [kind, "re-check", "same", "5"] in rows
    assert not any("DIFFERS" in row for row in rows)


def test_a_search_that_costs_a_cent_too_much_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trials, "cheapest_cost", lambda *_: 1)
    assert tried(Case("small", 1)).trials["oracle"].startswith("1 and ")
