"""Sketches of blocks: their counts, their bound (never above the proven cost), and what is learnt of the counts. Costs by hand."""

from dataclasses import replace
from functools import cache
from math import inf
from typing import Any

import pytest
from rings import CABLE, awkward, of, proven, scattered, solved_in_full, unavoidable, without_rounded_loads
from sketch import Row, catalog, device, ports, run, scenario, switch

from equipsel.program import sketch
from equipsel.program.adapter import Answer, Stop
from equipsel.program.block_program import Cut
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.live import Live
from equipsel.program.outlines import Outlines
from equipsel.program.plugs import Plugs
from equipsel.program.projection import Counts
from equipsel.program.sketch import Asked, Outline, Sketch, sketched

PLACES: list[Row] = [{"place": "hall"}, {"place": "loft"}]

SITES: list[tuple[int, dict[str, Any]]] = [
    (0, {}),
    (2, {}),
    *((seed, {"odd": True}) for seed in range(2)),
    *((seed, {"injectors": True}) for seed in range(2)),
    (1, {"poles": True}),
    (3, {"poles": True, "budget_basis": "stated"}),
    (4, {"poles": True, "budget_basis": "granted"}),
    (5, {"odd": True, "injectors": True, "poles": True}),
    (6, {"spare_ports_pct": 20}),
]


def two_rooms() -> Blocks:
    """Four cameras in the hall or (40 m of cable at 1) the loft, two in the loft alone."""
    rows = [device("either", 12, count=4, run_m=0), device("loft", 12, "loft", count=2, run_m=0)]
    switches = [switch("two", 40, 65, ports(2, 30)), switch("six", 90, 200, ports(6, 30))]
    bought = catalog(*switches, cables=[CABLE | {"price_per_m": 1}])
    return blocks(of(scenario(*rows, places=PLACES, runs=[run("either", "loft", 40)]), bought))


def outlines(found: Blocks) -> dict[int, Outline]:
    return Outlines(found, None).some(range(len(found.all)))


def together(found: Blocks, seconds: float = 20, **more: Any) -> Sketch:
    return sketched(Asked(outlines(found), found.counts, **more), seconds)


def alone(found: Blocks, block: int, **more: Any) -> Sketch:
    return sketched(Asked(Outlines(found, None).some([block]), more.pop("wanted", {}), **more), 20)


@cache
def known(seed: int, **variant: Any) -> tuple[Blocks, int]:
    """The blocks of a scattered site, and its proven cost less what is paid whatever is chosen."""
    asked = of(*scattered(seed, **variant))
    return blocks(asked), proven(asked) - unavoidable(asked)


def cost_of(found: Blocks, counts: dict[int, Counts]) -> int:
    return sum(outline.projection.cost_of(counts[at]) for at, outline in outlines(found).items())


@pytest.mark.parametrize(("seed", "variant"), SITES, ids=str)
def test_its_value_is_the_proven_cost_of_small_sites(seed: int, variant: dict[str, Any]) -> None:
    found, best = known(seed, **variant)
    assert len(found.all) == 3
    seen = together(found)
    assert seen.stop is Stop.PROVEN
    assert seen.bound == best
    assert cost_of(found, seen.counts) == best
    served = [outline.projection.served_by(seen.counts[at]) for at, outline in outlines(found).items()]
    assert {group: sum(one.get(group, 0) for one in served) for group in found.counts} == found.counts


@pytest.mark.parametrize("variant", [{}, {"odd": True}, {"injectors": True}, {"poles": True}], ids=str)
def test_what_is_learnt_is_met_by_the_cheapest_solution(variant: dict[str, Any]) -> None:
    found = blocks(of(*scattered(1, **variant)))
    seen, counts = together(found), solved_in_full(found)
    assert cost_of(found, counts) == seen.bound
    assert seen.conditions
    for at, conditions in seen.conditions.items():
        for condition in conditions:
            total = sum(factor * counts[at][column] for column, factor in zip(condition.columns, condition.factors, strict=True))
            assert total <= condition.limit + 1e-6


def test_units_are_pooled_so_that_the_bound_may_be_below_the_proven_cost(monkeypatch: pytest.MonkeyPatch) -> None:
    without_rounded_loads(monkeypatch)
    asked = awkward()
    assert (together(blocks(asked)).bound, proven(asked)) == (15_000, 20_000)


def test_counts_serve_what_is_asked_between_the_blocks() -> None:
    # in the hall two for two, twice, and two for the loft's own: 120
    seen = together(two_rooms())
    assert (seen.stop, seen.bound, seen.counts) == (Stop.PROVEN, 12_000, {0: (2, 0, 4), 1: (1, 0, 0, 2)})


def test_a_block_at_prices_serves_what_is_worth_it() -> None:
    # the loft's own two for 40; all four more for 90 + 160, at 60 each worth 240: 10. At 52 that is 42, and none still 40
    found = two_rooms()
    outline = outlines(found)[1]
    for price, bound, served in ((5_200, 4_000, {}), (6_000, 1_000, {0: 4})):
        seen = alone(found, 1, prices={0: price})
        assert (seen.stop, seen.bound, outline.projection.served_by(seen.counts[1])) == (Stop.PROVEN, bound, served)


@pytest.mark.parametrize(("number", "cost"), [(0, 4_000), (1, 12_000), (4, 25_000)])
def test_a_block_alone_serves_as_many_as_it_is_to(number: int, cost: int) -> None:
    seen = alone(two_rooms(), 1, wanted={0: number})
    assert (seen.stop, seen.bound) == (Stop.PROVEN, cost)


@pytest.mark.parametrize("wanted", [{0: 5}, {7: 1}])
def test_what_cannot_be_served_is_infeasible(wanted: dict[int, int]) -> None:
    seen = alone(two_rooms(), 1, wanted=wanted)
    assert (seen.stop, seen.bound, seen.counts) == (Stop.INFEASIBLE, None, {})


def test_of_groups_that_no_block_asked_can_serve_none_may_be_wanted() -> None:
    assert alone(two_rooms(), 1, wanted={0: 0, 7: 0}).bound == 4_000


def test_conditions_learnt_once_are_met_at_once_the_next_time(monkeypatch: pytest.MonkeyPatch) -> None:
    lacking, asked = Plugs.lacking, []
    monkeypatch.setattr(Plugs, "lacking", lambda self, *more: asked.append(1) or lacking(self, *more))
    found = blocks(of(*scattered(0, injectors=True, poles=True)))
    outlined = Outlines(found, None)
    everything = range(len(found.all))
    first = sketched(Asked(outlined.some(everything), found.counts), 20)
    before = len(asked)
    outlined.learn(first.conditions)
    again = sketched(Asked(outlined.some(everything), found.counts), 20)
    assert first.conditions
    assert again.bound == first.bound
    parts = sum(len(outline.projection.parts) for outline in outlined.known.values())
    assert parts < before
    assert len(asked) - before <= before / 3, "a sketch of the same cost may ask for other conditions still"


def test_what_is_learnt_twice_is_known_once() -> None:
    found = blocks(of(*scattered(0, injectors=True)))
    outlined, learnt = Outlines(found, None), together(found).conditions
    for _ in range(2):
        outlined.learn(learnt)
    assert {at: outline.conditions for at, outline in outlined.known.items() if outline.conditions} == learnt


def test_cuts_raise_the_bound_to_what_was_proven() -> None:
    # the hall's four cost 80 and are worth 40 at 10 each. Proven to cost 40.01 more than that, they take the six ports for 90
    found = two_rooms()
    assert together(found, cuts=(Cut(frozenset({0}), {0: 1_000}, 4_000),)).bound == 12_000
    seen = together(found, cuts=(Cut(frozenset({0}), {0: 1_000}, 4_001),))
    assert (seen.stop, seen.bound, seen.counts[0]) == (Stop.PROVEN, 13_000, (0, 1, 4))


def test_a_cut_of_blocks_together_is_of_their_cost_together() -> None:
    # 120.01 at the least: the loft, or the hall, takes six ports for 90 or three times two
    assert together(two_rooms(), cuts=(Cut(frozenset({0, 1}), {}, 12_001),)).bound == 13_000


def in_fractions(found: Blocks, **more: Any) -> float:
    """The least in fractions of counts, before anything is learnt."""
    value = sketch._Sketching(Asked(outlines(found), found.counts, **more), inf).live.relax(10)
    assert value is not None
    return value.value


@pytest.mark.parametrize("variant", [{}, {"odd": True}], ids=str)
def test_cuts_that_are_true_raise_the_least_in_fractions_and_not_above_the_proven_cost(variant: dict[str, Any]) -> None:
    found, best = known(4, **variant)
    cuts = []
    for price in (1_000, 1_500, 2_000):
        for at in range(len(found.all)):
            prices = dict.fromkeys(found.all[at].shared, price)
            least = alone(found, at, prices=prices).bound
            assert least is not None
            cuts.append(Cut(frozenset({at}), prices, least))
    assert in_fractions(found) < in_fractions(found, cuts=tuple(cuts)) <= best + 1e-6
    assert together(found, cuts=tuple(cuts)).bound == best


@pytest.mark.parametrize("rough", [{"gap": 0.3}, {"within": 4_000}])
def test_a_rough_sketch_is_as_good_as_was_asked(rough: dict[str, Any]) -> None:
    found, best = known(0, injectors=True)
    seen = together(found, **rough)
    cost = cost_of(found, seen.counts)
    assert seen.stop is Stop.PROVEN
    assert seen.bound is not None
    assert seen.bound <= best <= cost
    assert cost - seen.bound <= rough.get("gap", 0) * cost + rough.get("within", 0)


def test_without_time_the_bound_is_true() -> None:
    found, best = known(0, injectors=True, poles=True)
    for seconds in (-1.0, 0.0, 0.005, 0.02):
        seen = together(found, seconds=seconds)
        assert seen.stop in (Stop.LIMIT, Stop.PROVEN)
        assert seen.bound is None or seen.bound <= best
        assert not seen.counts or seen.counts.keys() == {0, 1, 2}


def handed(monkeypatch: pytest.MonkeyPatch, stop: Stop | None = None) -> list[Any]:
    """The starts that searches are given; stop: why they say they stopped."""
    starts: list[Any] = []
    solve_ = Live.solve

    def noted(self: Live, gap: float, within: float, seconds: float, start: Any, *more: Any) -> Answer:
        starts.append(start)
        answer = solve_(self, gap, within, seconds, start, *more)
        return answer if stop is None else replace(answer, stop=stop)

    monkeypatch.setattr(Live, "solve", noted)
    return starts


def test_it_starts_from_the_counts_known_of_every_block(monkeypatch: pytest.MonkeyPatch) -> None:
    found = two_rooms()
    counts = together(found).counts
    starts = handed(monkeypatch)
    assert together(found, starts=counts).bound == 12_000
    assert {tuple(start) for start in starts} == {counts[0] + counts[1]}
    starts.clear()
    assert together(found, starts={0: counts[0]}).bound == 12_000
    assert set(starts) == {None}


def test_counts_that_are_no_solution_do_no_harm_as_a_start() -> None:
    assert together(two_rooms(), starts={0: (9, 9, 9), 1: (0, 0, 0, 0)}).bound == 12_000


def test_ctrl_c_leaves_the_counts_that_the_solver_holds_whether_plugs_are_possible_or_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
    starts = handed(monkeypatch, Stop.INTERRUPTED)
    found = blocks(of(*scattered(0, injectors=True)))
    seen = together(found)
    assert seen.stop is Stop.INTERRUPTED
    assert seen.counts.keys() == {0, 1, 2}
    assert seen.conditions
    assert len(starts) == 1, "it is not solved again"


def pressed_in_linear_program(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    """Ctrl-C in a linear program after so many others."""
    relax, asked = Live.relax, []

    def until_pressed(self: Live, seconds: float) -> Any:
        asked.append(1)
        if len(asked) > number:
            raise KeyboardInterrupt
        return relax(self, seconds)

    monkeypatch.setattr(Live, "relax", until_pressed)


@pytest.mark.parametrize("number", [0, 1, 5])
def test_ctrl_c_in_the_first_linear_programs_leaves_what_was_learnt(monkeypatch: pytest.MonkeyPatch, number: int) -> None:
    pressed_in_linear_program(monkeypatch, number)
    seen = together(known(0, injectors=True)[0])
    assert (seen.stop, seen.bound, seen.counts) == (Stop.INTERRUPTED, None, {})
    assert bool(seen.conditions) is (number == 5)


def test_ctrl_c_while_plugs_are_asked_for_leaves_the_whole_counts_and_their_bound(monkeypatch: pytest.MonkeyPatch) -> None:
    first = first_bound()
    monkeypatch.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
    pressed_in_linear_program(monkeypatch, 0)
    seen = together(known(0, injectors=True)[0])
    assert first is not None
    assert (seen.stop, seen.bound) == (Stop.INTERRUPTED, first)
    assert seen.counts.keys() == {0, 1, 2}


def test_ctrl_c_in_prices_of_fractions_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    pressed_in_linear_program(monkeypatch, 2)
    found = two_rooms()
    with pytest.raises(KeyboardInterrupt):
        sketch.marginal(Asked(outlines(found), found.counts), 20)


def test_whole_counts_whose_plugs_are_impossible_are_looked_for_again(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
    starts = handed(monkeypatch)
    found, best = known(0, injectors=True)
    seen = together(found)
    assert (seen.stop, seen.bound) == (Stop.PROVEN, best)
    assert len(starts) > 1


def test_where_they_are_looked_for_often_enough_the_bound_is_true_still(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sketch, "TIMES", 1)
    monkeypatch.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
    found, best = known(0, injectors=True)
    seen = together(found)
    assert seen.bound is not None
    assert seen.bound < best
    assert seen.conditions


def later(monkeypatch: pytest.MonkeyPatch, **says: Any) -> None:
    """Searches after the first are out of time, and say so much; the first has counts whose plugs are impossible."""
    monkeypatch.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
    solve_, asked = Live.solve, []

    def out_of_time(self: Live, *more: Any) -> Answer:
        answer = solve_(self, *more)
        asked.append(1)
        return answer if len(asked) == 1 else replace(answer, stop=Stop.LIMIT, **says)

    monkeypatch.setattr(Live, "solve", out_of_time)


def first_bound() -> int | None:
    found, _ = known(0, injectors=True)
    with pytest.MonkeyPatch.context() as once:
        once.setattr(sketch, "TIMES", 1)
        once.setattr(sketch._Sketching, "_meet_in_fractions", lambda _: None)
        return together(found).bound


def test_a_later_search_that_proves_less_leaves_the_bound_of_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    first = first_bound()
    later(monkeypatch, bound=0.0)
    seen = together(known(0, injectors=True)[0])
    assert first is not None
    assert (seen.stop, seen.bound) == (Stop.LIMIT, first)


def test_a_later_search_that_proves_nothing_leaves_the_bound_of_the_first(monkeypatch: pytest.MonkeyPatch) -> None:
    first = first_bound()
    later(monkeypatch, bound=-inf, found=False)
    seen = together(known(0, injectors=True)[0])
    assert first is not None
    assert (seen.stop, seen.bound, seen.counts) == (Stop.LIMIT, first, {})
