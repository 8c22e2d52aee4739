from decimal import Decimal
from typing import Any

import pytest
from sketch import Row, catalog, device, ports, scenario, site, supplied, switch

from equipsel.feeds.builds import Build, mains_builds, supplied_w
from equipsel.site import Site

SUPPLIES = [
    {"model": "p60", "price": 20, "fit": "dc", "watts": 60, "efficiency": "0.85", "rack_u": "0.5"},
    {"model": "p120", "price": 30, "fit": "dc", "watts": 120},
    {"model": "other", "price": 1, "fit": "ac", "watts": 900},
]


def standing(*switches: Row, rules: Row | None = None, place: Row | None = None, **tables: list[Row]) -> list[Build]:
    spot: Row = {"place": "hall", **(place or {})}
    where: Site = site(scenario(device("d", 5), rules=rules, places=[spot]), catalog(*switches, **tables))
    return mains_builds(where.scenario.place["hall"], where)


def names(builds: list[Build]) -> list[tuple[str, ...]]:
    return [(build.model.model, *(supply.model for supply in build.supplies)) for build in builds]


def test_a_mains_switch_hands_out_its_budget_its_own_draw_apart() -> None:
    (build,) = standing(switch("s", 1, 60, ports(4, 15.4), own_w=5, efficiency="0.8", uplink_mbps=1000))
    assert (build.budget_mw, build.limit_mw, build.own_mw, build.efficiency, build.traffic_mbps) == (
        60_000,
        60_000,
        5000,
        Decimal("0.8"),
        700,
    )
    assert (build.outlets, build.powered_ports) == (1, 4)


def test_supplies_are_mixed_and_slots_left_empty() -> None:
    builds = standing(supplied("s", 1, 2, ports(4, 30)), supplies=SUPPLIES)
    assert names(builds) == [("s", "p60"), ("s", "p120"), ("s", "p60", "p60"), ("s", "p60", "p120"), ("s", "p120", "p120")]
    assert [build.budget_mw for build in builds] == [60_000, 120_000, 120_000, 180_000, 240_000]
    assert [build.outlets for build in builds] == [1, 1, 2, 2, 2]
    assert builds[3].rack_u == Decimal("0.5")
    assert builds[3].efficiency == Decimal("0.85")


def test_a_supplied_switch_pays_its_own_draw_and_keeps_its_cap() -> None:
    builds = standing(supplied("s", 1, 2, ports(4, 30), own_w=65, budget_w=100), supplies=SUPPLIES)
    assert [(build.budget_mw, *names([build])[0][1:]) for build in builds] == [
        (55_000, "p120"),
        (55_000, "p60", "p60"),
        (100_000, "p60", "p120"),
        (100_000, "p120", "p120"),
    ]


def test_redundant_supplies_need_two_and_do_not_count_the_largest() -> None:
    builds = standing(supplied("s", 1, 3, ports(4, 30), own_w=10), supplies=SUPPLIES, rules={"redundant_supplies": True})
    assert {names([build])[0][1:]: build.budget_mw for build in builds} == {
        ("p60", "p60"): 50_000,
        ("p60", "p120"): 50_000,
        ("p120", "p120"): 110_000,
        ("p60", "p60", "p60"): 110_000,
        ("p60", "p60", "p120"): 110_000,
        ("p60", "p120", "p120"): 170_000,
        ("p120", "p120", "p120"): 230_000,
    }


def test_redundancy_leaves_built_in_supplies_alone() -> None:
    assert [build.budget_mw for build in standing(switch("s", 1, 60, ports(4, 15.4)), rules={"redundant_supplies": True})] == [60_000]


def test_the_budget_of_supplies_by_itself() -> None:
    bought = catalog(supplied("s", 1, 2, ports(1, 30), own_w=10), supplies=SUPPLIES)
    assert supplied_w(bought.switches[0], bought.supplies[:2], scenario().rules) == 170


@pytest.mark.parametrize(("count", "limit_mw"), [(1, 30_001), (2, 27_000)])
def test_spare_watts_are_rounded_down_and_one_powered_port_is_exempt(count: int, limit_mw: int) -> None:
    # 30.001 W x 0.9 = 27000.9 mW
    (build,) = standing(switch("s", 1, 30.001, ports(count, 30), ports(4, 0, "data")), rules={"spare_watts_pct": 10})
    assert (build.budget_mw, build.limit_mw) == (30_001, limit_mw)


def test_an_injector_has_ports_a_budget_and_no_uplink() -> None:
    injector: Row = {"model": "i", "price": 1, "ports": 2, "port_w": 30, "volts": 55}
    (build,) = standing(injectors=[injector])
    assert (build.is_injector, build.budget_mw, build.traffic_mbps, build.outlets) == (True, 60_000, None, 1)
    assert (build.ports[0].count, build.ports[0].head.volts, build.ports[0].head.port_w) == (2, 55, 30)
    (capped,) = standing(injectors=[{**injector, "budget_w": 40}])
    assert capped.budget_mw == 40_000


@pytest.mark.parametrize(("port_w", "volts"), [(0, 44), (15.4, 44), (30, 50), (60, 50), (60.1, 52), (90, 52)])
def test_a_port_that_states_no_volts_gives_the_least_of_its_type(port_w: float, volts: float) -> None:
    (build,) = standing(switch("s", 1, 60, ports(1, port_w)))
    assert build.ports[0].head.volts == volts


def test_stated_volts_hold_for_every_port() -> None:
    (build,) = standing(switch("s", 1, 60, ports(1, 15.4), ports(1, 90, "strong"), volts=54))
    assert [group.head.volts for group in build.ports] == [54, 54]


def test_group_watts_become_a_limit_of_the_group() -> None:
    (build,) = standing(switch("s", 1, 60, ports(4, 15.4, group_w=45.5), ports(1, 30, "b")))
    assert [group.limit_mw for group in build.ports] == [45_500, None]


def test_nothing_stands_on_the_mains_where_there_are_none() -> None:
    tables: Any = {"supplies": SUPPLIES, "injectors": [{"model": "i", "price": 1, "ports": 1, "port_w": 30}]}
    assert standing(switch("s", 1, 60, ports(1, 30)), supplied("t", 1, 1, ports(1, 30)), place={"mains": False}, **tables) == []


@pytest.mark.parametrize(
    ("rated", "fits"),
    [
        ({"ip": "IP66", "low_c": -20, "high_c": 50}, True),
        ({"ip": "IP66", "low_c": -19, "high_c": 50}, False),
        ({"ip": "IP66", "low_c": -20, "high_c": 49}, False),
        ({"ip": "IP66", "low_c": -20}, False),
        ({"ip": "IP66", "high_c": 50}, False),
        ({"ip": "IP64", "low_c": -20, "high_c": 50}, False),
        ({"ip": "IP56", "low_c": -20, "high_c": 50}, False),
    ],
)
def test_equipment_bears_the_place_digit_by_digit_and_end_by_end(rated: Row, fits: bool) -> None:
    place = {"ip": "IP65", "low_c": -20, "high_c": 50}
    assert bool(standing(switch("s", 1, 60, ports(1, 30), **rated), place=place)) is fits
    assert bool(standing(injectors=[{"model": "i", "price": 1, "ports": 1, "port_w": 30, **rated}], place=place)) is fits
    rugged = supplied("s", 1, 1, ports(1, 30), ip="IP67", low_c=-40, high_c=70)
    assert bool(standing(rugged, supplies=[{**SUPPLIES[0], **rated}], place=place)) is fits
