"""The search as a whole: packing that must be learnt, ties, and the ways it may end. Costs are worked out by hand."""

from typing import Any

import pytest
from sketch import Row, catalog, device, fed, models, ports, problem, run, scenario, site, solved, supplied, switch

from equipsel.program import search
from equipsel.program.adapter import Answer, Stop
from equipsel.program.search import Found, Search, any_kit

STATED: Row = {"budget_basis": "stated"}


def searched(*devices: Row, switches: list[Row], rules: Row | None = None, gap: float = 0.0, seconds: float = 20, **tables: Any) -> Found:
    extras = {name: tables.pop(name) for name in ("injectors", "supplies", "cables") if name in tables}
    return Search(problem(site(scenario(*devices, rules=rules, **tables), catalog(*switches, **extras))), gap, seconds).run()


# Packing that pooled arithmetic gets wrong


def test_a_third_switch_where_two_would_do_if_watts_could_be_pooled() -> None:
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    found = searched(*rows, switches=[switch("s", 50, 100, ports(8, 90))], rules=STATED)
    assert (found.stop, found.cost_cents, found.bound_cents) == (Stop.PROVEN, 15_000, 15_000)


def test_a_dearer_model_where_two_cheap_ones_cannot_be_packed() -> None:
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    found = searched(*rows, switches=[switch("s", 50, 100, ports(8, 90)), switch("wide", 85, 110, ports(8, 90))], rules=STATED)
    # 45 + 35 + 30 = 110 W in the wide one, 90 W in the other
    assert found.cost_cents == 13_500


def test_group_watts_are_packed_unit_by_unit() -> None:
    # 50 W a group: 26 + 24 and 26 + 24 fill two units; 26, 26, 24, 24.1 need three
    for last, cents in ((24, 10_000), (24.1, 15_000)):
        rows = [device("a", 26, run_m=0, count=2), device("b", 24, run_m=0), device("c", last, run_m=0)]
        found = searched(*rows, switches=[switch("s", 50, 100, ports(4, 60, group_w=50))], rules=STATED)
        assert found.cost_cents == cents


def test_uplinks_are_packed_unit_by_unit() -> None:
    # 70 Mb/s a switch: three cameras of 40 need three switches, though 120 is less than twice 70
    found = searched(device("cam", 5, mbps=40, count=3), switches=[switch("s", 50, 100, ports(8, 15.4), uplink_mbps=100)])
    assert found.cost_cents == 15_000


def test_spare_watts_are_kept_in_every_unit_apart() -> None:
    # 90 W of 100: three devices of 30 W by class in each
    for pct, units in ((10, 2), (11, 3)):
        found = searched(device("d", 20, count=6), switches=[switch("s", 50, 100, ports(8, 30))], rules={"spare_watts_pct": pct})
        assert found.cost_cents == units * 5000


# Ties


def groups_used(kit: Any) -> list[str]:
    return sorted(item.group for item in kit.connections)


def test_a_small_device_takes_no_strong_port_without_cause() -> None:
    bought = catalog(switch("s", 50, 300, ports(2, 90, "strong"), ports(2, 15.4, "weak")))
    assert groups_used(solved(scenario(device("cam", 12.95, count=2)), bought)) == ["weak", "weak"]
    assert groups_used(solved(scenario(device("cam", 12.95, count=3)), bought)) == ["strong", "weak", "weak"]


def test_a_small_device_takes_the_strong_port_where_that_is_cheaper() -> None:
    bought = catalog(switch("s", 50, 300, ports(1, 90, "strong")), switch("t", 51, 300, ports(1, 15.4, "weak")))
    assert groups_used(solved(scenario(device("cam", 12.95)), bought)) == ["strong"]


def test_the_weaker_switch_wins_at_the_same_price() -> None:
    bought = catalog(switch("strong", 50, 300, ports(1, 90)), switch("weak", 50, 300, ports(1, 15.4)))
    assert models(solved(scenario(device("cam", 12.95)), bought)) == ["weak"]


def test_fewer_units_win_at_the_same_price() -> None:
    bought = catalog(switch("two", 50, 60, ports(2, 15.4)), switch("four", 100, 120, ports(4, 15.4)))
    assert models(solved(scenario(device("cam", 5, count=4)), bought)) == ["four"]


def test_fewer_models_win_at_the_same_price_and_number() -> None:
    # one of each at 50 + 70, or two of 60
    rows = [switch("small", 50, 60, ports(1, 15.4)), switch("large", 70, 60, ports(3, 15.4)), switch("even", 60, 60, ports(2, 15.4))]
    assert models(solved(scenario(device("cam", 5, count=4)), catalog(*rows))) == ["even", "even"]


@pytest.mark.parametrize("order", [("a", "b", "c"), ("c", "b", "a"), ("b", "a", "c")])
def test_the_first_of_the_table_wins_at_last(order: tuple[str, ...]) -> None:
    bought = catalog(*(switch(name, 50, 60, ports(4, 15.4)) for name in order))
    assert models(solved(scenario(device("cam", 5)), bought)) == [order[0]]


def test_weaker_ports_come_before_fewer_units() -> None:
    bought = catalog(switch("one", 100, 60, ports(2, 30)), switch("half", 50, 60, ports(1, 15.4)))
    assert models(solved(scenario(device("cam", 5, count=2)), bought)) == ["half", "half"]


def test_the_first_sufficient_supply_of_the_table_wins_at_the_same_price() -> None:
    supplies = [{"model": f"p{watts}", "price": 20, "fit": "dc", "watts": watts} for watts in (100, 120)]
    kit = solved(scenario(device("cam", 5)), catalog(supplied("s", 50, 1, ports(4, 30)), supplies=supplies))
    assert kit.units[0].supplies == ("p100",)


def test_fewer_models_of_extenders_win_at_the_same_price() -> None:
    rows = [
        {"model": name, "price": 10, "own_w": 1, "in_class": 4, "port_w": 15.4, "port_mbps": mbps}
        for name, mbps in (("a", 100), ("b", 1000))
    ]
    described = scenario(device("slow", 5, run_m=150), device("fast", 5, run_m=150, port_mbps=1000))
    kit = solved(described, catalog(switch("s", 50, 90, ports(4, 30)), extenders=rows))
    assert {item.extenders[0].model for item in kit.connections} == {"b"}


def test_fewer_models_come_before_table_order_over_many_places() -> None:
    # "first" suits all places but the wet one; "last" suits all six, at the same price
    between = [switch(f"x{number}", 500, 15.4, ports(1, 15.4)) for number in range(4)]
    rows = [switch("first", 50, 15.4, ports(1, 15.4)), *between, switch("last", 50, 15.4, ports(1, 15.4), ip="IP66")]
    places = [{"place": f"p{number}", **({"ip": "IP65"} if number == 5 else {})} for number in range(6)]
    kit = solved(scenario(*(device(f"d{number}", 5, f"p{number}") for number in range(6)), places=places), catalog(*rows))
    assert models(kit) == ["last"] * 6


# How it ends


def test_no_layout_where_nothing_serves_all() -> None:
    found = searched(device("cam", 5, count=2), switches=[switch("s", 50, 60, ports(1, 15.4))], places=[{"place": "hall", "outlets": 1}])
    assert (found.stop, found.layout, found.cost_cents) == (Stop.INFEASIBLE, None, None)


def test_what_was_told_is_never_below_the_bound() -> None:
    told: list[tuple[int | None, int | None]] = []
    rows = [device(f"d{watts}", watts, run_m=0, count=2) for watts in (5, 9, 13, 17, 22, 31, 45)]
    switches = [switch(f"s{size}", 31 + 13 * size, 40 * size, ports(2 * size, 60)) for size in (1, 2, 3)]
    of = problem(site(scenario(*rows, rules=STATED), catalog(*switches)))
    found = Search(of, 0.0, 20, lambda best, bound: told.append((best, bound))).run()
    assert found.stop is Stop.PROVEN
    assert all(bound is None or found.cost_cents is None or bound <= found.cost_cents for _, bound in told)


UNEVEN = (device("cam", 5, count=3, mbps=34), device("door", 5, count=2, mbps=19))
"""140 Mb/s pooled fit two uplinks that may carry 70 Mb/s each; packed they need three: 34 + 34, 34 + 19, 19."""


def stopping_after(monkeypatch: pytest.MonkeyPatch, solves: int) -> list[Answer]:
    """Let the search solve so often, then press Ctrl-C in every solve; gives the answers."""
    real, answers = search.solve, []

    def solve(*args: Any, **more: Any) -> Answer:
        answer = real(*args, **more)
        if len(answers) >= solves:
            answer = Answer(Stop.INTERRUPTED, False, answer.value, answer.bound)
        answers.append(answer)
        return answer

    monkeypatch.setattr(search, "solve", solve)
    return answers


def test_ctrl_c_while_ties_are_settled_keeps_the_proven_kit(monkeypatch: pytest.MonkeyPatch) -> None:
    answers = stopping_after(monkeypatch, 1)
    found = searched(device("cam", 5, count=4), switches=[switch("s", 50, 60, ports(2, 15.4)), switch("t", 100, 90, ports(4, 15.4))])
    assert (found.stop, found.cost_cents) == (Stop.PROVEN, 10_000)
    assert len(answers) == 2


def test_ctrl_c_while_a_pool_is_packed_ends_the_search(monkeypatch: pytest.MonkeyPatch) -> None:
    answers = stopping_after(monkeypatch, 1)
    found = searched(*UNEVEN, switches=[switch("s", 50, 100, ports(8, 90), uplink_mbps=100)])
    assert found.stop is Stop.INTERRUPTED
    assert len(answers) == 2


def test_within_a_gap_the_bound_is_told_as_it_is() -> None:
    rows = [device(f"d{watts}", watts, run_m=0, count=2) for watts in (5, 9, 13, 17, 22, 31, 45)]
    switches = [switch(f"s{size}", 31 + 13 * size, 40 * size, ports(2 * size, 60)) for size in (1, 2, 3)]
    exact, rough = (searched(*rows, switches=switches, rules=STATED, gap=gap) for gap in (0.0, 0.3))
    assert exact.bound_cents == exact.cost_cents
    assert rough.stop is Stop.PROVEN
    assert exact.cost_cents is not None
    assert rough.bound_cents is not None
    assert rough.cost_cents is not None
    assert rough.bound_cents <= exact.cost_cents <= rough.cost_cents
    assert rough.cost_cents - rough.bound_cents <= 0.3 * rough.cost_cents


def test_a_switch_is_fed_where_that_is_cheapest() -> None:
    # a mast fed from the hall (30) against a run of 200 m that nothing reaches
    pole = {"model": "pole", "price": 30, "feed": "port", "in_class": 4, "groups": [ports(2, 15.4)]}
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    found = searched(
        device("cam", 5, "mast"), switches=[switch("s", 50, 60, ports(2, 30)), pole], places=places, runs=[run("mast", "hall", 50)]
    )
    assert found.cost_cents == 8000


def test_fed_switches_too_heavy_for_two_on_one_unit_are_seen_to_be_without_numbering_units() -> None:
    # each pole carries one camera and draws over 8 W by stated draw, 4 W when it stands idle: of 15 W only one fits
    pole = fed("pole", 10, 3, ports(1, 15.4), own_w=4)
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    found = searched(
        device("cam", 4, "mast", run_m=0, count=5),
        switches=[switch("s", 50, 15, ports(4, 30)), pole],
        rules=STATED,
        places=places,
        runs=[run("mast", "hall", 50, existing=5)],
    )
    assert (found.stop, found.cost_cents) == (Stop.PROVEN, 5 * 6_000)
    assert not found.learnt.split


def test_traffic_too_large_for_two_on_one_uplink_is_seen_without_numbering_units() -> None:
    # of 70 Mb/s an uplink carries one camera's 40 and not two: every pole and every switch above carries one
    pole = fed("pole", 10, 3, ports(2, 15.4), uplink_mbps=100)
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    found = searched(
        device("cam", 3, "mast", run_m=0, count=3, mbps=40, class_=1),
        switches=[switch("s", 50, 60, ports(4, 30), uplink_mbps=100), pole],
        places=places,
        runs=[run("mast", "hall", 50, existing=3)],
    )
    assert (found.stop, found.cost_cents) == (Stop.PROVEN, 3 * 6_000)
    assert not found.learnt.split


def test_fractions_of_a_cent_of_unlike_size_are_rounded_as_the_bill_rounds_them() -> None:
    # 25 m are 0.125 cents and 40 m 0.2 cents: 7 x 0.125 + 3 x 0.2 = 1.475 cents, one cent on the bill
    found = searched(
        device("a", 5, "loft", run_m=0, count=7),
        device("b", 5, "loft", run_m=0, count=3),
        switches=[switch("s", 50, 200, ports(12, 15.4))],
        places=[{"place": "hall"}, {"place": "loft", "mains": False}],
        runs=[run("a", "hall", 25), run("b", "hall", 40)],
        cables=[{"model": "cat", "price_per_m": "0.00005", "awg": 24}],
    )
    assert found.cost_cents == 5001


def test_data_takes_the_weakest_port_too() -> None:
    """A data-only device and an injector's data lead leave the powered ports free where there are data ports."""
    injectors = [{"model": "inj", "price": 20, "ports": 1, "port_w": 90}]
    bought = catalog(switch("s", 10, 200, ports(8, 30, "power"), ports(2, 0, "data")), injectors=injectors)
    kit = solved(scenario(device("cam", 5, count=3), device("lamp", 60), device("pc", 0)), bought)
    groups = {item.device: item.group for item in kit.connections}
    assert groups == {"cam.1": "power", "cam.2": "power", "cam.3": "power", "lamp": "data", "pc": "data"}


def test_a_search_out_of_time_mends_what_it_could_not_pack(monkeypatch: pytest.MonkeyPatch) -> None:
    """A kit is given, not proven."""
    real, answers = search.solve, []

    def solve(*args: Any, **more: Any) -> Answer:
        answer = real(*args, **more)
        answers.append(answer)
        return Answer(Stop.LIMIT, answer.found, answer.value, answer.bound) if len(answers) == 1 else answer

    monkeypatch.setattr(search, "solve", solve)
    found = searched(*UNEVEN, switches=[switch("s", 50, 100, ports(8, 90), uplink_mbps=100)])
    assert (found.stop, found.cost_cents, found.bound_cents) == (Stop.LIMIT, 15_000, 10_000)


# Any kit at all


@pytest.mark.parametrize(("outlets", "stop"), [(1, Stop.INFEASIBLE), (2, Stop.INFEASIBLE), (3, Stop.PROVEN)])
def test_whether_there_is_any_kit(outlets: int, stop: Stop) -> None:
    # 45 + 35 + 30 + 30 + 30 + 30 = 200 W fit two switches pooled, and no two by themselves
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    described = scenario(*rows, rules=STATED, places=[{"place": "hall", "outlets": outlets}])
    assert any_kit(problem(site(described, catalog(switch("s", 50, 100, ports(8, 90))))), 20) is stop
