"""Reasons name the device and the number that stopped it."""

from typing import Any

import pytest
from sketch import Row, catalog, device, ports, refused, run, scenario, solved, supplied, switch

SWITCH = switch("s", 50, 60, ports(4, 15.4))
EXTENDER: Row = {"model": "ext", "price": 40, "own_w": 3, "in_class": 4, "port_w": 15.4}


@pytest.mark.parametrize(
    ("row", "tables", "words"),
    [
        (device("lamp", 25.5), {}, ["lamp: needs 25.5 W at 30 m to hall", "15.4 W port", "class 4 (30 W)"]),
        (device("cam", 5, run_m=150), {}, ["cam: needs 5 W at 150 m", "longer than the 100.0 m a span reaches", "no extender"]),
        (device("cam", 5, run_m=650), {"extenders": [EXTENDER]}, ["it needs 6 extenders, max_extenders is 3"]),
        (device("cam", 5, port_mbps=2500), {}, ["needs a 2500 Mb/s link; the port has 1000 Mb/s"]),
        (device("cam", 5, min_volts=43.5, run_m=100), {}, ["V at the far end, 43.5 V needed"]),
        (
            device("cam", 5, cable="clad"),
            {"cables": [{"model": "clad", "price_per_m": 1, "awg": 24, "material": "cca"}]},
            ["allow_cca = no"],
        ),
        (
            device("cam", 5, "roof"),
            {"places": [{"place": "hall"}, {"place": "roof", "ip": "IP65"}]},
            ["ingress and ambient of roof"],
        ),
        (device("pc", 0, "roof"), {"places": [{"place": "roof", "ip": "IP65"}]}, ["pc: needs a data port", "ingress and ambient of roof"]),
        (
            device("cam", 5, bundle=30),
            {"cables": [{"model": "c", "price_per_m": 1, "awg": 24}], "bundles": [{"awg": 24, "cables_up_to": 9, "amps_per_conductor": 1}]},
            ["bundle of 30 cables", "(9)"],
        ),
    ],
)
def test_one_device_that_nothing_can_power(row: Row, tables: Any, words: list[str]) -> None:
    places = {"places": tables.pop("places")} if "places" in tables else {}
    text = refused(scenario(row, **places), catalog(SWITCH, **tables))
    for word in words:
        assert word in text


def test_the_reason_nearest_to_working_comes_first() -> None:
    # 42.1 V at one port, and the other does not even carry the class
    bought = catalog(switch("weak", 9, 60, ports(4, 15.4)), switch("near", 9, 60, ports(4, 30)), cables=[
        {"model": "thin", "price_per_m": 0, "ohm_per_100m": 13.05}])  # fmt: skip
    text = refused(scenario(device("lamp", 25.5, run_m=100)), bought)
    assert text.index("42.1 V at the far end, 42.5 V needed") < text.index("does not carry class 4")


def test_of_each_rule_only_the_nearest_miss_is_told() -> None:
    groups = [ports(1, watts, f"g{watts}") for watts in (4, 45, 7, 15.4, 30)]
    text = refused(scenario(device("lamp", 51)), catalog(switch("s", 9, 60, *groups)))
    assert text.count("does not carry class 6") == 1
    assert "45 W port" in text


def test_every_way_of_a_device_is_told() -> None:
    text = refused(scenario(device("lamp", 25.5), runs=[run("lamp", "loft", 60)]), catalog(SWITCH))
    assert "30 m to hall or 60 m to loft" in text


def test_every_impossible_device_is_named_and_no_other() -> None:
    kit = refused(scenario(device("lamp", 25.5), device("cam", 5), device("heater", 51)), catalog(SWITCH))
    assert [line.partition(":")[0] for line in kit.splitlines()] == ["lamp", "heater"]


@pytest.mark.parametrize(
    ("place", "left"),
    [({"outlets": 1}, 2), ({"rack_u": 1}, 2), ({"circuit_a": "0.3", "circuit_v": 230}, 2), ({"outlets": 0}, 5)],
)
def test_devices_that_cannot_all_be_served_are_counted_and_named(place: Row, left: int) -> None:
    # three devices of 15.4 W a switch of 60 W; a second needs an outlet, a unit of rack, or 51.3 W of 55.2 W
    bought = catalog(switch("s", 50, 60, ports(4, 15.4), rack_u=1))
    text = refused(scenario(device("cam", 5, count=5), places=[{"place": "hall", **place}]), bought)
    assert f"hall: {left} of 5 devices like cam cannot be served" in text
    assert "cam.5" in text
    assert ("cam.1" in text) is (left == 5)


def test_the_limit_of_models_can_be_why() -> None:
    fast = switch("fast", 50, 60, ports(4, 15.4, port_mbps=2500))
    rugged = switch("rugged", 50, 60, ports(4, 15.4, port_mbps=1000), ip="IP66")
    bought = catalog(fast, rugged, cables=[{"model": "c", "price_per_m": 0, "awg": 24, "mbps": 2500}])
    rows = (device("cam", 5, "roof"), device("pc", 5, port_mbps=2500))
    places = [{"place": "hall"}, {"place": "roof", "ip": "IP65"}]
    assert "1 of 1 devices" in refused(scenario(*rows, places=places, rules={"max_models": 1}), bought)
    assert len(solved(scenario(*rows, places=places, rules={"max_models": 2}), bought).units) == 2


@pytest.mark.parametrize(
    ("place", "rules", "tables", "named"),
    [
        ({"outlets": 0}, {}, {}, "outlets"),
        ({"rack_u": 0}, {}, {}, "rack_u"),
        ({"circuit_a": "0.01", "circuit_v": 100}, {}, {}, "circuit_a"),
        ({}, {"backup_minutes": 10}, {}, "backup_minutes"),  # no battery is for sale
        ({}, {"spare_ports_pct": 90}, {"owned": []}, None),  # more switches give the spare: there is a kit
    ],
)
def test_the_rule_in_the_way_is_named(place: Row, rules: Row, tables: Any, named: str | None) -> None:
    row = device("cam", 5, backup=True)
    described = scenario(row, rules=rules, places=[{"place": "hall", **place}], **tables)
    bought = catalog(switch("s", 9, 60, ports(8, 30), rack_u=1))
    if named is None:
        assert solved(described, bought).cost
        return
    text = refused(described, bought)
    assert "1 of 1 devices like cam cannot be served" in text
    assert f"in the way: {named}" in text
    assert text.count("; or ") == 0


def test_supplies_that_cannot_be_two_are_told_as_such() -> None:
    supplies = [{"model": "p", "price": 5, "fit": "dc", "watts": 60}]
    bought = catalog(supplied("s", 9, 1, ports(4, 30)), supplies=supplies)
    text = refused(scenario(device("cam", 5), rules={"redundant_supplies": True}), bought)
    assert "two or more (redundant_supplies)" in text
    assert "ingress" not in text
