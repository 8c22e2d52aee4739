"""Reasons name the device and the number that stopped it."""

from typing import Any

import pytest
from sketch import Row, catalog, device, ports, refused, run, scenario, site, supplied, switch

from equipsel.explain.devices import stopped, told
from equipsel.program.of_site import powered

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
    assert [line.partition(":")[0] for line in kit.splitlines() if " needs " in line] == ["lamp", "heater"]


def test_supplies_that_cannot_be_two_are_told_as_such() -> None:
    supplies = [{"model": "p", "price": 5, "fit": "dc", "watts": 60}]
    bought = catalog(supplied("s", 9, 1, ports(4, 30)), supplies=supplies)
    text = refused(scenario(device("cam", 5), rules={"redundant_supplies": True}), bought)
    assert "two or more (redundant_supplies)" in text
    assert "ingress" not in text


def test_what_a_search_would_find_is_seen_without_one() -> None:
    lamp, wet = device("lamp", 51), [{"place": "hall", "ip": "IP54"}]
    box = [{"model": "box", "price": 40, "ports": 1, "port_w": 30, "ip": "IP66"}]
    weak = switch("weak", 9, 50, ports(2, 60, group_w=45), ports(1, 90, "other"))
    cases = [
        (scenario(lamp), catalog(weak), "60 W reserved, weak in hall hands out 50 W"),
        (scenario(device("cam", 5), places=wet), catalog(SWITCH, injectors=box), "no switch may stand in hall for its data"),
        (scenario(device("cam", 5, mbps=900, port_mbps=1000)), catalog(SWITCH), "it sends 900 Mb/s, the uplink of s may carry 700 Mb/s"),
    ]
    for described, bought, words in cases:
        asked = powered(site(described, bought))
        assert asked.possible
        assert [ways.device.device for ways in stopped(asked)] == [described.devices[0].device]
        assert words in told(stopped(asked)[0], asked)


def test_a_data_port_behind_an_injector_must_be_fast_enough() -> None:
    box = [{"model": "box", "price": 40, "ports": 1, "port_w": 60, "port_mbps": 1000}]
    slow = switch("slow", 9, 20, ports(4, 0, port_mbps=100))
    text = refused(scenario(device("lamp", 51, port_mbps=1000)), catalog(slow, injectors=box))
    assert "the ports of switches in hall have 100 Mb/s of 1000" in text
