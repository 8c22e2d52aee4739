"""Blocks in one program: what they serve between them, what it costs, and what is known of each. Costs by hand."""

import math
from dataclasses import replace
from typing import Any

import pytest
from rings import awkward, without_rounded_loads
from sketch import Row, catalog, device, ports, problem, run, scenario, site, switch

from equipsel.program import joint
from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.block_program import proven_bound
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.joint import Task, Together, settle
from equipsel.program.outlines import Outlines
from equipsel.program.sketch import Asked, Sketch, sketched

PLACES = [{"place": "hall"}, {"place": "loft"}, {"place": "shed"}]
SWITCHES = [switch("two", 40, 65, ports(2, 30)), switch("six", 90, 200, ports(6, 30))]


def three_rooms(switches: list[Row] | None = None, rules: Row | None = None) -> Blocks:
    """Four cameras in the hall or (40 m of cable at 1) the loft, two in the loft alone, one in the shed alone."""
    rows = [
        device("either", 12, count=4, run_m=0),
        device("loft", 12, "loft", count=2, run_m=0),
        device("shed", 12, "shed", run_m=0),
    ]
    described = scenario(*rows, places=PLACES, runs=[run("either", "loft", 40)], rules=rules)
    cables = [{"model": "cat", "price_per_m": 1, "awg": 24}]
    return blocks(problem(site(described, catalog(*(switches or SWITCHES), cables=cables))))


def together(found: Blocks, *numbers: int, wanted: dict[int, int] | None = None, **more: Any) -> Together:
    asked: dict[str, Any] = {"cuts": (), "learnt": {}, "gap": 0.0, "seconds": 20.0, **more}
    outlines = Outlines(found, None).some(numbers)
    return settle(Task(found.some(numbers), outlines, found.counts if wanted is None else wanted, **asked))


def test_blocks_share_the_devices_that_can_reach_more_than_one() -> None:
    found = three_rooms()
    assert [sorted(block.part.problem.site.scenario.place) for block in found.all] == [["hall"], ["loft"], ["shed"]]
    assert found.counts == {0: 4}
    assert found.near == ({1}, {0}, frozenset())
    assert [list(block.shared) for block in found.all] == [[0], [0], []]


def test_together_they_serve_what_is_asked() -> None:
    # in the hall two for two, twice (80), and two for the loft's own (40): else 160 m of cable
    found = together(three_rooms(), 0, 1)
    assert (found.stop, found.cost, found.bound) == (Stop.PROVEN, 12_000, 12_000)
    assert [item.served for item in found.settled.values()] == [{0: 4}, {}]
    assert [item.cost for item in found.settled.values()] == [8_000, 4_000]


@pytest.mark.parametrize(("number", "cost"), [(0, 4_000), (1, 8_000 + 4_000), (4, 9_000 + 16_000)])
def test_a_block_alone_serves_as_many_as_it_is_to(number: int, cost: int) -> None:
    found = together(three_rooms(), 1, wanted={0: number})
    assert (found.cost, found.settled[1].served) == (cost, {0: number} if number else {})


def test_only_what_costs_less_is_of_use() -> None:
    assert together(three_rooms(), 0, 1, beat=12_001).cost == 12_000
    none = together(three_rooms(), 0, 1, beat=12_000)
    assert (none.stop, none.settled) == (Stop.PROVEN, {})


def test_what_is_sketched_no_cheaper_is_not_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(joint, "solve", lambda *_: pytest.fail("it is laid out"))
    assert together(three_rooms(), 0, 1, beat=12_000).settled == {}


def test_counts_known_are_where_the_sketch_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[Any] = []

    def noted(asked: Asked, *more: Any) -> Sketch:
        handed.append(asked.starts)
        return sketched(asked, *more)

    found = three_rooms()
    first = together(found, 0, 1)
    monkeypatch.setattr(joint, "sketched", noted)
    starts = {at: item.counts for at, item in first.settled.items()}
    again = together(found, 0, 1, starts=starts, beat=12_000)
    assert (again.stop, again.settled, again.bound) == (Stop.PROVEN, {}, 12_000)
    assert together(found, 0, 1, starts={0: starts[0]}).cost == 12_000
    assert handed == [starts, {0: starts[0]}]


def test_blocks_whose_counts_stay_are_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    found = three_rooms()
    first = together(found, 0, 1).settled
    laid: list[int] = []
    monkeypatch.setattr(joint, "solve", lambda *asked: laid.append(1) or solve(*asked))
    stays = {0: replace(first[0], counts=tuple(count + 1 for count in first[0].counts)), 1: first[1]}
    again = together(found, 0, 1, standing=stays, beat=12_001)
    assert again.settled == first
    assert again.settled[1] is first[1]
    assert len(laid) == 1, "only the hall has other counts"


def test_units_that_pooled_watts_get_wrong_are_packed_exactly(monkeypatch: pytest.MonkeyPatch) -> None:
    without_rounded_loads(monkeypatch)
    answer = together(blocks(awkward()), 0, 1, exact=True)
    assert (answer.stop, answer.cost, answer.bound) == (Stop.PROVEN, 20_000, 20_000)
    assert answer.learnt.keys() == {0}


def test_what_is_laid_out_dearer_than_sketched_is_looked_for_no_further_unless_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    without_rounded_loads(monkeypatch)
    # three switches are sketched, four laid out
    answer = together(blocks(awkward()), 0, 1)
    assert (answer.stop, answer.cost, answer.bound) == (Stop.LIMIT, 20_000, 15_000)
    assert sum(len(item.answer.units) for item in answer.settled.values()) == 4


def test_within_the_gap_a_sketch_that_is_laid_out_dearer_will_do(monkeypatch: pytest.MonkeyPatch) -> None:
    without_rounded_loads(monkeypatch)
    answer = together(blocks(awkward()), 0, 1, gap=0.25)
    assert (answer.stop, answer.cost, answer.bound) == (Stop.PROVEN, 20_000, 15_000)


def test_where_nothing_can_be_laid_out_as_sketched_one_program_packs_every_unit(monkeypatch: pytest.MonkeyPatch) -> None:
    without_rounded_loads(monkeypatch)
    monkeypatch.setattr(joint._Joint, "_laid", lambda *_: None)
    answer = together(blocks(awkward()), 0, 1)
    assert (answer.stop, answer.cost, answer.bound) == (Stop.PROVEN, 20_000, 20_000)


def test_ctrl_c_in_the_sketch_leaves_what_was_sketched_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(joint, "sketched", lambda *asked: replace(sketched(*asked), stop=Stop.INTERRUPTED))
    answer = together(three_rooms(), 0, 1)
    assert (answer.stop, answer.cost) == (Stop.INTERRUPTED, 12_000)


def test_ctrl_c_while_a_sketch_is_laid_out_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(joint, "solve", lambda *asked: replace(solve(*asked), stop=Stop.INTERRUPTED))
    with pytest.raises(KeyboardInterrupt):
        together(three_rooms(), 0, 1)


def test_devices_that_cannot_reach_the_blocks_asked_are_infeasible() -> None:
    answer = together(three_rooms(), 2, wanted={0: 4})
    assert (answer.stop, answer.settled) == (Stop.INFEASIBLE, {})


def test_what_is_proven_without_a_gap_is_its_own_bound() -> None:
    """The solver may tell a bound one step of the prices below a value that it has proven."""
    proven, stopped = Answer(Stop.PROVEN, True, 73_000.0, 72_500.0000002), Answer(Stop.LIMIT, True, 73_000.0, 72_500.0000002)
    assert [proven_bound(proven, 0.0), proven_bound(proven, 0.01), proven_bound(stopped, 0.0)] == [73_000, 72_500, 72_500]
    assert proven_bound(Answer(Stop.LIMIT, False, math.inf, -math.inf), 0.0) is None
