"""Masts without mains: switches fed through a port, over an old cable or new ones, in a row, behind injectors and repeaters."""

import pytest
from build import Row, bill, catalog, places, ports, refused, row, scenario, solved, unit, units

ROOM = {"model": "room switch", "price": 300, "budget_w": 300, "groups": {"high": ports(4, 90), "low": ports(4, 30)}}
POLE = {"model": "pole", "price": 200, "feed": "port", "in_class": 8, "own_w": 3, "groups": {"out": ports(4, 30)}}
REPEATER = {"model": "repeater", "price": 120, "own_w": 3, "in_class": 8, "port_w": 90}
WIRE = {"model": "23 gauge", "price_per_m": 1, "awg": 23}
MAST = {"place": "mast", "mains": False}
OLD_CABLE = {"from": "mast", "to": "room", "run_m": 80, "existing": 1}
CAMERAS = {"device": "cam", "count": 4, "watts": "12.95", "class": 3, "place": "mast", "run_m": 5, "mbps": 6}


def mast(rules: Row | None = None, runs: list[Row] | None = None, pole: Row | None = None, **cameras: object):
    """Cameras on a mast; by default an old cable of 80 m to a room, and poles that hand out 60 W at most."""
    bought = catalog(switches=[ROOM, {**POLE, "budget_w": 60, **(pole or {})}], cables=[WIRE], extenders=[REPEATER])
    found = [OLD_CABLE] if runs is None else runs
    return scenario(rules, places=[{"place": "room"}, MAST], devices=[{**CAMERAS, **cameras}], runs=found), bought


def test_by_stated_draw_one_fed_switch_on_the_old_cable():
    kit = solved(*mast({"budget_basis": "stated"}))
    # 300 + 200 + 4 x 5 m. The cameras draw 4 x 12.978 = 51.9 W, less than 60.
    assert (kit.cost, bill(kit)) == (520, {"room switch": 1, "pole": 1, "23 gauge": 20})
    pole, room = unit(kit, "pole"), unit(kit, "room switch")
    assert (pole.fed_by.run_m, pole.fed_by.group) == (80, "high")
    # Class 7 leaves 62 x 0.9 - 3 = 52.8 W, class 8 (61.17 W) its own limit of 60 W: either does. Volts on the mast at the most it may
    # draw, 62 W or (3 + 60) / 0.9 = 70 W, over 6.68 x 0.8 x 1.09825 / 2 = 2.9345 ohm from 52 V: 48.27 or 47.693 V. A camera 5 m away
    # (0.3668 ohm) takes 12.978 W of that.
    at_pole = _far_volts(52, 2.9345, {7: 62, 8: 70}[pole.fed_by.class_])
    assert row(kit, "cam.1").pd_volts == pytest.approx(_far_volts(at_pole, 0.3668, 12.95), abs=0.003)
    assert pole.reserved_w == pytest.approx(51.91, abs=0.005)
    # (3 + 51.91) / 0.9 = 61.01 W at its input; 1.2634 A from 52 V: 65.70 W.
    assert room.reserved_w == pytest.approx(65.695, abs=0.01)
    assert (pole.traffic_mbps, room.traffic_mbps) == (24, 24)


def _far_volts(head_v: float, ohm: float, load_w: float) -> float:
    """Volts at the end of one span: the upper root of V = head - ohm x load / V."""
    return (head_v + (head_v**2 - 4 * ohm * load_w) ** 0.5) / 2


def test_by_class_two_fed_switches_and_one_new_cable():
    kit = solved(*mast())
    # 4 x 15.4 = 61.6 W is above 60. 300 + 2 x 200 + 4 x 5 m + 80 m.
    assert (kit.cost, bill(kit)) == (800, {"room switch": 1, "pole": 2, "23 gauge": 100})
    assert sorted(len([item for item in kit.connections if item.unit == pole.unit]) for pole in units(kit, "pole")) == [1, 3]
    # Three cameras: 46.2 W fit in class 7 (62 x 0.9 - 3 = 52.8 W) or 8; one: 15.4 W fit in class 4 (19.95 W), on a weak port.
    assert unit(kit, "room switch").reserved_w == sum(_pse(pole.fed_by.class_) for pole in units(kit, "pole"))


def _pse(number: int) -> float:
    return {3: 15.4, 4: 30, 5: 45, 6: 60, 7: 75, 8: 90}[number]


def test_a_larger_own_limit_needs_only_one_by_class():
    # 71.3 W x 0.95 - 3 W = 64.7 W, enough for 61.6 W.
    kit = solved(*mast(pole={"budget_w": 70, "efficiency": "0.95"}))
    assert bill(kit)["pole"] == 1
    assert unit(kit, "pole").budget_w == 64.735
    assert unit(kit, "room switch").reserved_w == 90


def test_a_second_old_cable_is_free_too():
    assert solved(*mast(runs=[{**OLD_CABLE, "existing": 2}])).cost == 720


def test_without_cascade_it_says_why_nothing_else_works():
    told = refused(*mast({"max_cascade": 0}))
    assert "max_cascade" in told
    assert "mains" in told


def test_without_cascade_there_is_no_kit():
    assert "cam: needs 12.95 W at 5 m to mast" in refused(*mast({"max_cascade": 0}))


def test_without_cascade_a_run_to_the_room_too_long_is_told():
    runs = [OLD_CABLE, {"from": "cam", "to": "room", "run_m": 130}]
    told = refused(*mast({"max_cascade": 0, "max_extenders": 0}, runs=runs))
    assert "130 m to room is longer than the 100.0 m a span reaches: it needs 1 extenders, max_extenders is 0" in told


def test_a_feed_run_too_long_is_told():
    told = refused(*mast({"max_extenders": 0}, runs=[{**OLD_CABLE, "run_m": 130}]))
    assert "130 m" in told


@pytest.mark.parametrize(("count", "there", "cost"), [(1, "room", 385), (2, "room", 470), (3, "mast", 515), (4, "mast", 520)])
def test_straight_to_the_room_where_that_is_cheaper(count, there, cost):
    # 85 m of cable each, or 200 for a pole and 5 m each: 85, 170, 255, 340 against 205, 210, 215, 220; and 300 for the room switch.
    runs = [OLD_CABLE, {"from": "cam", "to": "room", "run_m": 85}]
    kit = solved(*mast({"budget_basis": "stated"}, runs=runs, count=count))
    assert (places(kit), kit.cost) == ([there] * count, cost)


def test_a_mast_may_be_split_between_a_pole_and_the_room():
    # By class a pole carries three; the fourth straight to the room costs 85, less than a second pole and its cable (280 + 5).
    runs = [OLD_CABLE, {"from": "cam", "to": "room", "run_m": 85}]
    kit = solved(*mast(runs=runs))
    assert (sorted(places(kit)), kit.cost) == (["mast"] * 3 + ["room"], 300 + 200 + 15 + 85)


def test_several_poles_each_on_a_run_of_its_own():
    # Ten readers of class 2 (7 W): 4, 4 and 2 a pole; one old cable, two new ones: 300 + 3 x 200 + 2 x 80 + 10 x 5.
    kit = solved(*mast(count=10, watts="6.49", **{"class": 2}))
    assert (kit.cost, bill(kit)["pole"], bill(kit)["23 gauge"]) == (1110, 3, 210)
    assert len({(pole.fed_by.unit, pole.fed_by.group, pole.fed_by.port) for pole in units(kit, "pole")}) == 3


def test_feed_ports_run_out():
    # Twelve readers need three poles; a room switch with two strong ports (class 5 needs 45 W) feeds two: a second room switch.
    small = {**ROOM, "groups": {"high": ports(2, 90)}}
    bought = catalog(switches=[small, POLE], cables=[WIRE])
    readers = {**CAMERAS, "count": 12, "watts": "6.49", "class": 2}
    kit = solved(scenario(places=[{"place": "room"}, MAST], devices=[readers], runs=[OLD_CABLE]), bought)
    assert (bill(kit)["pole"], bill(kit)["room switch"]) == (3, 2)


TWO_MASTS = [{"place": "room"}, {"place": "gate", "mains": False}, MAST]
IN_A_ROW = [{"from": "gate", "to": "room", "run_m": 60, "existing": 1}, {"from": "mast", "to": "gate", "run_m": 50}]
GATE_CAMERA = {"device": "gate cam", "watts": "12.95", "class": 3, "place": "gate", "run_m": 4, "mbps": 6}
READERS = {"device": "reader", "count": 2, "watts": "6.49", "class": 2, "place": "mast", "run_m": 6, "mbps": 1}
STRONG_POLE = {**POLE, "groups": {"feed": ports(1, 60), "out": ports(3, 30)}}


def in_a_row(rules: Row, runs: list[Row] | None = None, pole: Row | None = None):
    bought = catalog(switches=[ROOM, {**STRONG_POLE, **(pole or {})}], cables=[WIRE], extenders=[REPEATER])
    return scenario(rules, places=TWO_MASTS, devices=[GATE_CAMERA, READERS], runs=runs or IN_A_ROW), bought


def test_two_in_a_row_by_class():
    kit = solved(*in_a_row({"max_cascade": 2}))
    # 300 + 2 x 200 + 4 m + 2 x 6 m + 50 m of new cable (60 m are there).
    assert kit.cost == 766
    gate, far, room = (next(item for item in kit.units if item.place == name) for name in ("gate", "mast", "room"))
    # Mast: 2 x 7 W; class 3 leaves 12.95 x 0.9 - 3 = 8.655 W, class 4 19.95 W. It takes 30 W at the gate.
    assert (far.fed_by.class_, far.reserved_w, far.budget_w, far.fed_by.unit) == (4, 14, 19.95, gate.unit)
    # Gate: 15.4 + 30 = 45.4 W; class 6 leaves 42.9 W, class 7 52.8 W, class 8 61.17 W: one of these, 75 or 90 W in the room.
    assert (gate.reserved_w, gate.fed_by.unit) == (45.4, room.unit)
    assert (gate.fed_by.class_, gate.budget_w, room.reserved_w) in ((7, 52.8, 75), (8, 61.17, 90))
    assert (far.traffic_mbps, gate.traffic_mbps, room.traffic_mbps) == (2, 8, 8)


def test_two_in_a_row_by_stated_draw():
    kit = solved(*in_a_row({"max_cascade": 2, "budget_basis": "stated"}))
    gate, far, room = (next(item for item in kit.units if item.place == name) for name in ("gate", "mast", "room"))
    # Mast: a little above 2 x 6.49 W; at its input (3 + 13) / 0.9 = 17.8 W: class 4. Gate: 18 + 13 = 31 W; class 5 leaves 33 W.
    assert far.fed_by.class_ == 4
    assert gate.fed_by.class_ >= 5
    assert 12.98 < far.reserved_w < 13.05
    assert gate.reserved_w > (3 + far.reserved_w) / 0.9 + 12.95
    assert room.reserved_w > (3 + gate.reserved_w) / 0.9
    assert room.reserved_w < 40


def test_one_in_a_row_is_not_enough():
    assert "reader" in refused(*in_a_row({"max_cascade": 1}))


def test_the_far_mast_straight_from_the_room_where_that_is_cheaper():
    # 50 m of new cable to the gate; or an old cable of 90 m to the room. One step then is enough.
    runs = [*IN_A_ROW, {"from": "mast", "to": "room", "run_m": 90, "existing": 1}]
    for steps in (1, 2):
        kit = solved(*in_a_row({"max_cascade": steps}, runs=runs))
        assert kit.cost == 716
        assert all(pole.fed_by.unit == unit(kit, "room switch").unit for pole in units(kit, "pole"))


def test_uplinks_are_counted_through_the_cascade():
    # Two readers of 40 Mb/s: 80 are above 70 % of an uplink of 100. So two poles on the mast; and two at the gate, since one gate pole
    # may not pass both either: 300 + 4 x 200 + 4 + 2 x 6 m, 60 m for the second gate pole, 2 x 50 m for those on the mast.
    slow = {**STRONG_POLE, "uplink_mbps": 100}
    site = scenario({"max_cascade": 2}, places=TWO_MASTS, devices=[GATE_CAMERA, {**READERS, "mbps": 40}], runs=IN_A_ROW)
    kit = solved(site, catalog(switches=[ROOM, slow], cables=[WIRE]))
    assert (kit.cost, [unit.traffic_mbps <= 70 for unit in units(kit, "pole")]) == (1276, [True] * 4)
    assert unit(kit, "room switch").traffic_mbps == 86
    # Two poles of 260 with uplinks of 1000 Mb/s: 300 + 2 x 260 + 16 + 50. (One of them, two slow ones on the mast: 1076.)
    fast = {**STRONG_POLE, "model": "fast pole", "price": 260, "groups": {"feed": ports(2, 60), "out": ports(2, 30)}}
    kit = solved(site, catalog(switches=[ROOM, slow, fast], cables=[WIRE]))
    assert (kit.cost, bill(kit)["fast pole"]) == (886, 2)


DATA = {"model": "data switch", "price": 100, "budget_w": 0, "groups": {"data": ports(8, 0)}}
STRONG = {"model": "strong", "price": 88, "ports": 1, "port_w": 90, "pairs": 4, "volts": 55}


def test_a_pole_behind_an_injector():
    # 100 + 88 for a data switch and an injector is less than 300 for the room switch.
    bought = catalog(switches=[ROOM, DATA, POLE], injectors=[STRONG], cables=[WIRE])
    site = scenario(places=[{"place": "room"}, MAST], devices=[{**CAMERAS, "count": 3}], runs=[OLD_CABLE])
    kit = solved(site, bought)
    assert bill(kit) == {"data switch": 1, "strong": 1, "pole": 1, "23 gauge": 15}
    pole = unit(kit, "pole")
    assert (pole.fed_by.unit, pole.fed_by.injector.unit) == (unit(kit, "data switch").unit, unit(kit, "strong").unit)
    # 3 x 15.4 = 46.2 W: class 7, 75 W; or class 8, 90 W.
    assert unit(kit, "strong").reserved_w == _pse(pole.fed_by.class_)
    assert unit(kit, "data switch").traffic_mbps == 18


def test_a_slow_injector_does_not_feed_a_fast_pole():
    bought = catalog(switches=[ROOM, DATA, POLE], injectors=[{**STRONG, "port_mbps": 100}], cables=[WIRE])
    site = scenario(places=[{"place": "room"}, MAST], devices=[{**CAMERAS, "count": 3}], runs=[OLD_CABLE])
    assert "room switch" in bill(solved(site, bought))
    slow = catalog(switches=[ROOM, DATA, {**POLE, "uplink_mbps": 100}], injectors=[{**STRONG, "port_mbps": 100}], cables=[WIRE])
    assert "strong" in bill(solved(site, slow))


@pytest.mark.parametrize("stated", [54, None])
def test_a_pole_behind_a_repeater(stated):
    # 160 m of 23 AWG at 45 C on four pairs: 6.68 x 1.09825 / 2 = 3.6682 ohm and 2.2009 ohm. A pole of class 5 may draw 40 W: its ports
    # have the volts solved at that most, or those it states.
    pole = {"volts": stated, "budget_w": None}
    kit = solved(*mast({"budget_basis": "stated"}, runs=[{**OLD_CABLE, "run_m": 160}], pole={**pole, "in_class": 5}, count=2))
    fed = unit(kit, "pole").fed_by
    assert [(item.model, item.at_m) for item in fed.extenders] == [("repeater", 100)]
    assert fed.run_m == 160
    at_pole = stated or _two_spans(52, 3.6682, 2.2009, 3, 40)
    assert row(kit, "cam.1").pd_volts == pytest.approx(_far_volts(at_pole, 0.3668, 12.95), abs=0.005)


def _two_spans(head_v: float, first_ohm: float, second_ohm: float, tap_w: float, load_w: float) -> float:
    """Volts at the end of two spans with a tap between them: the end is lowered until the head has its volts (by bisection)."""
    low, high = head_v / 2, head_v
    while high - low > 1e-9:
        end = (low + high) / 2
        amps = load_w / end
        tap = end + amps * second_ohm
        if tap + (amps + tap_w / tap) * first_ohm < head_v:
            low = end
        else:
            high = end
    return low


@pytest.mark.parametrize("basis", ["stated", "class", "granted"])
def test_the_pairs_of_a_feed_are_settled_at_the_most_it_may_draw(basis):
    # Two readers hand out 13.0 W by draw, 14 W by class: a pole of class 4 or more. At the most that class allows (25.5 W and up) a
    # repeater of 3 W sees more than 25.5 W: the head is of class 5 or more, four pairs. At 17.8 W, what it draws, it would be of class 4.
    # Class 4: (3 + 12.99) / 0.9 = 17.77 W, 2.2009 ohm, 3 W, 3.6682 ohm from 52 V: about 21.69 W on four pairs (22.81 W on two).
    kit = solved(*mast({"budget_basis": basis}, runs=[{**OLD_CABLE, "run_m": 160}], count=2, watts="6.49", **{"class": 2}))
    assert unit(kit, "room switch").draw_w == pytest.approx(21.69, abs=0.02)


def test_what_a_pole_behind_a_repeater_reserves_by_class():
    # Two cameras by class: 30.8 W, class 5 (33 W): 40 W at its input, 3 W and the loss of two spans before: above 40 W, class 6.
    kit = solved(*mast(runs=[{**OLD_CABLE, "run_m": 160}], pole={"budget_w": None}, count=2))
    assert unit(kit, "pole").fed_by.class_ == 5
    assert unit(kit, "room switch").reserved_w == 60


def test_a_mast_with_mains_may_take_either():
    # The room has a switch in any case: a plain switch on the mast against a pole of 200 on the old cable.
    light = {"device": "light", "class": 6, "place": "room", "run_m": 10}
    for price, chosen in ((199, "plain"), (201, "pole")):
        plain = {"model": "plain", "price": price, "budget_w": 100, "groups": {"all": ports(4, 30)}}
        bought = catalog(switches=[ROOM, plain, POLE], cables=[WIRE])
        site = scenario(places=[{"place": "room"}, {"place": "mast"}], devices=[{**CAMERAS, "count": 3}, light], runs=[OLD_CABLE])
        assert chosen in bill(solved(site, bought))


def test_what_stands_outside_bears_the_weather():
    indoor = {**POLE, "model": "indoor pole", "price": 80}
    outdoor = {**POLE, "ip": "IP66", "low_c": -40, "high_c": 60}
    bought = catalog(switches=[ROOM, indoor, outdoor], cables=[WIRE])
    cold = {**MAST, "ip": "IP65", "low_c": -25, "high_c": 50}
    site = scenario(places=[{"place": "room"}, cold], devices=[{**CAMERAS, "count": 3}], runs=[OLD_CABLE])
    assert bill(solved(site, bought))["pole"] == 1
    mild = scenario(places=[{"place": "room"}, MAST], devices=[{**CAMERAS, "count": 3}], runs=[OLD_CABLE])
    assert bill(solved(mild, bought))["indoor pole"] == 1
