"""Runs longer than a span: chains of extenders, strong heads, data far away, paths in the open, two-pair cable."""

import pytest
from build import Row, bill, catalog, ports, refused, row, scenario, solved, unit

from equipsel.kit import Kit

DATA = {"model": "data switch", "price": 100, "budget_w": 0, "groups": {"data": ports(8, 0)}}
WEAK = {"model": "weak", "price": 22, "ports": 1, "port_w": 30}
STRONG = {"model": "strong", "price": 88, "ports": 1, "port_w": 90, "pairs": 4, "volts": 55}
REPEATER = {"model": "repeater", "price": 120, "own_w": 3, "in_class": 8, "port_w": 90}
WIRE = {"model": "24 gauge", "price_per_m": "0.5", "awg": 24}
FAR = {"device": "far", "watts": "25.5", "class": 4, "place": "hut", "run_m": 305, "mbps": 8}


def long_run(rules: Row | None = None, device: Row | None = None, injectors: list[Row] | None = None, **more: Row) -> Kit:
    return solved(*site(rules, device, injectors, **more))


def site(rules: Row | None = None, device: Row | None = None, injectors: list[Row] | None = None, **more: Row):
    bought = catalog(switches=[DATA], injectors=[WEAK, STRONG] if injectors is None else injectors, extenders=[REPEATER], cables=[WIRE])
    return scenario(rules, devices=[{**FAR, **(device or {}), **more}]), bought


def test_a_camera_three_hundred_metres_away_takes_three_repeaters_and_a_strong_injector():
    kit = long_run()
    # 100 + 88 + 3 x 120 + 305 m x 0.50
    assert kit.cost == 700.5
    assert bill(kit) == {"data switch": 1, "strong": 1, "repeater": 3, "24 gauge": 305}
    far = row(kit, "far")
    assert [(item.model, item.at_m) for item in far.extenders] == [("repeater", 100), ("repeater", 200), ("repeater", 300)]
    assert (far.unit, far.group, far.injector.unit) == (unit(kit, "data switch").unit, "data", unit(kit, "strong").unit)


def test_a_strong_port_of_a_switch_does_as_well():
    strong = {"model": "strong switch", "price": 150, "budget_w": 90, "volts": 55, "groups": {"high": ports(1, 90), "low": ports(4, 30)}}
    kit = solved(scenario(devices=[FAR]), catalog(switches=[DATA, strong], injectors=[WEAK, STRONG], extenders=[REPEATER], cables=[WIRE]))
    # 150 is less than 100 + 88
    assert bill(kit) == {"strong switch": 1, "repeater": 3, "24 gauge": 305}
    assert (row(kit, "far").group, row(kit, "far").injector) == ("high", None)


@pytest.mark.parametrize(
    ("volts", "watts", "conductor_c", "pse_w", "amps", "pd_volts"),
    [
        (52, "12.95", 20, 24.03, 0.462, 46.87),
        (52, "25.5", 20, 41.40, 0.796, 42.62),
        (55, "25.5", 20, 40.34, 0.733, 46.36),
        # By an independent sweep: 24 AWG at 45 C has 8.42 x (1 + 25 x 0.00393) / 2 = 4.624 ohm a span of 100 m on four pairs,
        # 0.231 ohm in the last 5 m. From the far end: 25.5 / 45.301 = 0.5629 A; 45.301 + 0.130 = 45.431 V at the third repeater,
        # 0.5629 + 3 / 45.431 = 0.6289 A; 48.339 V, 0.6910 A; 51.534 V, 0.7492 A; 51.534 + 3.464 = 54.998 V at the head.
        (55, "25.5", 45, 41.21, 0.749, 45.30),
    ],
)
def test_the_ladder_of_the_long_run(volts, watts, conductor_c, pse_w, amps, pd_volts):
    kit = long_run({"cable_c": conductor_c}, injectors=[{**STRONG, "volts": volts}], watts=watts)
    far = row(kit, "far")
    assert far.pse_w == pytest.approx(pse_w, abs=0.02)
    assert far.amps == pytest.approx(amps, abs=0.001)
    assert far.pd_volts == pytest.approx(pd_volts, abs=0.02)
    # What the port gives is what arrives, what three repeaters of 3 W take, and what the copper loses.
    assert far.pse_w == pytest.approx(float(watts) + 9 + far.loss_w, abs=0.002)


def test_the_head_reserves_for_the_first_repeater():
    # 20 C, 55 V: 40.34 W leave, 0.733 A through 4.21 ohm lose 2.26 W: 38.08 W reach the first repeater, class 5, 45 W.
    kit = long_run({"cable_c": 20})
    assert row(kit, "far").reserved_w == 45
    assert row(kit, "far").class_ == 4
    # By stated draw the port reserves what is drawn.
    stated = row(long_run({"cable_c": 20, "budget_basis": "stated"}), "far")
    assert stated.reserved_w == stated.pse_w


def test_a_weak_injector_alone_cannot():
    told = refused(*site(injectors=[WEAK]))
    assert "far: needs 25.5 W at 305 m to hut" in told
    assert "30 W port" in told
    # At 50 V the line collapses on two pairs; on four the first repeater draws more than the 40 W of class 5.
    assert "does not carry class 6 (60 W)" in told


def test_two_repeaters_at_most_do_not_reach():
    told = refused(*site({"max_extenders": 2}))
    assert "305 m to hut is longer than the 100.0 m a span reaches: it needs 3 extenders, max_extenders is 2" in told


def test_at_a_bare_52_volts_in_the_warmth_it_falls_short():
    # 41.41 V against the 42.5 V of class 4.
    told = refused(*site(injectors=[{**STRONG, "volts": 52}]))
    assert "41.4 V at the far end, 42.5 V needed" in told


def test_no_repeater_draws_more_than_its_class():
    weak = {**REPEATER, "in_class": 4}
    told = refused(scenario(devices=[FAR]), catalog(switches=[DATA], injectors=[STRONG], extenders=[weak], cables=[WIRE]))
    assert "above its class 4" in told


def test_no_repeater_gives_more_than_its_output():
    weak = {**REPEATER, "port_w": 30}
    told = refused(scenario(devices=[FAR]), catalog(switches=[DATA], injectors=[STRONG], extenders=[weak], cables=[WIRE]))
    assert "gives 30 W; below it class 5 (45 W)" in told


@pytest.mark.parametrize(("run_m", "repeaters"), [(100, 0), ("100.5", 1), (200, 1), (201, 2), (305, 3)])
def test_no_more_repeaters_than_the_spans_need(run_m, repeaters):
    kit = long_run(run_m=run_m, watts="12.95", **{"class": 3})
    assert bill(kit).get("repeater", 0) == repeaters


def test_slack_may_call_for_one_more():
    # 98 m with 2 % slack and 1 m more are 100.96 m.
    kit = long_run({"run_slack_pct": 2, "run_extra_m": 1}, run_m=98)
    assert (bill(kit)["repeater"], row(kit, "far").run_m, bill(kit)["24 gauge"]) == (1, 100.96, 100.96)


def test_data_far_away_is_powered_by_the_head_all_the_same():
    # 250 m: two repeaters of 3 W. A little over 6 W reach the first: class 2, which reserves 7 W and any powered port carries.
    kit = long_run(run_m=250, watts=0, injectors=[WEAK], **{"class": None})
    far = row(kit, "far")
    assert bill(kit) == {"data switch": 1, "weak": 1, "repeater": 2, "24 gauge": 250}
    assert (far.class_, far.pd_w, far.pd_volts) == (None, 0, None)
    assert unit(kit, "weak").reserved_w == 7
    assert 6 < unit(kit, "weak").draw_w < 6.4


def test_data_far_away_needs_a_head_with_power():
    told = refused(*site(injectors=[], run_m=250, watts=0, **{"class": None}))
    assert "far: needs a data port" in told
    assert "0 W port" in told


def test_data_nearby_needs_no_power():
    kit = long_run(run_m=90, watts=0, **{"class": None})
    assert bill(kit) == {"data switch": 1, "24 gauge": 90}
    assert (row(kit, "far").pse_w, row(kit, "far").amps, row(kit, "far").reserved_w) == (0, 0, 0)


SHORT = {**REPEATER, "model": "short", "price": 60, "in_class": 4, "port_w": 30}
LONG = {**REPEATER, "model": "long", "price": 150, "span_m": 200, "port_w": 60}


def mixed(rules: Row, **device: object) -> Kit:
    bought = catalog(switches=[DATA], injectors=[STRONG], extenders=[SHORT, LONG], cables=[WIRE])
    return solved(scenario(rules, devices=[{**FAR, **device}]), bought)


def test_two_cheap_repeaters_beat_a_long_one():
    # 250 m: two short ones (120) reach 300 m, one long one (150) too.
    assert bill(mixed({}, run_m=250, watts=10))["short"] == 2


def test_a_piece_cost_turns_it():
    # Each piece 40 more: 2 x 100 against 190.
    assert bill(mixed({"piece_cost": 40}, run_m=250, watts=10))["long"] == 1


def test_models_are_mixed_and_stand_where_their_spans_say():
    # 350 m with two repeaters: one long one is enough (100 + 200 + 100 m). 20 W at the end: about 23.5 W enter the last, class 4;
    # about 28 W enter the first, class 5, which the short one (class 4) may not draw: the long one comes first.
    kit = mixed({"max_extenders": 2}, run_m=350, watts=20)
    assert [(item.model, item.at_m) for item in row(kit, "far").extenders] == [("long", 100), ("short", 300)]


INDOOR = {**REPEATER, "model": "indoor", "price": 50, "ip": "IP20", "low_c": 0, "high_c": 45}
OUTDOOR = {**REPEATER, "model": "outdoor", "price": 140, "ip": "IP66", "low_c": -30, "high_c": 60}


@pytest.mark.parametrize(
    ("path", "chosen"),
    [
        ({}, "indoor"),
        ({"path_ip": "IP20", "path_low_c": 0, "path_high_c": 45}, "indoor"),
        ({"path_ip": "IP54"}, "outdoor"),
        ({"path_ip": "IP21"}, "outdoor"),
        ({"path_low_c": -1}, "outdoor"),
        ({"path_high_c": 50}, "outdoor"),
    ],
)
def test_repeaters_bear_the_path(path, chosen):
    bought = catalog(switches=[DATA], injectors=[STRONG], extenders=[INDOOR, OUTDOOR], cables=[WIRE])
    kit = solved(scenario(devices=[{**FAR, "run_m": 150, **path}]), bought)
    assert bill(kit)[chosen] == 1


def test_a_path_nothing_bears():
    bought = catalog(switches=[DATA], injectors=[STRONG], extenders=[INDOOR, OUTDOOR], cables=[WIRE])
    told = refused(scenario(devices=[{**FAR, "run_m": 150, "path_low_c": -40}]), bought)
    assert "no extender of the catalog suits its path" in told


def test_the_path_is_the_place_s_where_nothing_is_said():
    outside = {**DATA, "ip": "IP66"}, {**STRONG, "ip": "IP66"}
    bought = catalog(switches=[outside[0]], injectors=[outside[1]], extenders=[INDOOR, OUTDOOR], cables=[WIRE])
    kit = solved(scenario(places=[{"place": "hut", "ip": "IP55"}], devices=[{**FAR, "run_m": 150}]), bought)
    assert bill(kit)["outdoor"] == 1


THIN = {"model": "two pairs", "price_per_m": "0.2", "awg": 24, "pairs": 2, "mbps": 100}
FOUR_PAIR_PORT = {"model": "switch", "price": 90, "budget_w": 200, "groups": {"power": ports(4, 90, pairs=4)}}


def test_a_two_pair_cable_carries_power_on_two_pairs():
    # 52 V, 90 m of 24 AWG at 45 C: 8.42 x 0.9 x 1.09825 = 8.3226 ohm. (52 - sqrt(52^2 - 4 x 8.3226 x 12.95)) / (2 x 8.3226) = 0.2598 A;
    # 52 - 0.2598 x 8.3226 = 49.838 V. (On four pairs 50.94 V.)
    kit = solved(scenario(devices=[{**FAR, "run_m": 90, "watts": "12.95", "class": 3}]), catalog(switches=[FOUR_PAIR_PORT], cables=[THIN]))
    assert row(kit, "far").pd_volts == pytest.approx(49.838, abs=0.002)
    assert row(kit, "far").amps == pytest.approx(0.2598, abs=0.0005)


def test_class_5_and_up_need_four_pairs():
    device = {**FAR, "run_m": 20, "watts": 40, "class": 5}
    assert "two pairs has 2" in refused(scenario(devices=[device]), catalog(switches=[FOUR_PAIR_PORT], cables=[THIN]))


def test_a_long_run_on_two_pairs():
    # Without four pairs 25.5 W collapse; 5 W (class 2) pass three repeaters on 30 W.
    bought = catalog(switches=[DATA], injectors=[WEAK, STRONG], extenders=[REPEATER], cables=[THIN])
    assert bill(solved(scenario(devices=[{**FAR, "watts": 5, "class": 2}]), bought))["weak"] == 1
    assert "far: needs 25.5 W" in refused(scenario(devices=[FAR]), bought)


def test_a_two_pair_cable_is_too_slow_for_a_fast_link():
    device = {**FAR, "run_m": 20, "port_mbps": 1000}
    assert "100" in refused(scenario(devices=[device]), catalog(switches=[FOUR_PAIR_PORT], cables=[THIN]))
