"""The kits of many sites from the command line, on processes of this machine."""

import csv
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from sites import DEVICES, write_sites

REPOSITORY = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(REPOSITORY), os.environ.get("PYTHONPATH", "")])}
COMMAND = [sys.executable, "-m", "equipsel.cli", "kit"]


def run(sites: Path, *options: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*COMMAND, str(sites), "--all", *options], capture_output=True, text=True, check=False, env=ENVIRONMENT)


def rows(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(path.open()))


def files(folder: Path) -> dict[str, bytes]:
    """Everything below a folder but for the seconds, which differ from run to run."""
    found = {}
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            content = path.read_bytes()
            if path.name == "kit.json":
                content = json.dumps({**json.loads(content), "seconds": None}).encode()
            found[str(path.relative_to(folder))] = content
    return found


@pytest.fixture
def sites(tmp_path: Path) -> Path:
    return write_sites(tmp_path, a=(2, 9), b=(3, 9), c=(7, 12), d=(1, 60))


def test_each_site_has_its_kit_and_all_have_one_order(sites: Path, tmp_path: Path) -> None:
    (sites / "b" / "devices.csv").write_text(DEVICES.replace("count", "cont", 1).format(count=3, watts=9))
    done = run(sites, "--out", str(tmp_path / "out"), "--workers", "2")
    assert done.returncode == 2
    assert "4 sites\n       2 proven cheapest\n       1 no kit exists\n       1 tables are wrong\n" in done.stdout
    assert "  b: tables are wrong\n    devices.csv row 1, cont: is not a column of this table; did you mean count?" in done.stdout
    assert "  d: no kit exists\n    cam: needs 60 W at 30 m to hall; " in done.stdout
    assert "Total of 2 sites: EUR 140.00\n" in done.stdout
    assert [(row["model"], row["part_no"], row["count"], row["cost"], row["sites"]) for row in rows(tmp_path / "out" / "order.csv")] == [
        ("plain", "P-1", "1", "100", "1"),
        ("small", "P-2", "1", "40", "1"),
        ("24 AWG copper", "", "270", "0", "2"),
    ]
    assert [(row["site"], row["ending"], row["cost"]) for row in rows(tmp_path / "out" / "sites.csv")] == [
        ("a", "optimal", "40"),
        ("b", "wrong input", ""),
        ("c", "optimal", "100"),
        ("d", "infeasible", ""),
    ]
    assert json.loads((tmp_path / "out" / "a" / "kit.json").read_text())["cost"] == 40
    assert sorted(path.name for path in (tmp_path / "out" / "d").iterdir()) == ["kit.json"]
    assert not (tmp_path / "out" / "b").exists()


def test_what_is_solved_is_not_solved_again_unless_its_inputs_changed(sites: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    first = run(sites, "--out", str(out), "--workers", "1")
    assert first.returncode == 3
    written = {path: path.stat().st_mtime_ns for path in out.glob("*/kit.json")}
    (sites / "a" / "devices.csv").write_text(DEVICES.format(count=1, watts=9))
    (out / "b" / "port_schedule.csv").unlink()
    again = run(sites, "--out", str(out), "--workers", "1")
    assert "2 of them taken from an earlier run" in again.stdout
    changed = {path.parent.name for path in out.glob("*/kit.json") if written[path] != path.stat().st_mtime_ns}
    assert changed == {"a", "b"}
    assert "5 sites" not in again.stdout


def test_other_limits_or_a_spoilt_kit_are_solved_again(sites: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(sites, "--out", str(out), "--workers", "1")
    assert "of them taken" not in run(sites, "--out", str(out), "--workers", "1", "--gap", "0.5").stdout
    kit = json.loads((out / "c" / "kit.json").read_text())
    kit["connections"][0]["port"] = kit["connections"][1]["port"]
    (out / "c" / "kit.json").write_text(json.dumps(kit))
    assert "3 of them taken" in run(sites, "--out", str(out), "--workers", "1", "--gap", "0.5").stdout
    assert json.loads((out / "c" / "kit.json").read_text())["connections"][0]["port"] != kit["connections"][1]["port"]


def test_a_site_that_has_no_kit_any_more_leaves_no_schedules(sites: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    run(sites, "--out", str(out), "--workers", "1")
    (sites / "a" / "devices.csv").write_text(DEVICES.format(count=1, watts=60))
    run(sites, "--out", str(out), "--workers", "1")
    assert [path.name for path in (out / "a").iterdir()] == ["kit.json"]


def test_the_answer_does_not_depend_on_the_number_of_processes(sites: Path, tmp_path: Path) -> None:
    one, two = (run(sites, "--out", str(tmp_path / f"out{number}"), "--workers", str(number)) for number in (1, 2))
    assert one.stdout == two.stdout
    assert files(tmp_path / "out1") == files(tmp_path / "out2")


def test_json_tells_sites_order_and_totals(sites: Path) -> None:
    told = json.loads(run(sites, "--json", "--workers", "1").stdout)
    assert [site["ending"] for site in told["sites"]] == ["optimal", "optimal", "optimal", "infeasible"]
    assert told["totals"] == {"EUR": 220.0}
    assert sum(line["cost"] for line in told["order"]) == 220
    assert told["sites"][3]["messages"][0].startswith("cam: needs 60 W at 30 m to hall")


def test_interrupted_and_run_again_it_gives_the_same_order(tmp_path: Path) -> None:
    sites = write_sites(tmp_path, **{f"s{number:02}": (1 + number % 9, 9 + number % 4) for number in range(18)})
    whole, out = tmp_path / "whole", tmp_path / "out"
    assert run(sites, "--out", str(whole), "--workers", "2").returncode == 0
    child = subprocess.Popen(
        [*COMMAND, str(sites), "--all", "--out", str(out), "--workers", "2"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=ENVIRONMENT,
        start_new_session=True,
    )
    while not list(out.glob("*/kit.json")):
        time.sleep(0.02)
    os.killpg(child.pid, signal.SIGINT)
    said, _ = child.communicate(timeout=60)
    assert child.returncode == 4
    assert "not done" in said
    assert len(list(out.glob("*/kit.json"))) < 18
    assert run(sites, "--out", str(out), "--workers", "2").returncode == 0
    assert files(out) == files(whole)


def test_a_site_whose_process_is_killed_is_done_again(tmp_path: Path) -> None:
    sites = write_sites(tmp_path, **{f"s{number:02}": (1 + number % 9, 9) for number in range(12)})
    whole, out = tmp_path / "whole", tmp_path / "out"
    assert run(sites, "--out", str(whole), "--workers", "2").returncode == 0
    child = subprocess.Popen([*COMMAND, str(sites), "--all", "--out", str(out), "--workers", "2"], stdout=subprocess.PIPE, env=ENVIRONMENT)
    while not list(out.glob("*/kit.json")):
        time.sleep(0.02)
    for task in Path(f"/proc/{child.pid}/task/{child.pid}/children").read_text().split():
        if "spawn_main" in Path(f"/proc/{task}/cmdline").read_text():
            os.kill(int(task), signal.SIGKILL)
            break
    assert child.wait(120) == 0
    assert files(out) == files(whole)


def test_a_folder_without_sites_and_a_cluster_for_one_site_are_said(sites: Path, tmp_path: Path) -> None:
    done = run(tmp_path / "catalog")
    assert (done.returncode, done.stdout) == (2, "")
    assert "holds no site" in done.stderr
    one = subprocess.run(
        [*COMMAND, str(sites / "a"), "--cluster", "tcp://x:1"], capture_output=True, text=True, check=False, env=ENVIRONMENT
    )
    assert one.returncode == 2
    assert "goes with --all" in one.stderr
