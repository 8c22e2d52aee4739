from fractions import Fraction
from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.feeds.fed import FedBuild
from equipsel.program.bins import Bin
from equipsel.program.model import Lead, Model, Plug, Problem, Refinement, Way

SWITCH = switch("s", 50, 60, ports(4, 15.4))
INJECTOR: Row = {"model": "inj", "price": 20, "ports": 2, "port_w": 30}
MAST = [{"place": "hall"}, {"place": "mast", "mains": False}]


def described(*devices: Row, switches: tuple[Row, ...] = (SWITCH,), rules: Row | None = None, **tables: Any) -> Problem:
    injectors = tables.pop("injectors", [])
    return problem(site(scenario(*devices, rules=rules, **tables), catalog(*switches, injectors=injectors)))


def model(*devices: Row, refinement: Refinement | None = None, **more: Any) -> Model:
    return Model(described(*devices, **more), refinement or Refinement())


def test_no_more_units_than_devices_that_can_reach_the_place() -> None:
    made = model(device("a", 5, count=3), device("b", 5, "loft"), runs=[run("b", "hall", 40)])
    assert made.demand == {"hall": 4, "loft": 1}


def test_spare_ports_may_ask_for_more_units() -> None:
    # 3 devices by injectors use 6 ports; of 8 a quarter is spare
    assert model(device("a", 5, count=3), rules={"spare_ports_pct": 25}).demand == {"hall": 8}


@pytest.mark.parametrize(("deep", "expected"), [(0, 1), (1, 3), (2, 6)])
def test_devices_behind_cascades_count_where_they_are_fed_from(deep: int, expected: int) -> None:
    places = [*MAST, {"place": "top", "mains": False}]
    made = model(
        device("a", 5),
        device("b", 5, "mast", count=2),
        device("c", 5, "top", count=3),
        rules={"max_cascade": deep},
        places=places,
        runs=[run("mast", "hall", 10), run("top", "mast", 10)],
    )
    assert made.demand["hall"] == expected


def test_units_of_their_own_come_before_the_pool() -> None:
    made = model(device("a", 5, count=5), refinement=Refinement(split={0: 2}))
    assert [item.most for item in made.bins] == [1, 1, 3]


def test_a_pool_split_to_the_end_is_none() -> None:
    made = model(device("a", 5, count=2), refinement=Refinement(split={0: 7}))
    assert [item.most for item in made.bins] == [1, 1]


def test_only_the_builds_told_may_be_used_each_of_its_own() -> None:
    made = model(device("a", 5, count=9), switches=(SWITCH, switch("t", 9, 60, ports(4, 15.4))), refinement=Refinement(only={1: 2}))
    assert [(item.build.model.model, item.most) for item in made.bins] == [("t", 1), ("t", 1)]


def test_a_device_that_needs_no_power_takes_no_injector() -> None:
    made = model(device("data", 0), device("cam", 5), injectors=[INJECTOR])
    on_injector = {plug.payload.group for plug in made.plugs if plug.bin.build.is_injector and isinstance(plug.payload, Way)}
    assert on_injector == {1}


def test_every_device_on_an_injector_asks_for_a_data_lead_that_is_fast_enough() -> None:
    slow = switch("slow", 9, 60, ports(4, 0, port_mbps=100))
    made = model(device("cam", 5, port_mbps=1000), switches=(SWITCH, slow), injectors=[INJECTOR])
    leads = [plug for plug in made.plugs if isinstance(plug.payload, Lead)]
    assert [plug.bin.build.model.model for plug in leads] == ["s"]
    assert [plug.load for plug in leads] == [[]]


def test_a_fed_switch_is_plugged_in_one_level_below_its_host() -> None:
    pole = fed("pole", 30, 6, ports(2, 15.4))
    strong = switch("root", 90, 200, ports(2, 60))
    made = model(device("d", 5, "mast"), switches=(strong, pole), places=MAST, runs=[run("mast", "hall", 10)])
    feeds = [plug for plug in made.plugs if isinstance(plug.payload, Bin)]
    assert {plug.bin.build.model.model for plug in feeds} == {"root"}
    classes = {plug.payload.build.class_ for plug in feeds if isinstance(plug.payload, Bin) and isinstance(plug.payload.build, FedBuild)}
    assert classes == {1, 2, 3, 4, 5, 6}
    by_load = sorted(int(plug.load[0][0]) for plug in feeds)
    assert by_load == [4_000, 7_000, 15_400, 30_000, 45_000, 60_000]


def test_traffic_is_counted_in_steps_that_every_device_is_a_whole_number_of() -> None:
    made = model(device("a", 5, mbps="4.5"), device("b", 5, mbps="0.2"))
    assert made.traffic_step == Fraction(1, 10)
    assert model(device("a", 5, mbps=4)).traffic_step == 1


def test_the_most_plugs_of_a_unit_count_each_device_once() -> None:
    wide = switch("wide", 9, 400, ports(8, 30, "a"), ports(8, 30, "b"))
    made = model(device("cam", 5, count=3), device("light", 20, count=2), switches=(wide,))
    (item,) = made.bins
    assert len(made.of(item)) == 4
    assert made.most_plugs(item, made.of(item)) == 5
    assert made.most_load(item) == 3 * 15_400 + 2 * 30_000


def test_batteries_only_where_something_is_held_and_there_are_mains() -> None:
    bought = catalog(SWITCH, backups=[{"model": "ups", "price": 9, "watts": 100, "watt_hours": 100}])
    for row, rules, held in (
        (device("a", 5, backup=True), {"backup_minutes": 10}, ["hall"]),
        (device("a", 5), {"backup_minutes": 10}, []),
        (device("a", 5, backup=True), {}, []),
    ):
        made = Model(problem(site(scenario(row, rules=rules), bought)), Refinement())
        assert list(made.batteries) == held


def feeding(made: Model, place: str) -> Plug:
    """What feeds the switch of a place in its highest class."""
    return [plug for plug in made.plugs if isinstance(plug.payload, Bin) and plug.payload.build.place == place][-1]


@pytest.mark.parametrize(("spare", "handed"), [(0, 5_000), (10, 0)])
def test_a_fed_switch_draws_at_the_least_what_its_lightest_device_asks_for(spare: int, handed: int) -> None:
    # one without devices would only be there to have ports to spare
    pole = fed("pole", 30, 6, ports(2, 15.4), own_w=2)
    rules = {"budget_basis": "stated", "spare_ports_pct": spare}
    cameras = device("light", 5, "mast", run_m=0), device("heavy", 9, "mast", run_m=0)
    strong = switch("strong", 50, 120, ports(2, 60))
    made = model(*cameras, switches=(strong, pole), places=MAST, runs=[run("mast", "hall", 90)], rules=rules)
    above = feeding(made, "mast")
    assert made.least_mw(above) == above.payload.fed_build.upstream_mw(handed) > handed


def test_a_cascade_draws_at_the_least_what_the_switch_it_feeds_draws() -> None:
    pole = fed("pole", 30, 6, ports(2, 60), own_w=2)
    places, runs = [*MAST, {"place": "top", "mains": False}], [run("mast", "hall", 10), run("top", "mast", 10)]
    rules = {"budget_basis": "stated", "max_cascade": 2}
    strong = switch("strong", 50, 120, ports(2, 90))
    made = model(device("cam", 12, "top", run_m=0), switches=(strong, pole), places=places, runs=runs, rules=rules)
    inner = feeding(made, "mast")
    outer = [plug.payload.fed_build for plug in made.of(inner.payload)]
    least = min(build.upstream_mw(12_000) for build in outer if build.limit_mw >= 12_000)
    assert made.least_mw(inner) == inner.payload.fed_build.upstream_mw(least)


@pytest.mark.parametrize(("spare", "least"), [(0, 6), (10, 0)])
def test_a_fed_switch_passes_at_the_least_the_traffic_of_its_lightest_device(spare: int, least: int) -> None:
    pole = fed("pole", 30, 6, ports(2, 15.4), uplink_mbps=100)
    cameras = device("light", 5, "mast", run_m=0, mbps=6), device("heavy", 5, "mast", run_m=0, mbps=9, count=20)
    strong = switch("strong", 50, 120, ports(2, 60), uplink_mbps=100)
    rules = {"spare_ports_pct": spare}
    made = model(*cameras, switches=(strong, pole), places=MAST, runs=[run("mast", "hall", 90)], rules=rules)
    assert made.uplinks
    assert made.least_mbps(feeding(made, "mast")) == least


def test_no_port_takes_what_its_unit_cannot_hand_out() -> None:
    weak, grouped = switch("weak", 9, 10, ports(2, 30)), switch("grouped", 9, 60, ports(2, 30, group_w=12))
    made = model(device("light", 5), device("heavy", 14), switches=(weak, grouped), rules={"budget_basis": "stated"})
    assert {plug.payload.group for plug in made.plugs if isinstance(plug.payload, Way)} == {0}
