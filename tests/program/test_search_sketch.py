"""A search that begins with a sketch in counts ends with the same cost, proven or not, as one that does not."""

import pytest
from rings import awkward, of, scattered
from sketch import catalog, device, ports, scenario, switch

from equipsel.program import search
from equipsel.program.adapter import Stop
from equipsel.program.model import Problem
from equipsel.program.search import Found, Search, Ties, worth_sketching
from equipsel.program.sketch import Asked, Sketch, sketched

SMALL = [switch(f"s{count}{price}", price, 30 * count, ports(count, 30)) for count in (1, 2, 4, 8) for price in (40 * count, 41 * count)]


def room() -> Problem:
    """One room, so many kinds of device and switch that it is sketched first."""
    rows = [device(f"d{watts}", watts, count=2 + watts % 3, existing_cable=True) for watts in range(3, 16)]
    return of(scenario(*rows, rules={"budget_basis": "stated"}), catalog(*SMALL))


def found(what: Problem, *, first: bool, monkeypatch: pytest.MonkeyPatch, gap: float = 0.0) -> Found:
    """What is found with a sketch first, or without."""
    monkeypatch.setattr(search, "worth_sketching", lambda _: first)
    monkeypatch.setattr(search, "SKETCH_COUNTS", 1.0)
    return Search(what, gap, 30, ties=Ties.NONE).run()


def test_a_large_room_is_sketched_and_a_small_one_or_one_with_masts_is_not() -> None:
    assert worth_sketching(room())
    assert not worth_sketching(of(*scattered(1)))
    monkeyed = of(*scattered(1, poles=True))
    assert not worth_sketching(Problem(monkeyed.site, monkeyed.groups * 20, monkeyed.builds, monkeyed.uplinks))


def test_what_is_sketched_and_laid_out_at_its_cost_is_proven_without_another_search(monkeypatch: pytest.MonkeyPatch) -> None:
    solves = []
    real = search.solve
    monkeypatch.setattr(search, "solve", lambda *some: solves.append(some) or real(*some))
    answer = found(room(), first=True, monkeypatch=monkeypatch)
    assert (answer.stop, len(solves)) == (Stop.PROVEN, 1)  # the one that lays it out
    assert answer.bound_cents == answer.cost_cents == found(room(), first=False, monkeypatch=monkeypatch).cost_cents


def test_where_too_many_of_its_variables_are_counts_it_is_not_sketched(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "SKETCH_COUNTS", 0.0)
    monkeypatch.setattr(search, "sketched", lambda *_: pytest.fail("sketched all the same"))
    assert Search(room(), 0.0, 30, ties=Ties.NONE).run().stop is Stop.PROVEN


def test_what_cannot_be_laid_out_as_sketched_is_searched_for_with_all_that_is_known(monkeypatch: pytest.MonkeyPatch) -> None:
    first, plain = (found(awkward(), first=one, monkeypatch=monkeypatch) for one in (True, False))
    assert first.stop is plain.stop is Stop.PROVEN
    assert first.cost_cents == plain.cost_cents == first.bound_cents


@pytest.mark.parametrize("seed", range(6))
def test_it_costs_the_same_as_without(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    for variant in ({}, {"odd": True}, {"injectors": True}, {"poles": True}, {"spare_ports_pct": 20}):
        what = of(*scattered(seed, **variant))  # type: ignore[arg-type]
        first, plain = (found(what, first=one, monkeypatch=monkeypatch) for one in (True, False))
        assert (first.stop, first.cost_cents, first.bound_cents) == (plain.stop, plain.cost_cents, plain.bound_cents), variant


def stopped(stop: Stop, monkeypatch: pytest.MonkeyPatch) -> list[Sketch]:
    """Let the sketch be found, and end for another reason."""
    made: list[Sketch] = []

    def ended(asked: Asked, seconds: float, _progress: object = None) -> Sketch:
        drawn = sketched(asked, seconds)
        made.append(Sketch(stop, drawn.bound and drawn.bound - 100, drawn.counts, drawn.conditions))
        return made[-1]

    monkeypatch.setattr(search, "sketched", ended)
    return made


def test_ctrl_c_in_a_sketch_leaves_the_kit_it_shows(monkeypatch: pytest.MonkeyPatch) -> None:
    made = stopped(Stop.INTERRUPTED, monkeypatch)
    answer = found(room(), first=True, monkeypatch=monkeypatch)
    assert answer.stop is Stop.INTERRUPTED
    assert answer.layout is not None
    assert answer.cost_cents is not None
    assert made[0].bound is not None
    assert answer.bound_cents == made[0].bound < answer.cost_cents


def test_a_sketch_that_ran_out_of_time_is_a_beginning(monkeypatch: pytest.MonkeyPatch) -> None:
    stopped(Stop.LIMIT, monkeypatch)
    answer = found(room(), first=True, monkeypatch=monkeypatch)
    assert answer.stop is Stop.PROVEN
    assert answer.bound_cents == answer.cost_cents


def test_a_gap_that_is_allowed_ends_it(monkeypatch: pytest.MonkeyPatch) -> None:
    stopped(Stop.LIMIT, monkeypatch)
    answer = found(room(), first=True, monkeypatch=monkeypatch, gap=0.05)
    assert answer.stop is Stop.PROVEN
    assert answer.bound_cents is not None
    assert answer.cost_cents is not None
    assert answer.bound_cents < answer.cost_cents


def test_where_nothing_cheaper_is_left_the_bound_is_the_cost_whatever_gap_is_allowed(monkeypatch: pytest.MonkeyPatch) -> None:
    stopped(Stop.LIMIT, monkeypatch)
    answer = found(room(), first=True, monkeypatch=monkeypatch, gap=0.0001)
    assert answer.stop is Stop.PROVEN
    assert answer.bound_cents == answer.cost_cents


def test_no_kit_at_all_is_said_by_the_search(monkeypatch: pytest.MonkeyPatch) -> None:
    rows = [device("cam", 12, "hall", run_m=0, count=3)]
    none = of(scenario(*rows, places=[{"place": "hall", "rack_u": 1}]), catalog(switch("s", 50, 30, ports(1, 30), rack_u=1), injectors=[]))
    assert found(none, first=True, monkeypatch=monkeypatch).stop is Stop.INFEASIBLE
