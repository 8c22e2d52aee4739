"""Supplies that may fail, equipment already there, energy over the years, and what holds over a whole place or kit."""

import pytest
from build import Row, bill, catalog, ports, refused, row, scenario, solved, unit, units

CHASSIS = {
    "model": "chassis", "price": 200, "feed": "supply", "supply_fit": "bay", "supply_slots": 3, "own_w": 20,
    "groups": {"power": ports(16, 30)},
}  # fmt: skip
BAY_100 = {"model": "bay 100", "price": 40, "fit": "bay", "watts": 100}
BAY_250 = {"model": "bay 250", "price": 90, "fit": "bay", "watts": 250}
LAMPS = {"device": "lamp", "watts": "25.5", "class": 4, "place": "room", "run_m": 10}


def powered(lamps: int, rules: Row | None = None, chassis: Row | None = None, owned: list[Row] | None = None, **tables: list[Row]):
    """So many lamps of 30 W by class on a chassis with supplies of 100 and 250 W."""
    bought = catalog(switches=[{**CHASSIS, **(chassis or {})}], supplies=tables.pop("supplies", [BAY_100, BAY_250]))
    return solved(scenario(rules, devices=[{**LAMPS, "count": lamps}], owned=owned or [], **tables), bought)


@pytest.mark.parametrize(
    ("lamps", "supplies", "budget_w"),
    [
        (2, ("bay 100",), 80),  # 60 W
        (3, ("bay 100", "bay 100"), 180),  # 90 W: two for 80 against one of 90
        (6, ("bay 100", "bay 100"), 180),  # 180 W exactly
        (7, ("bay 250",), 230),  # 210 W: 90 against 120 for three
        (8, ("bay 100", "bay 100", "bay 100"), 280),  # 240 W: 120 against 130
        (10, ("bay 100", "bay 250"), 330),  # 300 W: mixed, 130
        (12, ("bay 100", "bay 100", "bay 250"), 430),  # 360 W: 170 against 180 for two large ones (480 W)
        (15, ("bay 250", "bay 250"), 480),  # 450 W
    ],
)
def test_supplies_are_mixed_as_is_cheapest(lamps, supplies, budget_w):
    chassis = unit(powered(lamps), "chassis")
    assert (tuple(sorted(chassis.supplies)), chassis.budget_w) == (supplies, budget_w)


@pytest.mark.parametrize(
    ("lamps", "supplies", "budget_w"),
    [
        (2, ("bay 100", "bay 100"), 80),  # 60 W: one of two counts
        (3, ("bay 100", "bay 100", "bay 100"), 180),  # 90 W: two of three count: 120, less than 130 or 180
        (6, ("bay 100", "bay 100", "bay 100"), 180),
        (7, ("bay 250", "bay 250"), 230),  # 210 W
        (8, ("bay 100", "bay 250", "bay 250"), 330),  # 240 W: the largest is not counted, 350 - 20
        (15, ("bay 250", "bay 250", "bay 250"), 480),
    ],
)
def test_with_one_to_spare_the_largest_is_not_counted(lamps, supplies, budget_w):
    chassis = unit(powered(lamps, {"redundant_supplies": True}), "chassis")
    assert (tuple(sorted(chassis.supplies)), chassis.budget_w) == (supplies, budget_w)


def test_one_slot_cannot_have_one_to_spare():
    bought = catalog(switches=[{**CHASSIS, "supply_slots": 1}], supplies=[BAY_250])
    assert "lamp" in refused(scenario({"redundant_supplies": True}, devices=[LAMPS]), bought)


def test_spare_watts_call_for_a_larger_supply():
    # 60 W of 80 are 75 %: with 25 % spare 60 W are just allowed, with 26 % 59.2 W are.
    assert unit(powered(2, {"spare_watts_pct": 25}), "chassis").supplies == ("bay 100",)
    assert unit(powered(2, {"spare_watts_pct": 26}), "chassis").supplies == ("bay 100", "bay 100")


def test_the_lowest_efficiency_of_the_supplies_counts():
    mixed = [{**BAY_100, "efficiency": "0.8"}, {**BAY_250, "efficiency": "0.95"}]
    chassis = unit(powered(10, supplies=mixed), "chassis")
    # (20 + 300) / 0.8; heat is that less the 300 W handed out.
    assert (chassis.supplies, chassis.mains_w, chassis.heat_w) == (("bay 100", "bay 250"), 400, 100)


def test_outlets_and_rack_count_supplies():
    # Eight lamps need 260 W with the chassis: three supplies (120), but with one outlet only one of 400 W at 300 will do.
    large = {"model": "bay 400", "price": 300, "fit": "bay", "watts": 400, "rack_u": 1}
    rooms = [{"place": "room", "outlets": 1}]
    assert unit(powered(8, supplies=[BAY_100, BAY_250, large], places=rooms), "chassis").supplies == ("bay 400",)
    # Three units of rack: the chassis takes two, the large supply one.
    tall = {"rack_u": 2}
    rooms = [{"place": "room", "outlets": 1, "rack_u": 3}]
    assert unit(powered(8, chassis=tall, supplies=[BAY_100, BAY_250, large], places=rooms), "chassis").supplies == ("bay 400",)


def test_a_switch_already_there_without_supplies_takes_a_bought_one():
    kit = powered(2, owned=[{"model": "chassis", "place": "room", "count": 1}])
    assert (kit.cost, unit(kit, "chassis").owned, unit(kit, "chassis").supplies) == (40, True, ("bay 100",))
    assert {(line.model, line.unit_cost) for line in kit.lines if line.kind != "cable"} == {("chassis", 0), ("bay 100", 40)}


def test_a_supply_already_there_serves_a_bought_switch():
    # The large one is free, the small one costs 40.
    kit = powered(2, owned=[{"model": "bay 250", "place": "room", "count": 1}])
    assert (kit.cost, unit(kit, "chassis").owned, unit(kit, "chassis").supplies) == (200, False, ("bay 250",))


def test_both_already_there_cost_nothing():
    owned = [{"model": name, "place": "room", "count": 1} for name in ("chassis", "bay 250")]
    kit = powered(7, owned=owned)
    assert kit.cost == 0
    # One lamp more: 260 W with the chassis, one small supply beside the owned one.
    assert powered(8, owned=owned).cost == 40


def test_a_supply_in_another_room_does_not_serve():
    rooms = [{"place": "room"}, {"place": "store"}]
    kit = powered(2, owned=[{"model": "bay 250", "place": "store", "count": 1}], places=rooms)
    assert (kit.cost, unit(kit, "chassis").supplies) == (240, ("bay 100",))


def test_what_is_there_is_left_unused_where_it_does_not_pay():
    # Opening the store costs more than a chassis bought for the room; and the old one takes no rack there.
    rooms = [{"place": "room"}, {"place": "store", "open_cost": 500, "rack_u": 0}]
    runs = [{"from": "lamp", "to": "store", "run_m": 5}]
    owned = [{"model": "chassis", "place": "store", "count": 2}]
    kit = powered(2, owned=owned, places=rooms, runs=runs)
    assert (kit.cost, [(item.place, item.owned) for item in kit.units]) == (240, [("room", False)])


def test_what_is_there_is_used_before_more_is_bought():
    # Twenty lamps: 600 W on 16 ports a chassis: two, one of them there.
    kit = powered(20, owned=[{"model": "chassis", "place": "room", "count": 1}])
    assert sorted(item.owned for item in units(kit, "chassis")) == [False, True]


PLAIN = {"model": "plain", "price": 100, "budget_w": 130, "own_w": 10, "efficiency": "0.8", "groups": {"power": ports(4, 30)}}
FRUGAL = {"model": "frugal", "price": 160, "budget_w": 130, "own_w": 5, "efficiency": "0.95", "groups": {"power": ports(4, 30)}}


@pytest.mark.parametrize(("years", "chosen"), [(0, "plain"), ("0.9", "plain"), ("1.0", "frugal"), (5, "frugal")])
def test_energy_over_the_years_pays_for_a_frugal_switch(years, chosen):
    # Two lamps, 60 W by class. Heat: (10 + 60) / 0.8 - 60 = 27.5 W against (5 + 60) / 0.95 - 60 = 8.42105 W: 19.07895 W less,
    # 167.1316 kWh a year, at 0.38 a kWh 63.51 a year. The 60 more are paid back in 0.9447 years.
    bought = catalog(switches=[PLAIN, FRUGAL])
    kit = solved(scenario({"energy_price_kwh": "0.38", "years": years}, devices=[{**LAMPS, "count": 2}]), bought)
    assert chosen in bill(kit)


@pytest.mark.parametrize(("years", "chosen"), [("0.9446", "plain"), ("0.9448", "frugal")])
def test_the_year_it_pays(years, chosen):
    # 60 / (167.13158 x 0.38) = 0.94473 years. At 0.9446 the energy saved is worth 59.99, at 0.9448 60.004, 60.00 in whole cents
    # or 60.01, as the two lines are rounded.
    bought = catalog(switches=[PLAIN, FRUGAL])
    kit = solved(scenario({"energy_price_kwh": "0.38", "years": years}, devices=[{**LAMPS, "count": 2}]), bought)
    assert chosen in bill(kit)


def test_what_energy_costs():
    # 27.5 W x 8760 h x 2 years = 481.8 kWh x 0.38 = 183.084.
    bought = catalog(switches=[PLAIN])
    kit = solved(scenario({"energy_price_kwh": "0.38", "years": 2}, devices=[{**LAMPS, "count": 2}]), bought)
    (line,) = (line for line in kit.lines if line.kind == "energy")
    assert (line.count, line.unit_cost, line.cost, kit.cost) == (481.8, 0.38, 183.08, 283.08)


def test_energy_chooses_between_supplies():
    # One lamp, 30 W and 20 W own. Cheap: 50 / 0.8 - 30 = 32.5 W of heat; good, 30 dearer: 50 / 0.95 - 30 = 22.632 W. 9.868 W less are
    # 86.447 kWh a year, 34.58 at 0.40: the good one from the first year on.
    both = [{**BAY_100, "efficiency": "0.8"}, {**BAY_100, "model": "good 100", "price": 70, "efficiency": "0.95"}]
    for years, chosen in (("0.8", "bay 100"), ("0.9", "good 100")):
        assert unit(powered(1, {"energy_price_kwh": "0.40", "years": years}, supplies=both), "chassis").supplies == (chosen,)


CRITICAL = {**LAMPS, "priority": "critical"}
FOUR = {"model": "four", "price": 100, "budget_w": 120, "groups": {"power": ports(4, 30)}}


SPREAD = [(100, 4, 1), (50, 4, 2), (49, 4, 4), (34, 3, 3), (25, 1, 1), (67, 3, 2), (66, 3, 3)]


@pytest.mark.parametrize(("pct", "critical", "switches"), SPREAD)
def test_critical_devices_are_spread(pct, critical, switches):
    # At most the larger of one and the share rounded down of the critical devices on any one unit: 50 % of 4 are 2, 49 % are 1;
    # 67 % of 3 are 2, 66 % are 1.
    kit = solved(scenario({"max_critical_share_pct": pct}, devices=[{**CRITICAL, "count": critical}]), catalog(switches=[FOUR]))
    assert bill(kit)["four"] == switches


def test_only_critical_devices_are_spread():
    site = scenario({"max_critical_share_pct": 50}, devices=[{**CRITICAL, "count": 2}, {**LAMPS, "device": "other", "count": 2}])
    kit = solved(site, catalog(switches=[{**FOUR, "groups": {"power": ports(3, 30)}}]))
    assert bill(kit)["four"] == 2
    assert row(kit, "lamp.1").unit != row(kit, "lamp.2").unit


def test_an_injector_counts_as_a_unit_of_its_own_and_so_does_the_switch_behind_it():
    # Both lamps' data would pass one data switch: both are on it. So two data switches, or two with power.
    data = {"model": "data switch", "price": 20, "budget_w": 0, "groups": {"data": ports(8, 0)}}
    single = {"model": "single", "price": 30, "ports": 1, "port_w": 30}
    site = scenario({"max_critical_share_pct": 50}, devices=[{**CRITICAL, "count": 2}])
    assert bill(solved(site, catalog(switches=[data], injectors=[single]))) == {"data switch": 2, "single": 2, "24 AWG copper": 20}


@pytest.mark.parametrize(("most", "cost"), [(None, 180), (2, 200), (1, 200)])
def test_max_models(most, cost):
    # Five lamps, a scanner of 51 W. Free: four (100) and one strong (60) and a single injector (20) for the odd lamp; with two
    # models at most: the same less the injector, a second strong one (two strong: 100 + 60 + 60 is dearer than 200 for `all`).
    strong = {"model": "strong", "price": 60, "budget_w": 60, "groups": {"power": ports(1, 60), "data": ports(1, 0)}}
    single = {"model": "single", "price": 20, "ports": 1, "port_w": 30}
    every = {"model": "all", "price": 200, "budget_w": 300, "groups": {"power": ports(6, 60)}}
    scanner = {"device": "scanner", "watts": 51, "class": 6, "place": "room", "run_m": 10}
    bought = catalog(switches=[FOUR, strong, every], injectors=[single])
    rules = {} if most is None else {"max_models": most}
    kit = solved(scenario(rules, devices=[{**LAMPS, "count": 5}, scanner]), bought)
    assert kit.cost == cost
    assert len({item.model for item in kit.units}) <= (most or 3)


def test_models_already_there_count_too():
    # A free old switch carries one lamp; the second kind is not allowed beside it: so only the new kind, or two old ones.
    old = {"model": "old", "price": 500, "budget_w": 30, "groups": {"power": ports(1, 30)}}
    site = scenario({"max_models": 1}, devices=[{**LAMPS, "count": 2}], owned=[{"model": "old", "place": "room", "count": 1}])
    kit = solved(site, catalog(switches=[old, FOUR]))
    assert (kit.cost, bill(kit)) == (100, {"four": 1, "24 AWG copper": 20})


@pytest.mark.parametrize(("amps", "fits"), [("0.7247", True), ("0.7246", False)])
def test_a_circuit_limits_a_place(amps, fits):
    # Four lamps: 120 W / 0.9 = 133.333 W; 80 % of 0.7247 A x 230 V are 133.345 W, of 0.7246 A 133.326 W.
    site = scenario(places=[{"place": "room", "circuit_a": amps, "circuit_v": 230}], devices=[{**LAMPS, "count": 4}])
    if fits:
        assert unit(solved(site, catalog(switches=[FOUR])), "four").mains_w == pytest.approx(133.334, abs=0.001)
    else:
        assert "room" in refused(site, catalog(switches=[FOUR]))


SMALL_BATTERY = {"model": "small battery", "price": 100, "watts": 100, "watt_hours": 50}
LARGE_BATTERY = {"model": "large battery", "price": 280, "watts": 300, "watt_hours": 160, "rack_u": 2}


@pytest.mark.parametrize(
    ("minutes", "batteries"),
    [
        # 4 lamps: 133.333 W. Two small ones for the watts. Energy: 133.333 x minutes / 60 x 1.25 against 0.9 x watt-hours:
        # 2 x 50 x 0.9 = 90 Wh last 32.4 min; 160 x 0.9 = 144 Wh 51.84 min; 3 small 135 Wh 48.6 min (300, dearer than 280).
        (30, {"small battery": 2}),
        ("32.4", {"small battery": 2}),
        ("32.5", {"large battery": 1}),
        ("51.8", {"large battery": 1}),
        ("51.9", {"small battery": 1, "large battery": 1}),
    ],
)
def test_batteries_hold_the_place(minutes, batteries):
    site = scenario({"backup_minutes": minutes}, devices=[{**LAMPS, "count": 4, "backup": True}])
    kit = solved(site, catalog(switches=[FOUR], backups=[SMALL_BATTERY, LARGE_BATTERY]))
    assert {line.model: line.count for line in kit.lines if line.kind == "backup"} == batteries


def test_batteries_take_rack_and_only_where_asked():
    # No room for the large one: four small ones for 51.9 min (300 W would do, 144 Wh are needed: 4 x 45 = 180).
    rooms = [{"place": "room", "rack_u": 1}]
    catalog_ = catalog(switches=[FOUR], backups=[SMALL_BATTERY, LARGE_BATTERY])
    site = scenario({"backup_minutes": "51.8"}, places=rooms, devices=[{**LAMPS, "count": 4, "backup": True}])
    assert bill(solved(site, catalog_))["small battery"] == 4
    assert "small battery" not in bill(solved(scenario({"backup_minutes": 30}, devices=[{**LAMPS, "count": 4}]), catalog_))


def test_a_place_that_feeds_what_must_hold_holds_too():
    room = {"model": "room switch", "price": 300, "budget_w": 90, "groups": {"high": ports(1, 90)}}
    pole = {"model": "pole", "price": 200, "feed": "port", "in_class": 6, "own_w": 3, "groups": {"out": ports(4, 30)}}
    places = [{"place": "room"}, {"place": "mast", "mains": False}]
    camera = {**LAMPS, "place": "mast", "backup": True}
    site = scenario({"backup_minutes": 30}, places=places, devices=[camera], runs=[{"from": "mast", "to": "room", "run_m": 40}])
    kit = solved(site, catalog(switches=[room, pole], backups=[SMALL_BATTERY]))
    # 30 W + 3 W over 0.9 = 36.7 W: class 5, 45 W; 50 W of mains for half an hour: 31.25 Wh of 45.
    assert [(line.model, line.place, line.count) for line in kit.lines if line.kind == "backup"] == [("small battery", "room", 1)]


def test_opening_a_place_is_paid_once():
    # Six lamps in two switches: opening once. And an owned switch in the place does not make it free.
    rooms = [{"place": "room", "open_cost": 70}]
    kit = solved(scenario(places=rooms, devices=[{**LAMPS, "count": 6}]), catalog(switches=[FOUR]))
    assert kit.cost == 270
    owned = [{"model": "four", "place": "room", "count": 2}]
    kit = solved(scenario(places=rooms, devices=[{**LAMPS, "count": 6}], owned=owned), catalog(switches=[FOUR]))
    assert kit.cost == 70
