"""The benchmark command itself, on the smallest sites: every family, every program, the table and the picture."""

import csv
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from plot import plot_growth

ROOT = Path(__file__).parents[2]


def benchmarks(*words):
    return subprocess.run([sys.executable, "-m", "tests.benchmarks", *words], cwd=ROOT, capture_output=True, text=True, check=False)


def rows(path):
    with path.open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_every_program_on_one_small_room(tmp_path):
    table = tmp_path / "rows.csv"
    words = ("--family", "room", "--size", "1x4", "--programs", "tool,textbook,cpsat,pooled", "--limit", "20", "--out", str(table))
    done = benchmarks("run", *words)
    assert done.returncode == 0, done.stderr
    measured = rows(table)
    assert [row["program"] for row in measured] == ["tool", "textbook", "cpsat", "pooled"]
    assert {row["status"] for row in measured} == {"optimal"}
    assert len({float(row["cost"]) for row in measured[:3]}) == 1
    assert float(measured[3]["cost"]) <= float(measured[0]["cost"])
    assert all(float(row["peak_mib"]) > 30 and float(row["user_s"]) > 0 for row in measured)
    assert done.stdout.count("room") == 4


@pytest.mark.parametrize(("family", "size"), [("campus", "2x3"), ("independent", "2x3"), ("masts", "2x2+1")])
def test_every_family_in_odd_cents(family, size, tmp_path):
    table = tmp_path / "rows.csv"
    done = benchmarks("run", "--family", family, "--size", size, "--seeds", "1", "--odd", "--limit", "20", "--out", str(table))
    assert done.returncode == 0, done.stderr
    (row,) = rows(table)
    assert (row["family"], row["size"], row["seed"], row["prices"]) == (family, size, "1", "odd")
    assert row["status"] == "optimal"
    assert float(row["gap_pct"]) == 0


@pytest.mark.parametrize(("words", "named"), [(("--family", "village"), "village"), (("--seeds", "0-", "--size", "5x5"), "'0-'")])
def test_what_is_not_known_is_named(words, named):
    done = benchmarks("run", *words)
    assert done.returncode == 2
    assert named in done.stderr
    assert "Traceback" not in done.stderr


def test_growth_is_drawn_at_its_worst_seed():
    measured = [
        {"program": "tool", "family": "campus", "devices": devices, "seconds": seconds, "peak_mib": mib}
        for devices, seconds, mib in (("10", "1.0", "100"), ("10", "5.0", "90"), ("1000", "50.0", "1000"))
    ]
    picture = ET.fromstring(plot_growth(measured))
    names = {"svg": "http://www.w3.org/2000/svg"}
    time_line, memory_line = picture.findall(".//svg:polyline", names)
    assert len(time_line.get("points").split()) == 2
    assert len(memory_line.get("points").split()) == 2
    (x1, y1), (x2, y2) = (tuple(map(float, point.split(","))) for point in time_line.get("points").split())
    assert x1 < x2
    assert y1 > y2  # more seconds stand higher
    # 1 to 100 s in two decades: ten times as long is half the height of the chart
    assert y1 - y2 == pytest.approx((340 - 60 - 35) / 2, abs=1)
