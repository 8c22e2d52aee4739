"""A whole study: what is printed and written, growth that no kit satisfies, changes, and what is left when it is stopped."""

import csv
import io
import json
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from halls import TERMS, hall
from typer.testing import CliRunner

from equipsel.cli import app
from equipsel.growth import study as growth_study
from equipsel.growth.ask import Written, asked
from equipsel.growth.files import FILE_NAMES, growth_files, growth_json
from equipsel.growth.plans import How
from equipsel.growth.points import Curve, CurveTask, Point
from equipsel.growth.stages import stages
from equipsel.growth.study import Asked, Study, study
from equipsel.growth.text import study_text
from equipsel.sweep import workers

ROOT = Path(__file__).parents[2]
DEPOT = ROOT / "scenarios" / "depot"


def worked_out(what: Written) -> Study:
    """The same as `study`, in this process."""
    found = Study(asked(what))
    for phase in (growth_study._first, growth_study._second, growth_study._third):
        for task in phase(found):
            growth_study._keep(found, task, growth_study._worked_out(task))
    return found


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


def test_the_page_draws_the_bounds_of_what_is_not_proven(depot: Study) -> None:
    points = {0: Point(0, 10_000, 10_000), 1: Point(1, 20_000, 15_000)}
    short = Curve(CurveTask("dome", {}, 1, depot.stages[0].site, depot.asked.terms), points)
    page = growth_files(replace(depot, curves={0: short}), "Depot")["growth.html"].decode()
    assert "0 more: 100.00; 1 more: between 150.00 and 200.00" in page
    assert "lower bound" in page
    sure = Curve(short.task, {0: points[0]})
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
    def stopped_after_two(_work: Any, tasks: list[Any], _executor: Any) -> Any:
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


def test_processes_that_would_stand_idle_trace_the_curve_from_its_end() -> None:
    task = CurveTask("camera", {"cam": 3}, 12, hall(), TERMS)
    what = Asked(stages(hall(), {}), {}, [task], False, TERMS)
    with workers(2) as executor:
        both, alone = study(what, nullcontext(executor)), study(what, nullcontext())
        assert both.curves[0].points == alone.curves[0].points
        assert both.curves[0].complete()
        assert growth_study._from_the_end([task], None) == []
        assert growth_study._from_the_end([task], executor) == [replace(task, down=True)]
        assert growth_study._from_the_end([task, task], executor) == []


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
