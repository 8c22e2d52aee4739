"""What a kit says of its units and connections. Figures are worked out by hand."""

from math import sqrt
from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, run, scenario, solved, switch

from equipsel.kit import Connection, Kit, Unit

MAST = [{"place": "hall"}, {"place": "mast", "mains": False}]
INJECTOR: Row = {"model": "inj", "price": 20, "ports": 1, "port_w": 30, "own_w": 1, "efficiency": "0.8"}
DATA = switch("data", 10, 0, ports(8, 0))


def unit(kit: Kit, model: str) -> Unit:
    (found,) = (item for item in kit.units if item.model == model)
    return found


def connection(kit: Kit, name: str) -> Connection:
    (found,) = (item for item in kit.connections if item.device == name)
    return found


def test_one_connection_a_device_in_the_order_of_the_table() -> None:
    kit = solved(scenario(device("b", 20), device("a", 5, count=3)), catalog(switch("s", 50, 120, ports(4, 30))))
    assert [item.device for item in kit.connections] == ["b", "a.1", "a.2", "a.3"]
    assert sorted(item.port for item in kit.connections) == [1, 2, 3, 4]


def test_ports_are_numbered_in_their_group_and_units_in_their_place() -> None:
    bought = catalog(switch("s", 50, 120, ports(2, 15.4, "a"), ports(1, 30, "b")))
    kit = solved(scenario(device("x", 5, count=3), device("y", 20, count=2), device("z", 20, "loft")), bought)
    assert {item.unit for item in kit.units} == {"hall-1", "hall-2", "loft-1"}
    seats = {(item.unit, item.group, item.port) for item in kit.connections}
    assert len(seats) == 6
    assert {port for _, group, port in seats if group == "b"} == {1}
    assert {port for _, group, port in seats if group == "a"} <= {1, 2}


def test_a_connection_as_solved() -> None:
    # 100 m of 8.42 ohm, two pairs, 50 V, 25.5 W
    cable = {"model": "plain", "price_per_m": 0, "ohm_per_100m": "8.42"}
    kit = solved(scenario(device("cam", 25.5, run_m=100)), catalog(switch("s", 50, 60, ports(1, 30)), cables=[cable]))
    found = connection(kit, "cam")
    amps = (50 - sqrt(2500 - 4 * 8.42 * 25.5)) / (2 * 8.42)
    assert found.amps == round(amps, 4)
    assert found.pd_volts == round(50 - amps * 8.42, 3)
    assert found.loss_w == round(amps * amps * 8.42, 3)
    assert found.pse_w == pytest.approx(50 * amps, abs=0.001)
    assert (found.class_, found.port_w, found.reserved_w, found.pd_w, found.cable, found.run_m) == (4, 30, 30, 25.5, "plain", 100)


def test_a_run_is_told_with_its_slack() -> None:
    kit = solved(scenario(device("cam", 5, run_m=50), rules={"run_slack_pct": 10}), catalog(switch("s", 50, 60, ports(1, 30))))
    assert connection(kit, "cam").run_m == 55


def test_a_unit_s_budget_reserve_draw_heat_and_mains() -> None:
    # two of 15.4 W reserved, (4 + 30.8) / 0.8 = 43.5 W from the mains, 12.7 W of it heat; 2 x 5 W drawn at no length
    bought = catalog(switch("s", 50, 60, ports(4, 15.4), own_w=4, efficiency="0.8"))
    found = unit(solved(scenario(device("cam", 5, run_m=0, count=2)), bought), "s")
    assert (found.budget_w, found.reserved_w, found.draw_w, found.mains_w, found.heat_w) == (60, 30.8, 10, 43.5, 12.7)


def test_devices_of_one_group_are_each_drawn_as_they_are() -> None:
    found = unit(solved(scenario(device("a", 5, run_m=0), device("b", 9, run_m=0)), catalog(switch("s", 50, 60, ports(4, 15.4)))), "s")
    assert (found.reserved_w, found.draw_w) == (30.8, 14)


def test_a_device_on_an_injector_is_connected_to_its_data_port() -> None:
    kit = solved(scenario(device("cam", 20, mbps=4, run_m=0)), catalog(DATA, injectors=[INJECTOR]))
    found = connection(kit, "cam")
    assert found.injector is not None
    assert (found.unit, found.group, found.port, found.port_w) == (unit(kit, "data").unit, "out", 1, 30)
    assert (found.injector.unit, found.injector.port) == (unit(kit, "inj").unit, 1)
    assert (unit(kit, "data").traffic_mbps, unit(kit, "data").reserved_w, unit(kit, "inj").reserved_w) == (4, 0, 30)
    assert unit(kit, "inj").mains_w == 38.75  # (1 + 30) / 0.8


def test_a_multi_port_injector_has_a_data_lead_for_each_port() -> None:
    kit = solved(scenario(device("cam", 20, count=2)), catalog(DATA, injectors=[{**INJECTOR, "ports": 2, "budget_w": 60}]))
    assert sorted(item.injector.port for item in kit.connections if item.injector) == [1, 2]
    assert sorted(item.port for item in kit.connections) == [1, 2]
    assert len(kit.units) == 2


def test_an_injector_whose_budget_is_less_than_its_ports() -> None:
    kit = solved(scenario(device("cam", 20, count=2)), catalog(DATA, injectors=[{**INJECTOR, "ports": 2, "budget_w": 59}]))
    assert len(kit.units) == 3


def test_extenders_stand_where_the_spans_end() -> None:
    extender = {"model": "ext", "price": 40, "own_w": 1, "in_class": 4, "port_w": 15.4}
    kit = solved(scenario(device("cam", 5, run_m=215)), catalog(switch("s", 50, 60, ports(1, 30)), extenders=[extender]))
    assert [(item.model, item.at_m) for item in connection(kit, "cam").extenders] == [("ext", 100), ("ext", 200)]


POLE = fed("pole", 30, 4, ports(2, 15.4), own_w=2, efficiency="0.9")


def on_a_mast(**more: Any) -> Kit:
    root = switch("root", 90, 120, ports(1, 60), own_w=3)
    where = scenario(device("cam", 5, "mast", run_m=0, mbps=3), device("pc", 0, "mast", mbps=2), places=MAST, **more)
    return solved(where, catalog(root, POLE))


def test_a_fed_switch_says_what_feeds_it() -> None:
    kit = on_a_mast(runs=[run("mast", "hall", 30)])
    feed = unit(kit, "pole").fed_by
    assert feed is not None
    assert (feed.unit, feed.group, feed.port, feed.run_m, feed.injector, feed.cable) == ("hall-1", "out", 1, 30, None, "24 AWG copper")
    assert feed.class_ == 4  # class 3 leaves 12.95 x 0.9 - 2 = 9.7 W, less than the 15.4 W of the camera


def test_a_fed_switch_s_budget_heat_and_traffic() -> None:
    kit = on_a_mast(runs=[run("mast", "hall", 30)])
    pole, root = unit(kit, "pole"), unit(kit, "root")
    assert (pole.budget_w, pole.reserved_w, pole.mains_w) == (20.95, 15.4, 0)  # 25.5 x 0.9 - 2
    assert pole.heat_w == 3.934  # (2 + 15.4) / 0.9 - 15.4 = 3.9333
    assert (pole.traffic_mbps, root.traffic_mbps) == (5, 5)
    assert root.reserved_w == 30


def test_what_is_drawn_above_follows_what_is_drawn_below() -> None:
    # the camera draws 5 W, the switch (2 + 5) / 0.9 = 7.78 W, over no length
    kit = on_a_mast(runs=[run("mast", "hall", 0)])
    assert (unit(kit, "pole").draw_w, unit(kit, "root").draw_w) == (5, 7.778)


def test_a_fed_switch_on_an_injector() -> None:
    where = scenario(device("cam", 5, "mast"), places=MAST, runs=[run("mast", "hall", 10)])
    kit = solved(where, catalog(DATA, POLE, injectors=[INJECTOR]))
    feed = unit(kit, "pole").fed_by
    assert feed is not None
    assert feed.injector is not None
    assert (feed.unit, feed.injector.unit) == (unit(kit, "data").unit, unit(kit, "inj").unit)
    assert unit(kit, "inj").reserved_w == 30


def test_a_cascade_counts_traffic_and_watts_on_every_switch() -> None:
    places = [*MAST, {"place": "top", "mains": False}]
    relay = fed("relay", 30, 6, ports(2, 30), own_w=1, efficiency=1)
    leaf = fed("leaf", 20, 4, ports(2, 15.4), own_w=1, efficiency=1)
    where = scenario(
        device("cam", 5, "top", mbps=7, run_m=0),
        device("eye", 5, "mast", mbps=2, run_m=0),
        places=places,
        rules={"max_cascade": 2, "budget_basis": "stated"},
        runs=[run("mast", "hall", 0), run("top", "mast", 0)],
    )
    kit = solved(where, catalog(switch("root", 90, 120, ports(1, 60)), relay, leaf))
    by_place = {item.place: item for item in kit.units}
    assert [by_place[place].traffic_mbps for place in ("top", "mast", "hall")] == [7, 9, 9]
    # 5 W and 1 W of the one on top: 6; with 5 W more, and 1 W: 12
    assert [by_place[place].reserved_w for place in ("top", "mast", "hall")] == [5, 11, 12]


def test_owned_units_are_told_as_owned() -> None:
    bought = catalog(switch("s", 50, 60, ports(2, 15.4)))
    kit = solved(scenario(device("cam", 5, count=4), owned=[{"model": "s", "place": "hall", "count": 1}]), bought)
    assert [item.owned for item in kit.units] == [True, False]
    assert kit.cost == 50


def test_an_owned_unit_not_needed_is_no_unit() -> None:
    bought = catalog(switch("s", 50, 60, ports(2, 15.4)))
    kit = solved(scenario(device("cam", 5), owned=[{"model": "s", "place": "hall", "count": 3}]), bought)
    assert len(kit.units) == 1


def test_data_only_devices_have_no_watts_volts_or_class() -> None:
    kit = solved(scenario(device("pc", 0)), catalog(DATA))
    found = connection(kit, "pc")
    assert (found.class_, found.reserved_w, found.pse_w, found.pd_w, found.pd_volts, found.amps) == (None, 0, 0, 0, None, 0)


def test_a_class_stated_for_a_data_only_device_is_no_class() -> None:
    assert connection(solved(scenario(device("pc", 0, class_=3)), catalog(DATA)), "pc").class_ is None


def test_a_feed_is_told_as_solved_at_what_the_switch_draws() -> None:
    """5 W over no length and 1 W of its own at 0.9 are 6.667 W at its input; by hand over 30 m from 50 V on two pairs."""
    kit = on_a_mast(runs=[run("mast", "hall", 30)], rules={"budget_basis": "stated", "cable_c": 20})
    pole = next(one for one in kit.units if one.fed_by)
    above = pole.fed_by
    assert above is not None
    assert above.pd_w is not None
    assert above.pd_volts is not None
    assert above.pse_w is not None
    assert above.amps is not None
    ohm = 8.4206 * 0.3 * 2 / (4 if (above.class_ or 0) >= 5 else 2)
    assert above.pd_volts == pytest.approx(above.pse_w / above.amps - above.amps * ohm, abs=0.02)
    assert above.pse_w == pytest.approx(above.pd_w + above.amps**2 * ohm, abs=0.002)
    assert above.reserved_w == above.pse_w
