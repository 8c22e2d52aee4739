"""`equipsel compare` from the command line: what it prints, what it writes, how it ends."""

import csv
import json
import os
import signal
import subprocess
import sys
import time
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import pytest
from ctrl_c import stopped
from stocks import write_stocks
from typer.testing import CliRunner

import equipsel.commands.compare
import equipsel.compare.pieces
from equipsel.cli import app
from equipsel.compare.ask import Question
from equipsel.compare.files import FILE_NAMES
from equipsel.kit import Kit, Status

REPOSITORY = Path(__file__).parents[2]
ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join([str(REPOSITORY), os.environ.get("PYTHONPATH", "")])}
COMMAND = [sys.executable, "-m", "equipsel.cli", "compare"]
STUDIES = ("--near", "2", "--within", "60%", "--trade-off", "--break-even")


@pytest.fixture
def stocks(tmp_path: Path) -> Path:
    return write_stocks(tmp_path)


@pytest.fixture
def here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Do the work in this process, since it takes a second to start another, and print for a terminal of a known width."""
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setattr(equipsel.commands.compare, "workplace", lambda *_: nullcontext())


def both(folder: Path, *words: str) -> list[str]:
    return [str(folder / "site"), "--catalog", str(folder / "mains"), "--catalog", str(folder / "apart"), *words]


def run(*words: str) -> Any:
    return CliRunner().invoke(app, ["compare", *words])


@pytest.mark.usefixtures("here")
def test_what_rules_cost_and_what_mixing_saves(stocks: Path) -> None:
    """By hand: N+1 is a third supply (20); 10 % of 115 W spare is a third supply too, while 120 W are enough for `plain`."""
    rules = ("--set", "rules.redundant_supplies=true", "--set", "rules.spare_watts_pct=10")
    told = json.loads(run(*both(stocks, *rules, "--json")).stdout)
    costs = [(one["catalog"], one["figures"]["cost"], one["costs_more"]) for one in told["options"]]
    assert costs == [
        *(("mains", 100, None), ("apart", 90, None), ("all together", 90, None)),
        *(("mains", 100, 0), ("apart", 110, 20), ("all together", 100, 10)),
        *(("mains", 100, 0), ("apart", 110, 20), ("all together", 100, 10)),
    ]
    assert told["mixing_saves"] == {"": 0, "rules.redundant_supplies=true": 0, "rules.spare_watts_pct=10": 0}
    assert told["best"]["cost"] == [2, 3]


@pytest.mark.usefixtures("here")
def test_the_console_and_the_files_tell_everything_that_was_asked_for(stocks: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run(str(stocks / "site"), *STUDIES, "--out", str(out))
    assert done.exit_code == 0, done.output
    assert "  1 mains: proven cheapest\n" in done.stdout
    assert "2 different kits within 60 %, there are no others; bills of materials of the least cost: 1" in " ".join(done.stdout.split())
    assert "  1 100.00: 1 x plain\n  2 160.00: 4 x small\n" in done.stdout
    assert "switch  plain  100.00       1      160.00   160.00  bought: leaves at this price" in done.stdout
    assert "switch  small   40.00       0       25.00   100.00  not bought: enters below this price" in done.stdout
    assert "every option no other beats, proven" in done.stdout
    assert done.stderr == f"Written to {out}\n"
    absent = {"differences.csv"}  # one option differs from none
    assert sorted(path.name for path in out.iterdir()) == sorted(set(FILE_NAMES) - absent)
    assert [row["cost"] for row in csv.DictReader((out / "near_kits.csv").open())] == ["100.0", "160.0"]
    told = json.loads((out / "comparison.json").read_text())
    assert (told["near"]["ties"], told["near"]["ties_counted"], told["near"]["complete"]) == (1, True, True)


@pytest.mark.usefixtures("here")
def test_an_option_without_a_kit_says_why_and_the_others_go_on(stocks: Path) -> None:
    done = run(*both(stocks, "--only", "small"))
    assert done.exit_code == 0
    assert "  4 mains, only small: proven cheapest; costs 60.00 as against no change\n" in done.stdout
    assert "  5 apart, only small\n     no kit: " in done.stdout


@pytest.mark.usefixtures("here")
def test_options_that_cannot_be_put_together_are_refused_and_the_others_go_on(stocks: Path) -> None:
    (stocks / "mains" / "cables.csv").write_text("model,price_per_m,awg\nrun,1,24\n")
    (stocks / "apart" / "cables.csv").write_text("model,price_per_m,awg\nrun,1,23\n")
    done = run(*both(stocks))
    assert done.exit_code == 0
    assert "  3 all together\n     no kit: apart has another run than the lists before it (awg)" in done.stdout


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--catalog", "nowhere"), "nowhere"),
        (("--without", "plian"), "--without: 'plian' is in no catalog; did you mean 'plain'?"),
        (("--only", "smal"), "--only: 'smal' is in no catalog; did you mean 'small'?"),
        (("--set", "rules.span=3"), "'span' is not a column of rules"),
        (("--within", "much"), "is not a percentage from 0 to 1000, such as 3%"),
        (("--within", "-1"), "is not a percentage from 0 to 1000, such as 3%"),
        (("--near", "-1"), "--near"),
        (("--gap", "1"), "is not a number of at least 0 and below 1"),
        (("--time-limit", "0"), "is not a number of seconds above 0"),
        (("--workers", "0"), "--workers"),
        (("--out", " "), "give the folder a name"),
    ],
)
def test_what_is_wrong_is_said_before_anything_is_solved(words: tuple[str, ...], told: str, stocks: Path, tmp_path: Path) -> None:
    done = run(str(stocks / "site"), "--out", str(tmp_path / "out"), *words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert told in " ".join(done.stderr.replace("│", " ").split())
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


def test_a_folder_that_cannot_be_written_is_told_before_anything_is_read(stocks: Path, tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    done = run(str(stocks / "no-such-site"), "--out", str(tmp_path / "out"))
    assert (done.exit_code, done.stdout) == (2, "")
    assert "is a file, not a folder" in done.stderr
    (tmp_path / "full" / "compare.html").mkdir(parents=True)
    done = run(str(stocks / "site"), "--out", str(tmp_path / "full"))
    assert done.exit_code == 2
    assert [path.name for path in (tmp_path / "full").iterdir()] == ["compare.html"]


@pytest.mark.usefixtures("here")
def test_without_any_kit_nothing_is_written_and_the_code_says_so(stocks: Path, tmp_path: Path) -> None:
    (stocks / "site" / "devices.csv").write_text("device,watts,place,run_m\nlamp,60,hall,30\n")
    done = run(str(stocks / "site"), "--out", str(tmp_path / "out"))
    assert (done.exit_code, (tmp_path / "out").exists()) == (3, False)
    assert "no kit: " in done.stdout
    assert "no option has a kit" in done.stderr


@pytest.mark.usefixtures("here")
def test_stopped_before_any_kit_has_a_code_of_its_own(stocks: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Question, "kit", lambda _: Kit(status=Status.STOPPED))
    done = run(str(stocks / "site"))
    assert done.exit_code == 4
    assert "no kit was found in the time allowed" in done.stdout


def test_ctrl_c_before_anything_is_done(stocks: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def pressed(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(equipsel.compare.pieces, "sweep", pressed)
    done = run(str(stocks / "site"), "--out", str(tmp_path / "out"))
    assert (done.exit_code, (tmp_path / "out").exists()) == (130, False)
    assert "Stopped: what was done by then is shown, the rest is missing." in done.stdout


def test_ctrl_c_gives_what_is_done(tmp_path: Path) -> None:
    """Pressed once the first of 46 pieces of work, the option itself, is said to be done on the terminal."""
    words = ("--break-even", "--workers", "1", "--json", "--out", str(tmp_path / "out"))
    command = [*COMMAND, str(REPOSITORY / "scenarios" / "workshop"), *words]
    code, printed = stopped(command, r"\b1 of 46 done \(Ctrl-C gives what is done; twice: at once\)", REPOSITORY, ENVIRONMENT)
    assert code == 0
    told = json.loads(printed)
    assert (told["interrupted"], told["options"][0]["kit"]["status"]) == (True, "optimal")
    assert len(told.get("break_even", [])) < 45
    assert "Stopped: what was done by then is shown" in (tmp_path / "out" / "compare.html").read_text()


@pytest.mark.parametrize("number", ["1", "2"])
def test_ctrl_c_keeps_what_is_known_of_studies_under_way(number: str) -> None:
    """Pressed after four searches: the option's and three of the trade-offs', which take a dozen."""
    command = [*COMMAND, str(REPOSITORY / "scenarios" / "workshop"), "--trade-off", "--workers", number, "--json"]
    code, printed = stopped(command, r"\b4 of \d+ done", REPOSITORY, ENVIRONMENT)
    told = json.loads(printed)
    assert (code, told["interrupted"], told["options"][0]["kit"]["status"]) == (0, True, "optimal")
    found = [told[name] for name in ("trade_off_spare", "trade_off_models") if name in told]
    assert any(curve["points"] and not curve["complete"] for curve in found)


@pytest.mark.slow
@pytest.mark.parametrize("command", ["compare", "grow"])
def test_ctrl_c_gives_the_best_kit_of_a_search_under_way(command: str) -> None:
    """The school's first kits are found within a second or two, the cheapest takes about a quarter of a minute to prove."""
    words = [sys.executable, "-m", "equipsel.cli", command, str(REPOSITORY / "scenarios" / "school"), "--json"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, cwd=REPOSITORY, env=ENVIRONMENT, start_new_session=True) as child:
        time.sleep(8)
        os.killpg(child.pid, signal.SIGINT)
        printed, _ = child.communicate(timeout=20)
    told = json.loads(printed)
    kit = told["options"][0]["kit"] if command == "compare" else told["kits"][0]
    assert (child.returncode, told["interrupted"], kit["status"]) == (0, True, "feasible")
    assert 0 < kit["lower_bound"] < kit["cost"]


def test_same_input_same_bytes_whatever_the_processes(stocks: Path, tmp_path: Path) -> None:
    for number in ("1", "2"):
        words = both(stocks, "--without", "small", *STUDIES, "--workers", number, "--out", str(tmp_path / number))
        environment = {**ENVIRONMENT, "PYTHONHASHSEED": number}
        subprocess.run([*COMMAND, *words], capture_output=True, check=True, env=environment, timeout=120)
    first, second = ({path.name: path.read_bytes() for path in (tmp_path / number).iterdir()} for number in ("1", "2"))
    assert sorted(first) == sorted(FILE_NAMES)
    assert [name for name, content in first.items() if content != second[name]] == []
