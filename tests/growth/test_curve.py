"""Cost curves: against solving each number on its own; what becomes of them where time is short, on a clock of their own."""

import csv
import heapq
import random
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from itertools import count
from pathlib import Path
from types import SimpleNamespace

import pytest
from cases import numbers
from halls import TERMS, hall

from equipsel.growth import search as search_module
from equipsel.growth import trace as trace_module
from equipsel.growth.plans import Terms
from equipsel.growth.points import Curve, CurveQuestion, Point, joined
from equipsel.growth.search import ReasonsTask, SearchTask, reasons, searched
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown
from equipsel.growth.trace import Trace
from equipsel.growth.words import step_words
from equipsel.kit import Kit, Status
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit


def question(described: Site, most: int, *, prove: bool = False) -> CurveQuestion:
    return CurveQuestion("camera", {"cam": described.scenario.device["cam"].count}, most, described, TERMS, prove)


def done(task: SearchTask | ReasonsTask) -> Curve | tuple[str, ...]:
    return reasons(task) if isinstance(task, ReasonsTask) else searched(task)


def traced(described: Site, most: int) -> Curve:
    trace = Trace(0, question(described, most), cheapest_kit(described.scenario, described.catalog), 1)
    while task := trace.next():
        trace.take(task, done(task))
    return trace.found


def test_a_curve_is_what_solving_each_number_gives_with_fewer_searches() -> None:
    described = hall()
    found = traced(described, 12)
    assert found.complete()
    for number in range(13):
        alone = grown(described, spread({"cam": 3}, number))
        kit = cheapest_kit(alone.scenario, alone.catalog, Limits(Decimal(0), 600.0))
        assert found.points[number].cost == round(100 * (kit.cost or 0)), number
    costs = [point.cost for _, point in sorted(found.points.items())]
    assert costs == sorted(costs)
    assert len(found.searched) < 13
    assert step_words(found, 1) == "the 1st camera needs 1 x eight at hall instead of 1 x four at hall: +50.00"
    assert [number for number in range(13) if step_words(found, number)] == [1, 5, 9]


def test_a_curve_ends_where_no_kit_is_left_and_says_why() -> None:
    found = traced(hall(outlets=1), 12)
    assert found.ends == 5
    assert sorted(found.points) == [0, 1, 2, 3, 4]
    assert found.complete()
    assert any("outlets" in reason for reason in found.reasons)


def test_adding_nothing_changes_nothing() -> None:
    found = traced(hall(), 0)
    kit = cheapest_kit(hall().scenario, hall().catalog)
    assert [(number, point.cost) for number, point in found.points.items()] == [(0, round(100 * (kit.cost or 0)))]


ROOT = Path(__file__).parents[2]


class Slow:
    """Searches that take `needs_s` of a clock of their own, or all they are allowed and then prove nothing; several under way at a time."""

    def __init__(self, needs_s: Callable[[int], float]) -> None:
        self.needs_s, self.now, self.searched = needs_s, 0.0, []

    def monotonic(self) -> float:
        return self.now

    def kit(self, scenario: object, catalog: object, limits: Limits, paid: object = None) -> Kit:
        found = cheapest_kit(scenario, catalog, limits, paid=paid)  # type: ignore[arg-type]
        if paid is not None or limits.reasons_s:
            return found
        number, allowed = sum(row.count for row in scenario.devices) - 4, limits.time_limit_s or 0.0  # type: ignore[attr-defined]
        self.searched.append((number, round(allowed, 3)))
        self.took = min(self.needs_s(number), allowed)
        if allowed >= self.needs_s(number) or found.cost is None:
            return found
        return found.model_copy(update={"status": Status.FEASIBLE, "lower_bound": round(found.cost * 0.9, 2), "gap": 0.1})

    def run(self, trace: Trace) -> Curve:
        under_way: list[tuple[float, int, SearchTask | ReasonsTask, object]] = []
        places = count()
        while True:
            while (task := trace.next()) is not None:
                self.took = 0.0
                result = done(task)
                heapq.heappush(under_way, (self.now + self.took, next(places), task, result))
            if not under_way or trace.over():
                break
            self.now, _, task, result = heapq.heappop(under_way)
            trace.take(task, result)  # type: ignore[arg-type]
        trace.settle()
        return trace.found


def slowly(
    monkeypatch: pytest.MonkeyPatch,
    needs_s: float | Callable[[int], float],
    most: int,
    lanes: int = 1,
    *,
    prove: bool = False,
    **place: object,
) -> tuple[Curve, Slow]:
    """The curve where each search takes so many seconds, and today's kit took ten: 32 s are allowed."""
    described, slow = hall(**place), Slow(needs_s if callable(needs_s) else lambda _: needs_s)
    today = cheapest_kit(described.scenario, described.catalog).model_copy(update={"seconds": 10.0})
    monkeypatch.setattr(search_module, "cheapest_kit", slow.kit)
    monkeypatch.setattr(trace_module, "time", SimpleNamespace(monotonic=slow.monotonic))
    return slow.run(Trace(0, question(described, most, prove=prove), today, lanes)), slow


def within_bounds(found: Curve, most: int) -> None:
    assert sorted(found.points) == list(range(most + 1))
    for number, point in found.points.items():
        alone = grown(hall(), spread({"cam": 3}, number))
        least = round(100 * (cheapest_kit(alone.scenario, alone.catalog, Limits(Decimal(0), 600.0)).cost or 0))
        assert point.least <= least <= point.cost, number
    for costs in ([point.cost for _, point in sorted(found.points.items())], [point.least for _, point in sorted(found.points.items())]):
        assert costs == sorted(costs)


def test_where_time_is_short_the_first_are_proven_and_the_others_lie_between_bounds(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, 11.0, 16)
    within_bounds(found, 16)
    assert slow.now <= 32.0
    assert [number for number, _ in slow.searched[:3]] == [1, 5, 16]
    assert all(found.points[number].proven for number in range(5))
    assert not found.complete()


def test_searches_that_prove_nothing_still_bound_every_point(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, 60.0, 16)
    within_bounds(found, 16)
    assert slow.now <= 32.0
    assert 16 in [number for number, _ in slow.searched]
    assert [point.proven for _, point in sorted(found.points.items())] == [True] + [False] * 16
    steps = [words for number in range(1, 17) if (words := step_words(found, number))]
    assert steps
    assert all(words.endswith("(in the kits found; not proven to be needed)") for words in steps)


def test_the_first_gets_half_the_time_and_the_others_share_the_rest(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, 20.0, 5)
    assert slow.searched == [(1, 16.0), (5, 4.0), (3, 4.0), (2, 4.0), (4, 4.0)]
    assert not found.complete()


def test_a_point_alone_gets_all_the_time(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, 20.0, 1)
    assert (slow.searched, found.complete()) == ([(1, 32.0)], True)


def test_a_curve_that_ends_is_told_where_time_is_short_too(monkeypatch: pytest.MonkeyPatch) -> None:
    found, _ = slowly(monkeypatch, 11.0, 40, outlets=1)
    assert found.ends == 5
    assert any("outlets" in reason for reason in found.reasons)
    assert sorted(found.points) == [0, 1, 2, 3, 4]


def test_two_searches_at_a_time_prove_more_points_in_the_same_time(monkeypatch: pytest.MonkeyPatch) -> None:
    one, _ = slowly(monkeypatch, 11.0, 16)
    both, slow = slowly(monkeypatch, 11.0, 16, lanes=2)
    within_bounds(both, 16)
    assert [number for number, _ in slow.searched[:2]] == [16, 1]
    assert slow.now <= 32.0
    assert sum(point.proven for point in both.points.values()) > sum(point.proven for point in one.points.values())


@pytest.mark.parametrize("seed", range(2))
def test_where_time_allows_all_nothing_depends_on_how_many_searches_are_under_way(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Whichever comes back first: the points, their equipment and what was searched are the same."""
    alone, one = slowly(monkeypatch, 1.0, 16, prove=True)
    chance = random.Random(seed)
    several, more = slowly(monkeypatch, lambda _: chance.uniform(0.5, 9.0), 16, lanes=2 + seed % 2, prove=True)
    assert alone.complete()
    assert several.points == alone.points
    assert several.searched == alone.searched
    assert len(more.searched) > len(one.searched), "some were searched before it was known that they need not be"


def test_a_curve_to_be_proven_takes_the_time_it_needs(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, 60.0, 16, prove=True)
    assert found.complete()
    assert slow.now == 60.0 * len(slow.searched)
    assert [number for number, _ in slow.searched] == sorted(found.searched)
    assert {seconds for _, seconds in slow.searched} == {600.0}


def test_todays_kit_is_proven_too_whatever_gap_was_allowed() -> None:
    described = hall()
    today = cheapest_kit(described.scenario, described.catalog)
    loose = today.model_copy(update={"status": Status.FEASIBLE, "lower_bound": round((today.cost or 0) * 0.9, 2), "gap": 0.1})
    asked = replace(question(described, 2, prove=True), terms=Terms(Decimal("0.5")))
    trace = Trace(0, asked, loose, 1)
    assert trace.found.open(0)
    while task := trace.next():
        trace.take(task, done(task))
    assert trace.found.complete()
    assert trace.found.points[0].cost == round(100 * (today.cost or 0))


@pytest.mark.parametrize(("terms", "seconds"), [(Terms(), 86_400.0), (Terms(None, 30.0), 30.0)])
def test_only_a_time_limit_that_was_asked_for_ends_a_search_that_is_to_prove(terms: Terms, seconds: float) -> None:
    described = hall()
    trace = Trace(0, replace(question(described, 5, prove=True), terms=terms), cheapest_kit(described.scenario, described.catalog), 1)
    begin = trace.next()
    assert isinstance(begin, SearchTask)
    trace.take(begin, searched(begin))
    task = trace.next()
    assert isinstance(task, SearchTask)
    assert task.seconds == seconds


def test_a_point_whose_own_time_is_over_is_not_searched_again(monkeypatch: pytest.MonkeyPatch) -> None:
    found, slow = slowly(monkeypatch, lambda number: 700.0 if number == 5 else 1.0, 6, prove=True)
    assert [number for number, _ in slow.searched].count(5) == 1
    assert [number for number, point in found.points.items() if not point.proven] == [5]


@pytest.mark.parametrize("lanes", [1, 3])
@pytest.mark.parametrize("outlets", [1, 2])
def test_a_curve_that_ends_is_the_same_with_several_searches(monkeypatch: pytest.MonkeyPatch, lanes: int, outlets: int) -> None:
    found, _ = slowly(monkeypatch, 1.0, 40, lanes, outlets=outlets)
    assert (found.ends, found.complete(), bool(found.reasons)) == (8 * outlets - 3, True, True)
    in_order, _ = slowly(monkeypatch, 1.0, 40, lanes, prove=True, outlets=outlets)
    assert (in_order.ends, in_order.searched) == (8 * outlets - 3, {1, 5} if outlets == 1 else {1, 5, 9, 13})


@pytest.mark.parametrize("seed", [seed for part in numbers(5, 1) for seed in part])
def test_curves_hold_whatever_their_searches_take(monkeypatch: pytest.MonkeyPatch, seed: int) -> None:
    """Every point between its bounds, the end where it is, the time kept; and where all is to be proven, as one search at a time has it."""
    chance = random.Random(seed)
    place = {"outlets": outlets} if (outlets := chance.choice([None, 1, 2])) else {}
    most, lanes, prove = chance.choice([0, 1, 2, 7, 16, 30]), chance.choice([1, 2, 3, 8]), chance.random() < 0.4
    hard = chance.choice([1, 5, 12, 40])
    needs = [hard * chance.uniform(0.2, 2) for _ in range(most + 1)]
    found, slow = slowly(monkeypatch, lambda number: needs[number], most, lanes, prove=prove, **place)
    for number, point in found.points.items():
        alone = grown(hall(**place), spread({"cam": 3}, number))
        least = round(100 * (cheapest_kit(alone.scenario, alone.catalog, Limits(Decimal(0), 600.0)).cost or 0))
        assert point.least <= least <= point.cost, number
        assert not point.proven or point.cost - least <= point.slack, number
    assert sorted(found.points) == list(range(found.last + 1))
    assert found.ends in {None, 8 * (outlets or 0) - 3}
    if prove:
        assert found == slowly(monkeypatch, 1.0, most, prove=True, **place)[0]
    elif found.ends is None:
        assert slow.now <= 32.0


def test_what_has_come_back_by_any_time_counts() -> None:
    """As where Ctrl-C ends it: also a search that waits for nearer ones."""
    described = hall()
    trace = Trace(0, question(described, 16), cheapest_kit(described.scenario, described.catalog), 3)
    begin = trace.next()
    assert isinstance(begin, SearchTask)
    trace.take(begin, searched(begin))
    given = [trace.next() for _ in range(3)]
    trace.take(given[2], searched(given[2]))  # type: ignore[arg-type]
    number = given[2].number  # type: ignore[union-attr]
    assert number not in trace.found.points
    trace.settle()
    assert trace.found.points[number].how == "solved"
    assert trace.left == 16 - sum(point.proven for at, point in trace.found.points.items() if at)


def test_a_complete_curve_is_not_changed_by_another(monkeypatch: pytest.MonkeyPatch) -> None:
    up, _ = slowly(monkeypatch, 1.0, 16)
    short, _ = slowly(monkeypatch, 60.0, 16)
    assert joined(up, short) is up
    within_bounds(joined(short, up), 16)
    assert joined(short, up).complete()


def test_a_proven_point_is_not_changed_by_cents_that_rounding_hides() -> None:
    known, other = Point(1, 100, 99, how="room", slack=1), Point(1, 99, 99)
    asked = question(hall(), 2)
    assert joined(Curve(asked, {1: known}), Curve(asked, {1: other})).points[1] == known


def test_of_two_ends_the_nearer_counts_with_its_own_reasons() -> None:
    described = hall()
    task = question(described, 12)
    up = Curve(task, {0: Point(0, 100, 100), 9: Point(9, 300, 200)}, 10, ("reasons of ten",), frozenset({9}))
    down = Curve(task, {0: Point(0, 100, 100), 7: Point(7, 250, 250, how="room")}, 8, ("reasons of eight",), frozenset({8, 9}))
    for both in (joined(up, down), joined(down, up)):
        assert (both.ends, both.reasons, sorted(both.points), both.searched) == (8, ("reasons of eight",), [0, 7], {8, 9})


def test_what_neither_proves_is_not_proven_together() -> None:
    """The cents that rounding may hide are those of the kit itself: they prove nothing of a cheaper one."""
    task = question(hall(), 1)
    room, tried = Point(1, 100, 80, how="room", slack=2), Point(1, 99, 97, how="tried")
    both = joined(Curve(task, {1: room}), Curve(task, {1: tried}))
    assert (both.points[1].cost, both.points[1].least, both.points[1].proven) == (99, 97, False)
    same = Point(1, 100, 98, how="tried")
    for one, other in ((room, same), (same, room)):
        assert joined(Curve(task, {1: one}), Curve(task, {1: other})).points[1] == same
    proven = Point(1, 100, 98, how="room", slack=2)
    assert joined(Curve(task, {1: tried}), Curve(task, {1: proven})).points[1] == proven


def seconds_of(*words: str) -> float:
    began = time.monotonic()
    subprocess.run([sys.executable, "-c", "from equipsel.cli import main; main()", *words], cwd=ROOT, check=True, capture_output=True)
    return time.monotonic() - began


@pytest.mark.slow
@pytest.mark.parametrize("workers", ["1", "2"])
@pytest.mark.parametrize("kind", ["recorder", "camera", "phone"])
def test_twenty_points_of_the_school_take_less_than_five_kits_of_it(kind: str, workers: str, tmp_path: Path) -> None:
    """Whole commands, one after the other; the curve's own includes finding today's kit. Two processes share its searches."""
    alone = seconds_of("kit", "scenarios/school", "--out", str(tmp_path / "kit"))
    whole = seconds_of(
        "grow", "scenarios/school", "--no-reach", "--curve", f"kind:{kind}=20", "--out", str(tmp_path / "growth"), "--workers", workers
    )
    with (tmp_path / "growth" / "curve.csv").open(newline="") as table:
        rows = list(csv.DictReader(table))
    gaps = [1 - float(row["lower_bound"]) / float(row["cost"]) for row in rows]
    proven = sum(row["proven"] == "yes" for row in rows)
    print(
        f"{kind}, {workers}: {whole:.1f} s against {alone:.1f} s, {whole / alone:.2f} x; {proven} proven, the others within {max(gaps):.2%}"
    )
    assert len(rows) == 21
    assert whole < 5 * alone
