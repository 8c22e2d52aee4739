"""Every line of the bill, with costs worked out by hand."""

from typing import Any

import pytest
from sketch import Row, catalog, device, fed, lines, ports, run, scenario, solved, supplied, switch

SWITCH = switch("s", 50, 60, ports(4, 15.4), install_cost=7)
INJECTOR: Row = {"model": "inj", "price": 20, "ports": 1, "port_w": 30, "install_cost": 1}
EXTENDER: Row = {"model": "ext", "price": 40, "own_w": 1, "in_class": 4, "port_w": 15.4, "install_cost": 2}
CABLE: Row = {"model": "cat", "price_per_m": "0.5", "awg": 24, "install_cost_per_m": "0.25"}


def bill(
    *devices: Row, switches: tuple[Row, ...] = (SWITCH,), rules: Row | None = None, **tables: Any
) -> dict[tuple[str, str], tuple[float, float]]:
    bought = {name: tables.pop(name) for name in ("supplies", "injectors", "extenders", "cables", "backups", "extras") if name in tables}
    return lines(solved(scenario(*devices, rules=rules, **tables), catalog(*switches, **bought)))


def test_units_at_price_and_installation_and_the_cost_of_a_piece() -> None:
    assert bill(device("d", 5, count=5))["switch", "s"] == (2, 114)
    assert bill(device("d", 5, count=5), rules={"piece_cost": "0.5"})["switch", "s"] == (2, 115)


def test_piece_cost_counts_for_injectors_and_extenders_and_not_for_supplies() -> None:
    found = bill(
        device("far", 5, run_m=150),
        switches=(supplied("data", 30, 1, ports(2, 0)),),
        rules={"piece_cost": 10},
        supplies=[{"model": "dc", "price": 15, "fit": "dc", "watts": 20, "install_cost": 3}],
        injectors=[INJECTOR],
        extenders=[EXTENDER],
    )
    assert found["switch", "data"] == (1, 40)
    assert found["supply", "dc"] == (1, 18)
    assert found["injector", "inj"] == (1, 31)
    assert found["extender", "ext"] == (1, 52)


def test_cable_by_the_metre() -> None:
    assert bill(device("a", 5, run_m=60), device("b", 5, run_m="70.5"), cables=[CABLE])["cable", "cat"] == (130.5, 97.88)  # 97.875


def test_cable_by_whole_boxes_over_the_site_and_pulling_by_the_metre() -> None:
    found = bill(device("a", 5, run_m=60), device("b", 5, "loft", run_m=70), cables=[{**CABLE, "sold_m": 100}])
    assert found["cable", "cat"] == (2, 100)
    assert found["cable", "cat (pulling)"] == (130, 32.5)


def test_a_full_box_is_one_box() -> None:
    assert bill(device("a", 5, run_m=50, count=2), cables=[{**CABLE, "sold_m": 100}])["cable", "cat"] == (1, 50)


def test_slack_is_bought_too() -> None:
    rules = {"run_slack_pct": 10, "run_extra_m": 2}
    assert bill(device("a", 5, run_m=40, count=2), cables=[CABLE], rules=rules)["cable", "cat"] == (92, 69)


def test_cables_already_there_cost_nothing() -> None:
    found = bill(device("a", 5, run_m=40, count=2, existing_cable=True), device("b", 5, run_m=10), cables=[CABLE])
    assert found["cable", "cat"] == (10, 7.5)
    assert ("cable", "cat") not in bill(device("a", 5, existing_cable=True), cables=[CABLE])


def test_of_the_cables_of_a_row_only_those_beyond_the_existing_are_new() -> None:
    # the loft has no mains: all three go to the hall, and two cables are there
    places = [{"place": "hall"}, {"place": "loft", "mains": False}]
    rows = [run("d", "hall", 40, existing=2)]
    assert bill(device("d", 5, "loft", count=3), cables=[CABLE], places=places, runs=rows)["cable", "cat"] == (40, 30)


def test_existing_cables_of_a_feed_are_used_first() -> None:
    pole = fed("pole", 30, 4, ports(1, 15.4))
    places = [{"place": "hall"}, {"place": "mast", "mains": False}]
    root = switch("root", 90, 120, ports(4, 30))
    found = bill(
        device("d", 5, "mast", run_m=0, count=3),
        switches=(root, pole),
        cables=[CABLE],
        places=places,
        runs=[run("mast", "hall", 60, existing=2)],
    )
    assert (found["switch", "pole"], found["cable", "cat"]) == ((3, 90), (60, 45))


@pytest.mark.parametrize(("price", "cost"), [("0.005", 0.01), ("0.0049", 0.0), ("0.0149", 0.01), ("0.015", 0.02)])
def test_each_line_is_rounded_half_up(price: str, cost: float) -> None:
    assert bill(device("a", 5, run_m=1), cables=[{"model": "cat", "price_per_m": price, "awg": 24}])["cable", "cat"] == (1, cost)


def test_lines_are_rounded_one_by_one() -> None:
    cables = [{"model": name, "price_per_m": "0.005", "awg": 24} for name in ("x", "y")]
    found = bill(device("a", 5, run_m=1), device("b", 5, run_m=1, cable="y"), cables=cables)
    assert (found["cable", "x"], found["cable", "y"]) == ((1, 0.01), (1, 0.01))


def test_rounding_decides_between_kits_as_the_bill_does() -> None:
    # 0.4 cents of cable vanish, 0.5 cents are a cent: the dearer switch by a cent and the shorter run cost the same
    places = [{"place": "near"}, {"place": "far"}]
    bought = catalog(switch("s", "50.01", 60, ports(1, 15.4), low_c=0), switch("t", 50, 60, ports(1, 15.4)), cables=[
        {"model": "cat", "price_per_m": "0.001", "awg": 24}])  # fmt: skip
    places[0]["low_c"] = "5"
    kit = solved(scenario(device("d", 5, "near", run_m=14), places=places, runs=[run("d", "far", 15)]), bought)
    assert kit.cost == 50.02  # far: 50 + 0.02 (1.5 cents); near: 50.01 + 0.01 (1.4 cents): even


def test_extras_by_what_they_are_counted() -> None:
    per = {"port": 4, "device": 3, "unit": 2, "place": 1, "extender": 1, "run": 3}
    extras = [{"item": f"x-{name}", "price": 2, "per": name, "install_cost": 1} for name in per]
    found = bill(
        device("cam", 5, count=2),
        device("light", 20, run_m=105),
        extras=extras,
        injectors=[INJECTOR],
        extenders=[{**EXTENDER, "port_w": 30, "own_w": "0.5"}],
        cables=[{"model": "thick", "price_per_m": 0, "ohm_per_100m": "0.5"}],
    )
    # four ports: two cameras', the injector's, and the data port it uses
    assert {name: found["extra", f"x-{name}"] for name in per} == {name: (count, 3 * count) for name, count in per.items()}


@pytest.mark.parametrize(
    ("per", "wanted", "count"),
    [
        ("device", "cam", 2),
        ("port", "cam", 2),
        ("port", "light", 2),
        ("run", "cam", 2),
        ("run", "thick", 3),
        ("run", "inj", 1),
        ("unit", "s", 1),
        ("port", "s", 3),
        ("port", "inj", 1),
        ("device", "inj", 1),
        ("device", "s", 2),
        ("place", "inj", 1),
        ("place", "cam", 1),
    ],
)
def test_extras_for_a_kind_or_a_model(per: str, wanted: str, count: int) -> None:
    extras = [{"item": "x", "price": 2, "per": per, "for": wanted}]
    found = bill(
        device("cam", 5, count=2, kind="cam"),
        device("light", 20, kind="light"),
        extras=extras,
        injectors=[INJECTOR],
        cables=[{"model": "thick", "price_per_m": 0, "ohm_per_100m": "0.5"}],
    )
    assert found["extra", "x"] == (count, 2 * count)


def test_extras_that_follow_the_choice_decide_it() -> None:
    # the cheaper switch brings a licence of 30 for every port
    bought = (switch("cheap", 40, 60, ports(2, 15.4)), switch("free", 80, 60, ports(2, 15.4)))
    extras = [{"item": "licence", "price": 30, "per": "port", "for": "cheap"}]
    assert ("switch", "cheap") in bill(device("d", 5), switches=bought, extras=extras)
    assert ("switch", "free") in bill(device("d", 5, count=2), switches=bought, extras=extras)


def test_a_place_is_opened_once() -> None:
    places = [{"place": "hall", "open_cost": "12.5"}, {"place": "loft", "open_cost": 3}]
    found = bill(device("d", 5, count=5), places=places)
    assert found["place", "opening"] == (1, 12.5)


def test_an_owned_unit_opens_its_place_too() -> None:
    places = [{"place": "hall", "open_cost": "12.5"}]
    found = bill(device("d", 5), places=places, owned=[{"model": "s", "place": "hall", "count": 1}])
    assert (found["switch", "s"], found["place", "opening"]) == ((1, 0), (1, 12.5))


def test_energy_is_own_draw_and_conversion_loss() -> None:
    # (5 + 15.4) / 0.8 - 15.4 = 10.1 W, two years of 8760 h: 176.952 kWh at 0.25
    hot = switch("s", 50, 60, ports(4, 15.4), own_w=5, efficiency="0.8")
    assert bill(device("d", 5), switches=(hot,), rules={"energy_price_kwh": "0.25", "years": 2})["energy", "energy"] == (176.952, 44.24)


def test_energy_may_decide_between_switches() -> None:
    # 5 W more, ten years: 438 kWh
    frugal, hungry = (
        switch(name, price, 60, ports(4, 15.4), own_w=own_w, efficiency=1) for name, price, own_w in (("a", 60, 0), ("b", 50, 5))
    )
    assert ("switch", "b") in bill(device("d", 5), switches=(frugal, hungry), rules={"energy_price_kwh": "0.02", "years": 10})
    assert ("switch", "a") in bill(device("d", 5), switches=(frugal, hungry), rules={"energy_price_kwh": "0.03", "years": 10})


def test_owned_equipment_is_listed_at_no_price_and_used_first() -> None:
    found = bill(device("d", 5, count=8), owned=[{"model": "s", "place": "hall", "count": 1}])
    assert found["switch", "s"] == (3, 114)  # 15.4 W each of 60: three a switch, one of three owned


def test_two_rows_of_the_same_owned_equipment_add_up() -> None:
    row = {"model": "s", "place": "hall", "count": 1}
    assert bill(device("d", 5, count=8), owned=[row, row])["switch", "s"] == (3, 57)


def test_equipment_owned_elsewhere_is_of_no_use() -> None:
    assert bill(device("d", 5), owned=[{"model": "s", "place": "loft", "count": 9}])["switch", "s"] == (1, 57)


def test_an_owned_switch_needs_supplies_and_owned_supplies_serve_bought_switches() -> None:
    rows = [{"model": "dc", "price": 15, "fit": "dc", "watts": 20}]
    place = {"place": "hall"}
    core = supplied("core", 30, 1, ports(1, 15.4))
    found = bill(device("d", 5), switches=(core,), supplies=rows, owned=[{"model": "core", "count": 1, **place}])
    assert (found["switch", "core"], found["supply", "dc"]) == ((1, 0), (1, 15))
    found = bill(device("d", 5), switches=(core,), supplies=rows, owned=[{"model": "dc", "count": 1, **place}])
    assert (found["switch", "core"], found["supply", "dc"]) == ((1, 30), (1, 0))


def test_batteries_are_on_the_bill() -> None:
    # (5 + 15.4) / 0.9 = 22.67 W; for 30 minutes 14.17 Wh, with 0.9 of the inverter and 25 % for age 17.7 Wh of 10: two
    hot = switch("s", 50, 60, ports(4, 15.4), own_w=5)
    ups = {"model": "ups", "price": 70, "watts": 30, "watt_hours": 10, "install_cost": 5}
    assert bill(device("d", 5, backup=True), switches=(hot,), backups=[ups], rules={"backup_minutes": 30})["backup", "ups"] == (2, 150)
    assert ("backup", "ups") not in bill(device("d", 5), switches=(hot,), backups=[ups], rules={"backup_minutes": 30})


@pytest.mark.parametrize("per", ["device", "run"])
def test_an_extra_for_one_kind_of_several_alike(per: str) -> None:
    extras = [{"item": "mount", "price": 5, "per": per, "for": "cam"}]
    assert bill(device("phone", 5, kind="phone"), device("cam", 5, kind="cam", count=2), extras=extras)["extra", "mount"] == (2, 10)


def test_an_extra_for_the_run_of_one_cable_of_several() -> None:
    extras = [{"item": "gland", "price": 5, "per": "run", "for": "y"}]
    cables = [{"model": name, "price_per_m": 0, "awg": 24} for name in ("x", "y")]
    assert bill(device("a", 5), device("b", 5, cable="y"), extras=extras, cables=cables)["extra", "gland"] == (1, 5)


def test_an_extra_at_no_price_is_left_out() -> None:
    assert ("extra", "tag") not in bill(device("a", 5), extras=[{"item": "tag", "price": 0, "per": "device"}])


@pytest.mark.parametrize(("existing", "place"), [(0, "near"), (2, "far"), (1, "near")])
def test_cables_already_there_decide_between_places(existing: int, place: str) -> None:
    # two new cables of 10 m at 7.50 each to the near place, or of 60 m to the far one: 0, 45 or 90 with 2, 1 or none there
    kit = solved(
        scenario(device("d", 5, "near", run_m=10, count=2), runs=[run("d", "far", 60, existing=existing)]), catalog(SWITCH, cables=[CABLE])
    )
    assert {unit.place for unit in kit.units} == {place}
