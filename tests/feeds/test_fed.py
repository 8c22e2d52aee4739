from decimal import Decimal
from math import sqrt
from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, run, scenario, site, switch

from equipsel.catalog import Switch
from equipsel.feeds.builds import Build
from equipsel.feeds.fed import FedBuild, accepts, fed_budget_w, most_w
from equipsel.feeds.ways import all_builds

PLACES = [{"place": "hall"}, {"place": "mast", "mains": False}]
ROOT = switch("root", 100, 300, ports(2, 30, "weak"), ports(2, 60, "mid"), ports(2, 90, "strong"))
EXTENDER = {"model": "ext", "price": 1, "own_w": 1, "in_class": 8, "port_w": 90}


def pole(in_class: int = 6, **more: Any) -> Row:
    return fed("pole", 50, in_class, ports(4, 15.4), **{"own_w": 1, "efficiency": "0.9", **more})


def builds(*switches: Row, run_m: float = 0, rules: Row | None = None, **tables: list[Row]) -> list[Build]:
    described = scenario(device("d", 5, "mast"), rules=rules, places=PLACES, runs=[run("mast", "hall", run_m)])
    return all_builds(site(described, catalog(*(switches or (ROOT, pole())), **tables)))


def poles(*switches: Row, **more: Any) -> list[FedBuild]:
    return [build for build in builds(*switches, **more) if isinstance(build, FedBuild)]


def classes(found: list[FedBuild]) -> set[tuple[int, int]]:
    return {(build.class_, build.budget_mw) for build in found}


def test_a_fed_switch_may_take_every_class_up_to_its_own() -> None:
    # 3.84, 6.49, 12.95, 25.5, 40 and 51 W x 0.9, less 1 W
    assert classes(poles()) == {(1, 2_456), (2, 4_841), (3, 10_655), (4, 21_950), (5, 35_000), (6, 44_900)}


def test_no_class_higher_than_its_budget_needs() -> None:
    assert classes(poles(ROOT, pole(budget_w=30))) == {(1, 2_456), (2, 4_841), (3, 10_655), (4, 21_950), (5, 30_000)}


def test_a_class_that_its_own_draw_eats_up_is_none() -> None:
    assert classes(poles(ROOT, pole(own_w=20))) == {(4, 2_950), (5, 16_000), (6, 25_900)}


def test_every_kind_of_port_above_is_another_line() -> None:
    # 30 and 60 W ports give 50 V, 90 W ports 52 V
    assert {(build.class_, build.volts) for build in poles()} == {(number, volts) for number in range(1, 7) for volts in (50, 52)}


def test_the_most_it_may_draw_stays_within_its_class() -> None:
    model = Switch(model="x", price=0, feed="port", in_class=4, own_w="1", efficiency="0.9", budget_w=9)
    assert fed_budget_w(model, 4) == 9
    assert most_w(model, 4, 9000) == pytest.approx(10 / 0.9)
    assert most_w(model, 3, 10_655) == 12.95
    assert most_w(model, 3, 99_999) == 12.95


@pytest.mark.parametrize(("group", "number", "carried"), [("weak", 4, True), ("weak", 5, False), ("mid", 6, True), ("strong", 6, False)])
def test_a_port_accepts_what_it_carries_at_the_volts_it_was_solved_for(group: str, number: int, carried: bool) -> None:
    found = builds()
    root = found[0]
    build = next(item for item in found if isinstance(item, FedBuild) and item.class_ == number and item.volts == 50)
    assert accepts(next(item for item in root.ports if item.group == group), root, build) is carried


def test_its_ports_give_the_volts_that_reach_it_at_the_most_it_may_draw() -> None:
    # class 4 over 100 m, two pairs of 24 AWG, 50 V: 8.42 ohm, 25.5 W
    build = next(item for item in poles(run_m=100) if item.class_ == 4 and item.volts == 50)
    assert build.ports[0].head.volts == pytest.approx((50 + sqrt(2500 - 4 * 8.42 * 25.5)) / 2, abs=0.01)
    stated = poles(ROOT, pole(volts=54), run_m=100)
    assert {item.ports[0].head.volts for item in stated} == {54}


def test_its_own_least_volts_are_asked_at_the_most_it_may_draw() -> None:
    assert {build.class_ for build in poles(ROOT, pole(min_volts=46), run_m=100) if build.volts == 50} == {1, 2, 3, 5}
    # class 4 leaves 45.3 V on two pairs; class 6 (51 W on four) 45.3 V too; class 5 (40 W) 46.4 V


def test_by_class_the_port_above_reserves_the_class_whatever_it_hands_out() -> None:
    build = next(item for item in poles() if item.class_ == 5)
    assert (build.upstream_mw(0), build.upstream_mw(35_000)) == (45_000, 45_000)


@pytest.mark.parametrize(("handed_mw", "above_mw"), [(0, 1112), (10_000, 12_223), (21_950, 25_500)])
def test_by_stated_draw_the_port_above_reserves_what_it_takes_in(handed_mw: int, above_mw: int) -> None:
    # (1 W + handed) / 0.9, over no length of cable, rounded up to the milliwatt
    build = next(item for item in poles(rules={"budget_basis": "stated"}) if item.class_ == 4)
    assert build.upstream_mw(handed_mw) == above_mw


def test_stated_draw_counts_the_line_s_loss() -> None:
    build = next(item for item in poles(run_m=100, rules={"budget_basis": "stated"}) if item.class_ == 4 and item.volts == 50)
    taken = 11 / 0.9
    exact = 50 * (50 - sqrt(2500 - 4 * 8.42 * taken)) / (2 * 8.42)
    assert build.upstream_mw(10_000) == pytest.approx(exact * 1000, abs=2)


def test_granted_follows_the_class_identity_in_tenths() -> None:
    # 12.2222 W in class 4: 50 V, 12.5 ohm: I = (50 - sqrt(2500 - 50 x 12.2222)) / 25 = 0.26152 A, 13.076 W: 13.1 W
    build = next(item for item in poles(rules={"budget_basis": "granted"}) if item.class_ == 4)
    assert build.upstream_mw(10_000) == 13_100


def test_behind_an_extender_the_first_extender_s_class_decides() -> None:
    # 25.5 W, 1 W of the extender and the loss: 26.6 W and more, class 5 on four pairs
    found = poles(ROOT, pole(), run_m=150, extenders=[EXTENDER])
    build = next(item for item in found if item.class_ == 4 and item.volts == 50)
    assert (build.fed[0].number, build.upstream_mw(0)) == (5, 45_000)


def test_an_extender_s_output_must_carry_the_class_taken() -> None:
    found = poles(ROOT, pole(), run_m=150, extenders=[{**EXTENDER, "port_w": 30}])
    assert {build.class_ for build in found} == {1, 2, 3, 4}


def test_it_may_be_fed_by_an_injector() -> None:
    injector = {"model": "inj", "price": 1, "ports": 1, "port_w": 60, "volts": 55}
    found = poles(ROOT, pole(), injectors=[injector])
    through = [build for build in found if build.through_injector]
    assert {build.volts for build in through} == {55}
    assert {build.level for build in through} == {1}


def test_nothing_is_fed_without_a_run_or_where_cascades_are_forbidden() -> None:
    assert poles(rules={"max_cascade": 0}) == []
    described = scenario(device("d", 5, "mast"), places=PLACES)
    assert [item for item in all_builds(site(described, catalog(ROOT, pole()))) if isinstance(item, FedBuild)] == []


def test_cascades_go_as_deep_as_allowed() -> None:
    places = [*PLACES, {"place": "top", "mains": False}]
    strong = fed("pole", 50, 6, ports(4, 30), own_w=1)
    for deep, levels in ((1, {("mast", 1)}), (2, {("mast", 1), ("top", 2)})):
        described = scenario(
            device("d", 5, "top"), rules={"max_cascade": deep}, places=places, runs=[run("mast", "hall", 10), run("top", "mast", 10)]
        )
        found = [item for item in all_builds(site(described, catalog(ROOT, strong))) if isinstance(item, FedBuild)]
        assert {(item.place, item.level) for item in found} == levels


@pytest.mark.parametrize(("uplink_mbps", "possible"), [(100, True), (1000, False), (2500, False)])
def test_the_port_above_is_as_fast_as_the_uplink_up_to_1000(uplink_mbps: int, possible: bool) -> None:
    slow = switch("root", 100, 300, ports(2, 30, port_mbps=100))
    assert bool(poles(slow, pole(uplink_mbps=uplink_mbps))) is possible


def test_a_faster_uplink_than_1000_asks_for_1000() -> None:
    assert poles(ROOT, pole(uplink_mbps=10_000))


def test_spare_watts_are_kept_of_a_fed_switch_s_budget_too() -> None:
    found = poles(rules={"spare_watts_pct": 10})
    assert {(build.budget_mw, build.limit_mw) for build in found if build.class_ == 5} == {(35_000, 31_500)}
    assert next(build for build in found if build.class_ == 5).load().pd_w == float(Decimal(40))
