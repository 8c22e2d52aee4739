"""A whole study: what is printed and written, growth that no kit satisfies, changes, and what is left when it is stopped."""

import csv
import io
import json
import sys
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from ctrl_c import stopped
from halls import TERMS, hall
from typer.testing import CliRunner

from equipsel.cli import app
from equipsel.console import CAUTIONS, INTERRUPTED
from equipsel.growth import study as growth_study
from equipsel.growth.ask import Written, asked
from equipsel.growth.files import FILE_NAMES, growth_files, growth_json
from equipsel.growth.plans import How
from equipsel.growth.points import Curve, CurveQuestion, Point
from equipsel.growth.stages import stages
from equipsel.growth.study import Asked, Study, study
from equipsel.growth.text import study_text
from equipsel.workers import Workers, workers

ROOT = Path(__file__).parents[2]
DEPOT = ROOT / "scenarios" / "depot"


def worked_out(what: Written) -> Study:
    """All of it in this process."""
    return study(asked(what), nullcontext())


@pytest.fixture(scope="module")
def depot() -> Study:
    adds = ("phone-counter=1", "kind:camera=1")
    return worked_out(Written(DEPOT, None, adds, ("rules.spare_watts_pct=30",), ("kind:camera=2",)))


def test_everything_asked_for_is_told(depot: Study) -> None:
    text = study_text(depot, "Depot", 100)
    assert max(map(len, text.splitlines())) <= 100
    for words in (
        "Three ways to buy for these stages", "Planning ahead", "What to buy when: all stages together",
        "How far today's cheapest kit reaches", "runs out first", "Least cost against camera added: every point proven",
        "What if: the cheapest kit of each stage under each change", "Cautions",
    ):  # fmt: skip
        assert words in text


def test_more_spare_never_costs_less_and_cost_never_falls(depot: Study) -> None:
    plain = [depot.kits[at].cost or 0 for at in range(3)]
    assert plain == sorted(plain)
    for (_, at), kit in depot.changed.items():
        assert (kit.cost or 0) >= plain[at]


def test_files_are_the_same_bytes_twice_and_agree_with_the_plans(depot: Study) -> None:
    files = growth_files(depot, "Depot")
    assert set(files) == set(FILE_NAMES)
    told = json.loads(files["growth.json"])
    assert {row["plan"]: row["total"] for row in told["plans"]} == {how.value: depot.plans[how].total_cents / 100 for how in How}
    rows = list(csv.DictReader(io.StringIO(files["purchases.csv"].decode())))
    for how in How:
        paid = sum(round(100 * float(row["cost"])) for row in rows if row["plan"] == how.value)
        assert paid == depot.plans[how].paid_cents[-1]
    assert growth_files(depot, "Depot") == files


def test_the_page_has_the_curve_and_the_sentence(depot: Study) -> None:
    page = growth_files(depot, "Depot <&>")["growth.html"].decode()
    assert "<svg" in page
    assert "Depot &lt;&amp;&gt;: growth" in page
    assert "Planning ahead" in page
    assert "Paid so far EUR" in page
    assert f">{depot.kits[0].cost:,.2f}<" in page


def test_the_workbook_says_what_its_tables_do_not(depot: Study) -> None:
    def notes(found: Study) -> list[tuple[object, ...]]:
        book = openpyxl.load_workbook(io.BytesIO(growth_files(found, "Depot")["growth.xlsx"]))
        return [tuple(cell for cell in row if cell is not None) for row in book["notes"].iter_rows(values_only=True)]

    told = notes(depot)
    assert ("cost against camera", "every point proven, 1 of them searched") in told
    assert [row[1] for row in told if row[0] == "caution"] == list(CAUTIONS)
    assert any(row[0] == "planning ahead" and str(row[1]).startswith("Planning ahead") for row in told[1:] if len(row) > 1)
    assert ("note", INTERRUPTED) not in told
    assert ("note", INTERRUPTED) in notes(replace(depot, interrupted=True))


def test_a_curve_that_ends_before_its_reason_is_known_says_where() -> None:
    asked_for = CurveQuestion("camera", {"cam": 3}, 12, hall(), TERMS)
    ended = Curve(asked_for, {0: Point(0, 10_000, 10_000)}, 1)
    found = Study(Asked(stages(hall(), {}), {}, [asked_for], False, TERMS), curves={0: ended}, interrupted=True)
    assert "  No kit takes 1 or more.\n" in study_text(found, "Hall", 100)
    told = replace(found, curves={0: replace(ended, reasons=("the outlets",))})
    assert "  No kit takes 1 or more:\n  - the outlets" in study_text(told, "Hall", 100)


def test_the_page_draws_the_bounds_of_what_is_not_proven(depot: Study) -> None:
    points = {0: Point(0, 10_000, 10_000), 1: Point(1, 20_000, 15_000)}
    short = Curve(CurveQuestion("dome", {}, 1, depot.stages[0].site, depot.asked.terms), points)
    page = growth_files(replace(depot, curves={0: short}), "Depot")["growth.html"].decode()
    assert "0 more: 100.00; 1 more: between 150.00 and 200.00" in page
    assert "lower bound" in page
    sure = Curve(short.question, {0: points[0]})
    assert "lower bound" not in growth_files(replace(depot, curves={0: sure}), "Depot")["growth.html"].decode()


def test_growth_that_no_kit_satisfies_keeps_the_stages_before() -> None:
    found = worked_out(Written(DEPOT, None, add=("phone-counter=1", "dome-sorting=900"), reach=False))
    assert [found.kits[at].cost is None for at in range(3)] == [False, False, True]
    assert [stage.name for stage in found.reachable] == ["now", "phone-counter=1"]
    assert len(found.plans[How.TOGETHER].kits) == 2
    text = study_text(found, "Depot", 100)
    assert "No kit from stage dome-sorting=900 on; the stages before it stand." in text
    assert "dome-sorting" in text.split("the stages before it stand.")[1]
    assert json.loads(growth_json(found))["stages"][2]["why_not"]


def test_ctrl_c_gives_what_is_done(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped_after_two(_work: Any, tasks: list[Any], _executor: Any, **_: Any) -> Any:
        for position, task in enumerate(tasks):
            if position == 2:
                raise KeyboardInterrupt
            yield position, growth_study._worked_out(task)

    monkeypatch.setattr(growth_study, "sweep", stopped_after_two)
    found = study(asked(Written(DEPOT, None)), nullcontext())
    assert found.interrupted
    assert sorted(found.kits) == [0, 1]
    text = study_text(found, "Depot", 100)
    assert "Stopped: what was done by then is shown, the rest is missing." in text
    assert "not worked out" in text


def test_several_processes_give_the_same_curves_as_one() -> None:
    questions = [CurveQuestion(name, {name: count}, 8, hall(), TERMS) for name, count in (("cam", 3), ("phone", 1))]
    what = Asked(stages(hall(), {}), {}, questions, False, TERMS)
    told: list[tuple[int, int]] = []
    with workers(2) as executor:
        both = study(what, nullcontext(executor), lambda *counts: told.append(counts))
    alone = study(what, nullcontext())
    assert [curve.complete() for curve in both.curves.values()] == [True, True]
    assert both.curves == alone.curves
    assert [number for number, _ in told] == list(range(1, len(told) + 1))
    assert told[-1][0] == told[-1][1]


def test_searches_that_are_not_needed_any_more_are_not_waited_for() -> None:
    ended: list[bool] = []

    class Idle(Workers):
        def stop(self) -> None:
            ended.append(True)

    growth_study._leave(0, Idle())
    growth_study._leave(1, None)
    assert ended == []
    growth_study._leave(1, Idle())
    assert ended == [True]


def test_no_curve_begins_without_a_kit_for_today() -> None:
    crowded = hall(30, outlets=1)
    found = study(Asked(stages(crowded, {}), {}, [CurveQuestion("cam", {"cam": 30}, 8, crowded, TERMS)], False, TERMS), nullcontext())
    assert (found.kits[0].cost, found.curves) == (None, {})


def run(*words: str) -> Any:
    return CliRunner().invoke(app, ["grow", *words])


def test_the_command_prints_json_and_writes_whole(tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run(str(DEPOT), "--add", "phone-counter=1", "--no-reach", "--json", "--out", str(out))
    assert done.exit_code == 0
    told = json.loads(done.stdout)
    assert [row["stage"] for row in told["stages"]] == ["now", "phone-counter=1"]
    assert {path.name for path in out.iterdir()} < set(FILE_NAMES)
    assert json.loads((out / "growth.json").read_text()) == told


def test_the_command_tells_all_that_is_wrong_and_writes_nothing(tmp_path: Path) -> None:
    out = tmp_path / "out"
    done = run(str(DEPOT), "--add", "dome-kounter=1", "--add", "dome-counter=500%", "--set", "rules.spare=1", "--out", str(out))
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 3
    assert not out.exists()


def test_proving_without_a_curve_is_told() -> None:
    done = run(str(DEPOT), "--prove")
    assert done.exit_code == 2
    assert "--prove: there is no curve to prove; write --curve as well, such as --curve kind:camera=20" in done.stderr


@pytest.mark.parametrize("number", ["1", "2"])
def test_ctrl_c_keeps_the_points_of_a_curve_under_way(tmp_path: Path, number: str) -> None:
    """Pressed once a search of it is said to be done on the terminal, after today's kit and what that has room for."""
    words = ["grow", str(ROOT / "scenarios" / "workshop"), "--no-reach", "--curve", "kind:camera=20", "--json", "--workers", number]
    command = [sys.executable, "-c", "from equipsel.cli import main; main()", *words, "--out", str(tmp_path / "out")]
    code, printed = stopped(command, r"\b3 of \d+ done \(Ctrl-C gives what is done; twice: at once\)", ROOT)
    assert code == 0
    told = json.loads(printed)
    assert told["interrupted"]
    assert 2 <= len(told["curve"]) < 21
    assert [row["added"] for row in told["curve"][:2]] == [0, 1]
    assert "Stopped: what was done by then is shown" in (tmp_path / "out" / "growth.html").read_text()
