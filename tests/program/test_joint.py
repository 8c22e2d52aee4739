"""Blocks in one program: what they serve between them, what it costs, and what is known of each. Costs by hand."""

import math
from typing import Any

import pytest
from sketch import Row, catalog, device, ports, problem, run, scenario, site, switch

from equipsel.program import cover_rules, joint, search
from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.joint import Start, Task, Together, proven_bound, settle
from equipsel.program.model import Refinement

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
    return settle(Task({at: found.all[at] for at in numbers}, found.counts if wanted is None else wanted, **asked))


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


def test_a_solution_known_is_where_the_search_starts(monkeypatch: pytest.MonkeyPatch) -> None:
    handed: list[Any] = []

    def noted(problem: Any, *more: Any) -> Answer:
        handed.append((more[-1], {row.name for row in problem.variables()}))
        return solve(problem, *more)

    found = three_rooms()
    first = together(found, 0, 1)
    monkeypatch.setattr(joint, "solve", noted)
    starts = {at: item.start for at, item in first.settled.items()}
    again = together(found, 0, 1, starts=starts, beat=12_000)
    assert (again.stop, again.settled, again.bound) == (Stop.PROVEN, {}, 12_000)
    other = {0: starts[0], 1: Start(Refinement(split={0: 1}), starts[1].values)}
    assert together(found, 0, 1, starts=other).cost == 12_000
    assert together(found, 0, 1, starts={0: starts[0]}).cost == 12_000
    (begun, names), *cold = handed
    assert begun.keys() == names
    assert sum(begun.values()) == sum(sum(start.values) for start in starts.values())
    assert [start for start, _ in cold] == [None, None]


def test_units_that_pooled_watts_get_wrong_are_packed_exactly(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "RULES", [rule for rule in search.RULES if rule is not cover_rules.define_rounded_loads])
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    rows.append(device("loft", 5, "loft", run_m=0))
    places = [{"place": "hall"}, {"place": "loft"}]
    described = scenario(*rows, places=places, runs=[run("d30", "loft", 50)], rules={"budget_basis": "stated"})
    found = blocks(problem(site(described, catalog(switch("s", 50, 100, ports(8, 90)), cables=[{"model": "cat", "price_per_m": 9}]))))
    # two hold 200 W of 200 W in all, but not 45 + 35 + 4 x 30 W without splitting a device: three, as one alone would have it
    answer = together(found, 0, 1)
    assert (answer.stop, answer.cost, answer.bound) == (Stop.PROVEN, 20_000, 20_000)
    assert answer.learnt


def test_what_is_proven_without_a_gap_is_its_own_bound() -> None:
    """The solver may tell a bound one step of the prices below a value that it has proven."""
    proven, stopped = Answer(Stop.PROVEN, True, 73_000.0, 72_500.0000002), Answer(Stop.LIMIT, True, 73_000.0, 72_500.0000002)
    assert [proven_bound(proven, 0.0), proven_bound(proven, 0.01), proven_bound(stopped, 0.0)] == [73_000, 72_500, 72_500]
    assert proven_bound(Answer(Stop.LIMIT, False, math.inf, -math.inf), 0.0) is None
