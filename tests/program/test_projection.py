"""A block's program in its counts alone: what they are of, and that they say what the program says."""

from collections import defaultdict
from itertools import product
from math import inf
from random import Random
from typing import Any

import pulp
import pytest
from rings import INJECTOR, POLE, of, scattered
from sketch import Row, catalog, device, ports, run, scenario, switch

from equipsel.program.adapter import Stop, relaxed, solve
from equipsel.program.alike import StandIns
from equipsel.program.block_program import Program, program
from equipsel.program.blocks import Block, blocks
from equipsel.program.model import Refinement
from equipsel.program.plugs import Plugs
from equipsel.program.projection import Counts, Projection, _keys, _Projecting, projected
from equipsel.program.projection import Row as Held
from equipsel.program.rows import Kept

PLAIN, SPLIT = Refinement(), Refinement(split={0: 1})

VARIANTS: list[dict[str, bool]] = [{}, {"odd": True}, {"injectors": True}, {"poles": True}]


def hall_and_loft(*switches: Row, metre: float = 1.01, run_m: float = 40) -> list[Block]:
    """Three cameras in the hall, two more there or (over new cable) in the loft."""
    rows = [device("own", 12, count=3, run_m=0), device("either", 12, count=2, run_m=0)]
    described = scenario(*rows, places=[{"place": "hall"}, {"place": "loft"}], runs=[run("either", "loft", run_m)])
    cables = [{"model": "cat", "price_per_m": metre, "awg": 24}]
    return list(blocks(of(described, catalog(*(switches or [switch("s", 50, 65, ports(4, 30))]), cables=cables))).all)


def hall(*switches: Row, injectors: bool = False, count: int = 3) -> Block:
    """Cameras in a hall."""
    tables: dict[str, list[Row]] = {"injectors": [INJECTOR]} if injectors else {}
    return blocks(of(scenario(device("cam", 12, count=count, run_m=0)), catalog(*switches, **tables))).all[0]


def projecting(full: Program, rows: Kept) -> _Projecting:
    return _Projecting(full, rows, StandIns(), full.model.index)


def met(row: Held, counts: Counts) -> bool:
    total = sum(factor * counts[at] for at, factor in row.kept)
    return abs(total - row.limit) < 1e-6 if row.equal else total < row.limit + 1e-6


def possible(projection: Projection, counts: Counts) -> bool:
    """Whether the projection allows counts."""
    plugs = [Plugs(rows, projection.most) for rows in projection.parts]
    return all(met(row, counts) for row in projection.rows) and not any(one.lacking(counts, 10) for one in plugs)


def cheapest(block: Block, learnt: Refinement, served: dict[int, int]) -> Program:
    """A block's program, solved with so many shared devices served."""
    item = program(block, learnt)
    for group, terms in item.served.items():
        item.model.rows.equal(f"shared{group}-served", terms, served.get(group, 0))
    item.model.rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in item.money.terms))
    assert solve(item.model.rows.problem, 0.0, 20).stop is Stop.PROVEN
    return item


def test_a_block_has_counts_of_units_and_of_devices_over_each_run() -> None:
    at_home, above = map(projected, hall_and_loft())
    assert at_home.keys == (("units", 0), ("run", 0, 0, 0), ("run", 1, 0, 0))
    assert (at_home.cost, at_home.high, at_home.units) == ((5_000, 0, 0), (5, 3, 2), {0: 0})
    assert above.keys == (("units", 0), ("run", 0, 1, 4_040))
    assert (above.cost, above.high) == ((5_000, 4_040), (2, 2))


def test_what_counts_cost_and_serve() -> None:
    at_home, above = map(projected, hall_and_loft())
    (group,) = above.served
    assert at_home.cost_of((2, 3, 1)) == 10_000
    assert at_home.served_by((2, 3, 1)) == {group: 1}
    assert at_home.served_by((1, 3, 0)) == {}
    assert above.cost_of((1, 2)) == 5_000 + 2 * 4_040
    assert above.served_by((1, 2)) == {group: 2}


def test_rows_over_whole_runs_hold_no_plugs() -> None:
    # own cameras all: == 3; the others at most 2, whichever ports they take
    at_home, _ = map(projected, hall_and_loft(switch("s", 50, 65, ports(2, 60), ports(2, 30, "weak"))))
    own, either = (at for at, key in enumerate(at_home.keys) if key[0] == "run")
    assert Held(((own, 1.0),), (), 3.0, True) in at_home.rows
    assert Held(((either, 1.0),), (), 2.0, False) in at_home.rows
    assert all(not row.plugs for row in at_home.rows)
    assert all(row.plugs for part in at_home.parts for row in part)


def test_a_line_of_the_bill_that_is_rounded_is_a_count_of_cents() -> None:
    # 7 m at 33.3 cents: 466.2 for two
    block = hall_and_loft(metre=0.333, run_m=7)[1]
    projection = projected(block)
    counts = projection.counts_of(cheapest(block, PLAIN, dict.fromkeys(block.shared, 2)))
    assert counts is not None
    assert [(key[0], count) for key, count in zip(projection.keys, counts, strict=True)] == [("units", 1), ("run", 2), ("other", 466)]
    assert projection.cost_of(counts) == 5_466


@pytest.mark.parametrize("variant", [*VARIANTS, {"poles": True, "budget_basis": "stated"}], ids=str)
def test_a_projected_row_says_what_the_row_itself_says(variant: dict[str, Any]) -> None:
    rng = Random(5)
    for block in blocks(of(*scattered(3, **variant))).all:
        rows = Kept("block")
        work = projecting(program(block, PLAIN, rows), rows)
        value = {one.name: rng.randint(0, 5) for one in rows.made}
        count = {at: sum(value[one.name] for one in members) for at, members in work.members.items()}
        plug = {number: value[name] for name, number in work.plug.items()}
        for exact in work.exact:
            row = work._row(exact)
            said = sum(factor * count[at] for at, factor in row.kept) + sum(factor * plug[at] for at, factor in row.plugs)
            assert said == pytest.approx(float(sum(factor * value[one.name] for factor, one in exact.terms)))
            assert (row.limit, row.equal) == (float(exact.limit), exact.equal)


def test_the_devices_of_a_run_are_the_sum_of_its_plugs() -> None:
    for block in blocks(of(*scattered(5))).all:
        rows = Kept("block")
        work = projecting(program(block, PLAIN, rows), rows)
        sums = {at: {work.plug[one.name] for one in work.members[at]} for key, at in work.at.items() if key[0] == "run"}
        said = {row.kept: {plug for plug, _ in row.plugs} for row in work._merged([])}
        # no row tells plugs apart: those of runs with as many share them
        for kept, plugs in said.items():
            runs = [at for at, factor in kept if factor == -1.0]
            assert len(runs) == len(kept)
            assert sums[runs[0]] == plugs
            assert {len(sums[at]) for at in runs} == {len(plugs)}
        assert sorted(at for kept in said for at, _ in kept) == sorted(sums)


def test_parts_share_no_plug() -> None:
    for block in blocks(of(*scattered(0, injectors=True, poles=True))).all:
        parts = [{plug for row in part for plug, _ in row.plugs} for part in projected(block).parts]
        assert sum(map(len, parts)) == len(set().union(*parts))


def test_units_of_their_own_count_with_the_others() -> None:
    block = hall(switch("s", 50, 65, ports(4, 30)), count=6)
    for learnt in (PLAIN, SPLIT):
        solved = cheapest(block, learnt, {})
        assert len(solved.model.bins) == 1 + len(learnt.split)
        assert projected(block).counts_of(solved) == (2, 6)


@pytest.mark.parametrize("variant", VARIANTS, ids=str)
@pytest.mark.parametrize("learnt", [PLAIN, SPLIT], ids=["plain", "split"])
def test_counts_of_a_solution_cost_and_serve_what_it_does(variant: dict[str, bool], learnt: Refinement) -> None:
    rng = Random(3)
    found = blocks(of(*scattered(1, **variant)))
    for block in found.all:
        served = {group: rng.randint(0, found.counts[group]) for group in block.shared}
        solved, projection = cheapest(block, learnt, served), projected(block)
        counts = projection.counts_of(solved)
        assert counts is not None
        assert projection.cost_of(counts) == solved.cost()
        assert projection.served_by(counts) == solved.numbers() == {group: number for group, number in served.items() if number}
        assert possible(projection, counts)
        assert all(count <= most for count, most in zip(counts, projection.high, strict=True))
        units: dict[int, int] = defaultdict(int)
        for item in solved.model.bins:
            units[solved.model.index[item.build]] += round(item.count.varValue)
        assert {index: counts[at] for index, at in projection.units.items()} == dict(units)


def test_counts_of_another_kind_are_not_known() -> None:
    # watts granted to a switch fed by another are counted in tenths for each of them: one of its own has its own
    described = scenario(
        device("cam", 5, "mast", run_m=0, count=4),
        rules={"budget_basis": "granted"},
        places=[{"place": "hall"}, {"place": "mast", "mains": False}],
        runs=[run("mast", "hall", 50, existing=4)],
    )
    block = blocks(of(described, catalog(switch("s", 50, 65, ports(4, 60)), POLE))).all[0]
    pole = next(at for at, build in enumerate(block.problem.builds) if build.model.model == "pole")
    projection = projected(block)
    plain, own = (cheapest(block, learnt, {}) for learnt in (PLAIN, Refinement(split={pole: 1})))
    assert plain.cost() == own.cost()
    counts = projection.counts_of(plain)
    assert counts is not None
    assert projection.cost_of(counts) == plain.cost()
    assert projection.counts_of(own) is None


def full(block: Block, keys: tuple[Any, ...], counts: Counts) -> bool:
    """Whether the block's program allows counts, in fractions of plugs."""
    item = program(block, PLAIN)
    key_of = _keys(item, item.model.index.__getitem__)
    rows = item.model.rows
    for key, count in zip(keys, counts, strict=True):
        rows.equal("count", [(1, one) for one in item.variables if key_of.get(one.name) == key], count)
    rows.problem.setObjective(pulp.lpSum([]))
    return relaxed(rows.problem, 10)[0] > -inf


@pytest.mark.parametrize("injectors", [False, True])
def test_the_counts_that_are_possible_are_those_of_the_program_in_fractions(injectors: bool) -> None:
    small = switch("two", 40, 25, ports(1, 60), ports(1, 15.4, "weak"))
    block = hall(small, switch("data", 9, 0, ports(4, 0)) if injectors else switch("three", 70, 40, ports(3, 30)), injectors=injectors)
    projection = projected(block)
    ranges = [(3,) if key[0] == "run" else range(3) for key in projection.keys]
    seen = {counts: (possible(projection, counts), full(block, projection.keys, counts)) for counts in product(*ranges)}
    assert set(seen.values()) == {(True, True), (False, False)}
