"""One fed switch stands for those that differ in the volts of the port above alone; what it stands for can be laid out."""

from random import Random
from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.feeds.fed import FedBuild
from equipsel.program.adapter import Stop
from equipsel.program.alike import StandIns, stand_ins, without_others
from equipsel.program.blocks import alone
from equipsel.program.joint import Task, settle
from equipsel.program.model import Problem
from equipsel.program.projection import projected
from equipsel.program.search import Search, Ties
from equipsel.program.sketch import Outline

ROOTS = [switch("plain", 100, 120, ports(2, 60)), switch("strong", 150, 240, ports(4, 90))]
POLE = fed("pole", 30, 8, ports(4, 30), own_w=1)
PLACES: list[Row] = [{"place": "hall"}, {"place": "mast", "mains": False}, {"place": "far", "mains": False}]


def yard(*rows: Row, pole: Row = POLE, rules: Row | None = None, far_m: float = 20, roots: list[Row] = ROOTS) -> Problem:
    """A mast that is fed from the hall, by ports of 50 or of 52 V, and another behind it."""
    runs = [run("mast", "hall", 40), run("far", "mast", far_m)]
    described = scenario(*rows, places=PLACES, runs=runs, rules={"max_cascade": 2, **(rules or {})})
    return problem(site(described, catalog(*roots, pole)))


def camera(place: str, count: int = 1, class_: int = 1, watts: float = 3) -> Row:
    return device(f"cam {place}", watts, place, 5, count=count, class_=class_, existing_cable=True)


def of(what: Problem, place: str) -> list[tuple[int, int]]:
    """The classes of what stands for others in a place, with how many each stands for."""
    found = stand_ins(what)
    ones = [found.of[at] for at, build in enumerate(what.builds) if isinstance(build, FedBuild) and build.place == place]
    return [(build.class_, ones.count(at)) for at in sorted(set(ones)) if isinstance(build := what.builds[at], FedBuild)]


def test_switches_on_like_ports_of_other_volts_are_alike() -> None:
    near = yard(camera("mast"))
    # classes 7 and 8 need a port of 90 W
    assert of(near, "mast") == [(1, 2), (2, 2), (3, 2), (4, 2), (5, 2), (6, 2), (7, 1), (8, 1)]


def test_and_so_are_those_they_feed() -> None:
    both = yard(camera("mast"), camera("far"))
    assert of(both, "mast")[:2] == [(1, 2), (2, 2)]
    volts = {build.ports[0].head.volts for build in both.builds if build.place == "mast"}
    assert of(both, "far")[:2] == [(1, len(volts)), (2, len(volts))]
    assert len(volts) > 10


def test_a_device_that_needs_the_volts_tells_them_apart() -> None:
    needy = device("needy", 3, "mast", 5, class_=1, min_volts=50, existing_cable=True)
    assert (2, 1) in of(yard(needy), "mast")


def test_one_that_can_feed_what_the_other_cannot_is_not_alike() -> None:
    picky = POLE | {"min_volts": 50}
    assert (2, 1) in of(yard(camera("mast"), camera("far"), pole=picky, far_m=60), "mast")


@pytest.mark.parametrize("basis", ["stated", "granted"])
def test_none_is_alike_where_draws_are_reckoned_with(basis: str) -> None:
    assert all(number == 1 for _, number in of(yard(camera("mast"), rules={"budget_basis": basis}), "mast"))


def test_those_that_stand_for_others_take_their_ports() -> None:
    near = yard(camera("mast"))
    small = without_others(near, stand_ins(near))
    assert {len(all_) for build, all_ in small.alike.items() if isinstance(build, FedBuild) and build.place == "mast"} == {1, 2}
    # without the plain switch only ports of 52 V are left: the one that stands for both is of 50 V
    strong = [build for build in near.builds if build.model.model != "plain"]
    left = [build for build in small.builds if build in strong]
    assert Search(Problem(near.site, near.groups, left, near.uplinks, alike=small.alike), 0.0, 10, ties=Ties.NONE).run().stop is Stop.PROVEN


def test_what_nothing_chosen_feeds_is_not_offered() -> None:
    found = StandIns({2: 2, 3: 2, 5: 5, 6: 5}, {2: frozenset({0}), 3: frozenset({1}), 5: frozenset({2}), 6: frozenset({3})})
    assert found.may_be({0: 1, 2: 2, 5: 1}) == {0: 1, 2: 2, 5: 1}
    assert found.may_be({0: 0, 1: 1, 2: 2, 5: 1}) == {1: 1, 3: 2, 6: 1}
    assert found.may_be({0: 1, 1: 1, 2: 1}) == {0: 1, 1: 1, 2: 1, 3: 1}


def random_yard(seed: int) -> Problem:
    rng = Random(seed)
    rows = [camera(place, rng.randint(1, 3), *rng.choice(((1, 3), (3, 12), (4, 25)))) for place in ("mast", "far") if rng.random() < 0.8]
    pole = fed("pole", 30, rng.choice((4, 6, 8)), ports(2, 30), ports(2, 60, "strong"), own_w=rng.choice((1, 4)))
    return yard(*rows, device("hall", 12, run_m=5, existing_cable=True), pole=pole, far_m=rng.choice((5, 40, 80)))


def drawn(what: Problem) -> tuple[Stop, Any, int | None]:
    """What the counts of a problem come to, laid out."""
    block = alone(what)
    outline = Outline(projected(block))
    found = settle(Task({0: block}, {0: outline}, {}, (), {}, 0.0, 20.0))
    fixed = outline.projection.fixed_cents
    return found.stop, found.settled and found.settled[0].cost + fixed, None if found.bound is None else found.bound + fixed


def test_counts_of_stand_ins_come_to_the_cheapest_kit() -> None:
    laid = 0
    for seed in range(12):
        what = random_yard(seed)
        least = Search(what, 0.0, 20, ties=Ties.NONE).run()
        stop, cost, bound = drawn(what)
        assert (least.stop is Stop.INFEASIBLE) == (stop is Stop.INFEASIBLE), seed
        if least.cost_cents is not None:
            assert (bound or 0) <= least.cost_cents, seed
            assert not cost or cost >= least.cost_cents, seed
            laid += cost == least.cost_cents
    assert laid >= 5
