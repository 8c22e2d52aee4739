"""Blocks that devices with a choice tie together: windows give a kit, prices a true bound, and both meet the proven cost."""

import math
import time
from dataclasses import replace
from typing import Any

import pytest
from rings import CABLE, SWITCHES, proven, ring
from sketch import Row, catalog, changed, device, problem, run, scenario, site

from equipsel.program import coupled, joint, outlines, windows
from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.answer import answer_of
from equipsel.program.blocks import Block, blocks
from equipsel.program.columns import Columns
from equipsel.program.coupled import Coupled
from equipsel.program.model import Problem
from equipsel.program.search import Found, Ties
from equipsel.program.sketch import Sketch, sketched
from equipsel.scenario import Place
from equipsel.solve import cheapest_kit
from equipsel.sweep import sweep
from equipsel.workers import workers


@pytest.mark.parametrize("odd", [False, True])
def test_windows_stay_above_and_prices_below_the_proven_cost(odd: bool) -> None:
    of = problem(site(*ring(4, odd)))
    best, deadline = proven(of), time.monotonic() + 60
    one = Coupled(blocks(of), 0.0, deadline, None, None)
    assert one.begin()
    assert one.kit.choose(one.homes(), 0.0, deadline)
    first = one.kit.cost()
    for _ in one.pricing.rounds():
        assert one.pricing.bound is not None
    one.kit.narrow(deadline, lambda: None)
    narrow = one.kit.cost()
    one.kit.widen(deadline, lambda: None)
    assert one.kit.cost() <= narrow <= first
    fixed, bound, cost = one.fixed_cents, one.pricing.bound, one.kit.cost()
    assert bound + fixed <= best <= cost + fixed <= first + fixed
    assert best - bound - fixed <= 0.1 * best
    assert sum(one.pricing.slack(at, item) for at, item in one.kit.kept.items()) == cost - one.pricing.reached


def searched(monkeypatch: pytest.MonkeyPatch, described: Any, bought: Any, seconds: float = 60) -> tuple[Problem, Found]:
    monkeypatch.setattr(coupled, "FEWEST_CHOICES", 1)
    monkeypatch.setattr(coupled, "FEWEST_BLOCKS", 2)
    of = problem(site(described, bought))
    return of, coupled.search(of, 0.0, seconds, Ties.ALL)


@pytest.mark.parametrize("places", [4, 5])
def test_it_proves_what_one_program_proves(monkeypatch: pytest.MonkeyPatch, places: int) -> None:
    of, found = searched(monkeypatch, *ring(places))
    assert found.stop is Stop.PROVEN
    assert found.cost_cents == found.bound_cents == proven(of)


def test_the_kit_passes_its_re_check(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(coupled, "FEWEST_CHOICES", 1)
    kit = cheapest_kit(*ring(4, spare_ports_pct=10))
    assert kit.status == "optimal"
    assert kit.cost == kit.lower_bound


@pytest.mark.parametrize("spot", [{"outlets": 0}, {"ip": "IP65"}], ids=str)
def test_devices_that_their_own_place_cannot_serve_go_elsewhere(monkeypatch: pytest.MonkeyPatch, spot: Row) -> None:
    places: list[Row] = [{"place": "p0", **spot}, {"place": "p1"}, {"place": "p2"}, {"place": "p3"}]
    described, bought = ring(4)
    rows = [row for row in described.devices if row.place != "p0" or row.device in {run_.from_ for run_ in described.runs}]
    limited = type(described)(
        rules=described.rules, devices=tuple(rows), runs=described.runs, places=[type(described.place["p0"])(**row) for row in places]
    )
    of, found = searched(monkeypatch, limited, bought)
    assert found.stop is Stop.PROVEN
    assert found.cost_cents == proven(of)


BEST_OF_FIVE = 63_500
"""Cents of the cheapest kit of ring(5), proven by one program."""


def test_stopped_early_the_bound_is_true(monkeypatch: pytest.MonkeyPatch) -> None:
    for seconds in (0.2, 0.6, 1.2):
        _, found = searched(monkeypatch, *ring(5), seconds)
        if found.bound_cents is not None:
            assert found.bound_cents <= BEST_OF_FIVE
        assert found.cost_cents is None or found.cost_cents >= BEST_OF_FIVE


def test_the_kit_does_not_depend_on_how_many_processes_work_on_it(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(coupled, "FEWEST_CHOICES", 1)
    of = problem(site(*ring(5)))
    with workers(2) as executor:
        two = coupled.search(of, 0.0, 60, Ties.ALL, executor=executor)
    one = coupled.search(of, 0.0, 60, Ties.ALL)
    assert one.stop is two.stop is Stop.PROVEN
    assert answer_of(one, of) == answer_of(two, of)


def test_ctrl_c_gives_the_best_kit_known(monkeypatch: pytest.MonkeyPatch) -> None:
    def pressed(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(coupled.Coupled, "_together", pressed)
    _, found = searched(monkeypatch, *ring(5))
    assert found.layout is not None
    assert found.stop in (Stop.INTERRUPTED, Stop.PROVEN)
    assert found.bound_cents <= BEST_OF_FIVE <= found.cost_cents


def test_ctrl_c_while_blocks_are_projected_is_no_kit_and_no_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    def pressed(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(outlines, "projected", pressed)
    _, found = searched(monkeypatch, *ring(4))
    assert (found.stop, found.layout, found.bound_cents) == (Stop.INTERRUPTED, None, None)


@pytest.mark.parametrize(("left", "most"), [(0.5, 0.5), (60, coupled.CHOOSE_S)])
def test_columns_are_chosen_in_the_time_left(monkeypatch: pytest.MonkeyPatch, left: float, most: float) -> None:
    given: list[float] = []
    monkeypatch.setattr(Columns, "chosen", lambda _, seconds, *__: given.append(seconds) or {})
    monkeypatch.setattr(coupled.Pricing, "rounds", lambda _: iter([None] * coupled.KIT_ROUNDS))
    monkeypatch.setattr(coupled.Pricing, "join", lambda *_: None)
    monkeypatch.setattr(Coupled, "_begun", lambda _: True)
    one = Coupled(blocks(problem(site(*ring(4)))), 0.0, time.monotonic() + left, None, None)
    one.pricing.reached = 0
    one._share_time()
    assert one._price()
    one._join()
    assert len(given) == 3, "roughly, after the rounds, after blocks are joined"
    assert all(0 < seconds <= most for seconds in given)


def test_where_time_is_up_before_every_block_is_projected_there_is_no_kit_and_no_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    seen, projected = [], outlines.projected

    def slowly(block: Block) -> Any:
        seen.append(block)
        time.sleep(0.3)
        return projected(block)

    monkeypatch.setattr(outlines, "projected", slowly)
    _, found = searched(monkeypatch, *ring(5), 0.4)
    assert (found.stop, found.layout, found.bound_cents) == (Stop.LIMIT, None, None)
    assert len(seen) < 5


def at_home_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing but the first kit before the last program."""
    monkeypatch.setattr(coupled.Coupled, "_price", coupled.Coupled._begun)
    monkeypatch.setattr(coupled.Coupled, "_improve", lambda _: None)


def in_the_last(monkeypatch: pytest.MonkeyPatch, **instead: Any) -> None:
    """Nothing but the first kit before the last program, in which something else stands for what it calls."""
    at_home_alone(monkeypatch)

    def last(task: Any, tell: Any) -> Any:
        for name, other in instead.items():
            monkeypatch.setattr(joint, name, other)
        return joint.settle(task, tell)

    monkeypatch.setattr(coupled, "settle", last)


def pressed(problem: Any, *more: Any) -> Answer:
    """Ctrl-C when the best is found, and nothing proven."""
    found = solve(problem, *more)
    return Answer(Stop.INTERRUPTED, found.found, found.value, -math.inf)


def test_ctrl_c_in_the_last_program_gives_what_the_solver_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    in_the_last(monkeypatch, solve=pressed, sketched=lambda *_: Sketch(Stop.PROVEN, None))
    _, found = searched(monkeypatch, *ring(5))
    assert (found.stop, found.cost_cents, found.bound_cents) == (Stop.INTERRUPTED, BEST_OF_FIVE, None)


def test_ctrl_c_in_the_last_sketch_gives_what_the_solver_holds_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    in_the_last(monkeypatch, sketched=lambda *asked: replace(sketched(*asked), stop=Stop.INTERRUPTED, bound=None))
    _, found = searched(monkeypatch, *ring(5))
    assert (found.stop, found.cost_cents, found.bound_cents) == (Stop.INTERRUPTED, BEST_OF_FIVE, None)


def test_ctrl_c_while_the_last_sketch_is_laid_out_gives_the_best_kit_before(monkeypatch: pytest.MonkeyPatch) -> None:
    in_the_last(monkeypatch, solve=pressed)
    _, found = searched(monkeypatch, *ring(5))
    assert found.stop is Stop.INTERRUPTED
    assert found.cost_cents is not None
    assert found.cost_cents > BEST_OF_FIVE
    assert found.layout is not None


def test_without_time_for_a_round_every_device_is_served_at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(coupled.Pricing, "rounds", lambda _: iter(()))
    monkeypatch.setattr(coupled.Coupled, "_improve", lambda _: None)
    monkeypatch.setattr(coupled.Coupled, "_together", lambda _: None)
    of, found = searched(monkeypatch, *ring(5))
    at_home = Coupled(blocks(of), 0.0, time.monotonic() + 60, None, None)
    assert at_home.begin()
    assert at_home.kit.choose(at_home.homes(), 0.0, at_home.deadline)
    assert found.cost_cents is not None
    assert BEST_OF_FIVE < at_home.kit.cost() <= found.cost_cents
    assert found.bound_cents is None


def test_a_round_cut_short_makes_no_kit_of_the_blocks_it_came_to(monkeypatch: pytest.MonkeyPatch) -> None:
    def short(pricing: Any) -> Any:
        pricing.columns.add(0, pricing.blocks.counts, 1)
        return iter(())

    monkeypatch.setattr(coupled.Pricing, "rounds", short)
    monkeypatch.setattr(coupled.Coupled, "_improve", lambda _: None)
    of, found = searched(monkeypatch, *ring(5))
    assert (found.stop, found.cost_cents) == (Stop.PROVEN, BEST_OF_FIVE)
    assert found.layout is not None
    assert {unit.build.place for unit in found.layout.units} > {"p0", "p1"}
    assert found.cost_cents == proven(of)


def test_rough_choices_leave_the_bound_true(monkeypatch: pytest.MonkeyPatch) -> None:
    """Blocks are priced to a tenth of what is open; here to all of it, and more."""
    monkeypatch.setattr(coupled, "ROUGHNESS", 5.0)
    monkeypatch.setattr(coupled.Coupled, "_together", lambda _: None)
    _, found = searched(monkeypatch, *ring(5))
    assert found.bound_cents is not None
    assert found.cost_cents is not None
    assert found.bound_cents <= BEST_OF_FIVE <= found.cost_cents


def test_without_any_bound_there_is_a_kit(monkeypatch: pytest.MonkeyPatch) -> None:
    at_home_alone(monkeypatch)
    monkeypatch.setattr(coupled, "settle", lambda *_: joint.Together(Stop.LIMIT))
    _, found = searched(monkeypatch, *ring(5))
    assert (found.stop, found.bound_cents) == (Stop.LIMIT, None)
    assert found.cost_cents is not None
    assert found.cost_cents > BEST_OF_FIVE


def test_the_kit_does_not_depend_on_what_is_finished_first(monkeypatch: pytest.MonkeyPatch) -> None:
    of, first = searched(monkeypatch, *ring(5))
    monkeypatch.setattr(windows, "sweep", lambda *asked: reversed(list(sweep(*asked))))
    also, other = searched(monkeypatch, *ring(5))
    assert answer_of(first, of) == answer_of(other, also)


def test_boxes_of_settled_cable_are_paid_once(monkeypatch: pytest.MonkeyPatch) -> None:
    # 8 runs of 30 m are one box of 305 m (152.50) over the site, not one a place
    rows, runs = [], []
    for number in range(4):
        rows.append(device(f"own{number}", 6.49, f"p{number}", run_m=30, count=2, cable="boxed"))
        rows.append(device(f"either{number}", 6.49, f"p{number}", run_m=30, count=2, cable="metre"))
        runs.append(run(f"either{number}", f"p{(number + 1) % 4}", 20, cable="metre"))
    boxed: Row = {"model": "boxed", "price_per_m": "0.5", "awg": 24, "sold_m": 305}
    bought = catalog(*SWITCHES, cables=[CABLE | {"model": "metre"}, boxed])
    of, found = searched(monkeypatch, scenario(*rows, runs=runs), bought)
    assert (found.stop, found.cost_cents, found.bound_cents) == (Stop.PROVEN, proven(of), proven(of))


def test_a_place_that_no_device_can_reach_is_no_block() -> None:
    described, bought = ring(4)
    places = (*described.place.values(), Place(place="attic"))
    assert len(blocks(problem(site(changed(described, places=places), bought))).all) == 4
