from dataclasses import replace
from typing import Any

import pulp
import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.feeds.fed import FedBuild
from equipsel.program.adapter import solve
from equipsel.program.layout import Layout, Unpacked, lay_out
from equipsel.program.model import Lead, Model, Problem, Refinement, Way
from equipsel.program.rules import build_model

STATED: Row = {"budget_basis": "stated"}
MAST = [{"place": "hall"}, {"place": "mast", "mains": False}]


def cheapest(of: Problem, refinement: Refinement | None = None) -> Model:
    """The solved program of one round."""
    model, money = build_model(of, refinement or Refinement())
    model.rows.problem.setObjective(pulp.lpSum(factor * variable for factor, variable in money.terms))
    assert solve(model.rows.problem, 0.0, 10).found
    return model


def busy_uplinks() -> Problem:
    """140 Mb/s on uplinks that may carry 70 Mb/s each: 34 + 34, 34 + 19, 19."""
    rows = device("cam", 5, run_m=0, count=3, mbps=34), device("door", 5, run_m=0, count=2, mbps=19)
    return problem(site(scenario(*rows, rules=STATED), catalog(switch("s", 50, 100, ports(8, 90), uplink_mbps=100))))


def mast(watts: float, budget_w: float, **rules: Any) -> Problem:
    """Two cameras on a mast switch, over 90 m."""
    pole = fed("pole", 30, 3, ports(2, 15.4), own_w=1)
    where = scenario(
        device("cam", watts / 2, "mast", run_m=5, count=2), rules={**STATED, **rules}, places=MAST, runs=[run("mast", "hall", 90)]
    )
    return problem(site(where, catalog(switch("root", 50, budget_w, ports(2, 30)), pole)))


def test_a_pool_that_pooled_arithmetic_fills_and_nothing_can_pack_is_split() -> None:
    model = cheapest(busy_uplinks())
    assert sum(round(item.count.varValue) for item in model.bins) == 2
    with pytest.raises(Unpacked) as found:
        lay_out(model)
    assert found.value.refinement == Refinement(split={0: 3})


def test_units_of_their_own_are_packed_as_the_program_says() -> None:
    layout = lay_out(cheapest(busy_uplinks(), Refinement(split={0: 6})))
    assert len(layout.units) == 3
    assert max(unit.traffic for unit in layout.units) <= 70
    assert sum(unit.traffic for unit in layout.units) == 140
    assert sum(unit.handed_mw for unit in layout.units) == 25_000


def standing(layout: Layout) -> dict[str, int]:
    return {unit.build.model.model: unit.handed_mw for unit in layout.units}


def test_what_a_fed_switch_takes_is_solved_for_what_it_hands_out() -> None:
    layout = lay_out(cheapest(mast(10, 60)))
    pole = next(unit for unit in layout.units if isinstance(unit.build, FedBuild))
    assert isinstance(pole.build, FedBuild)
    assert standing(layout) == {"pole": pole.handed_mw, "root": pole.build.upstream_mw(pole.handed_mw)}


def taught(of: Problem) -> Refinement:
    """What is learnt until the draw of a fed switch is made exact: first the pool above it is split."""
    refinement = Refinement()
    while not refinement.points:
        with pytest.raises(Unpacked) as lesson:
            lay_out(cheapest(of, refinement))
        refinement = lesson.value.refinement
    return refinement


def test_a_fed_switch_that_draws_more_than_was_reckoned_teaches_its_point() -> None:
    exact = standing(lay_out(cheapest(mast(10, 60))))
    short = mast(10, (exact["root"] - 1) / 1000)
    assert (exact["pole"],) in taught(short).points.values()


def test_energy_reckoned_too_low_is_learnt_from_as_well() -> None:
    exact = standing(lay_out(cheapest(mast(10, 60))))
    assert (exact["pole"],) in taught(mast(10, 60, energy_price_kwh="0.3", years=10)).points.values()


def test_the_energy_learnt_is_exact() -> None:
    of = mast(10, 60, energy_price_kwh="0.3", years=10)
    refinement = Refinement()
    for _ in range(4):
        try:
            layout = lay_out(cheapest(of, refinement))
        except Unpacked as lesson:
            refinement = lesson.refinement
        else:
            assert len(layout.units) == 2
            return
    pytest.fail("nothing was learnt")


def test_every_device_lead_and_feed_has_a_seat() -> None:
    injector = {"model": "inj", "price": 1, "ports": 1, "port_w": 30}
    where = site(scenario(device("cam", 20, count=2), device("pc", 0)), catalog(switch("data", 9, 0, ports(8, 0)), injectors=[injector]))
    layout = lay_out(cheapest(problem(where)))
    seats = [(unit.build.model.model, type(seat.payload)) for unit in layout.units for seat in unit.seats]
    assert sorted(seats, key=str) == sorted([("inj", Way)] * 2 + [("data", Lead)] * 2 + [("data", Way)], key=str)


def test_refinements_add_up() -> None:
    known = Refinement(split={0: 3}, points={1: (5,)})
    assert replace(known, only={0: 1}).split == {0: 3}
