"""Forty sites without a kit, of every cause there is, one and two at a time, each with the words that must name it."""

from typing import Any

from sketch import Row, catalog, device, fed, ports, run, scenario, supplied, switch

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario

Case = tuple[Scenario, Catalog, list[str]]

S = switch("s", 50, 62, ports(4, 30), rack_u=1)
"""Four ports of 30 W, 62 W altogether."""
EXT: Row = {"model": "ext", "price": 40, "own_w": 2, "in_class": 4, "port_w": 15.4, "ip": "IP66", "low_c": -40, "high_c": 60}
COPPER: Row = {"model": "copper", "price_per_m": 1, "awg": 24}
BATTERY: Row = {"model": "bat", "price": 90, "watts": 200, "watt_hours": 100, "rack_u": 2}
FED = fed("f", 60, 4, ports(2, 15.4), ip="IP66", low_c=-40, high_c=60, own_w=2)


def hall(**limits: Any) -> list[Row]:
    """One place with limits."""
    return [{"place": "hall", **limits}]


def cams(count: int, watts: float = 5, place: str = "hall", **more: Any) -> Row:
    """Cameras alike."""
    return device("cam", watts, place, count=count, **more)


ONE: dict[str, Case] = {
    "class": (scenario(device("lamp", 51)), catalog(S), ["does not carry class 6 (60 W)", "ports of at most 30 W"]),
    "volts": (
        scenario(device("lamp", 25.5, run_m=95, cable="thin")),
        catalog(S, cables=[{"model": "thin", "price_per_m": 1, "awg": 26}, COPPER]),
        ["V at the far end, 42.5 V needed", "cable thin of lamp", "cable copper for lamp instead of thin"],
    ),
    "min volts": (scenario(device("cam", 12, min_volts=49, run_m=90)), catalog(S), ["49 V needed", "the 49 V that cam needs"]),
    "collapse": (
        scenario(device("cam", 25, run_m=95, cable="wire")),
        catalog(S, cables=[{"model": "wire", "price_per_m": 1, "ohm_per_100m": 60}]),
        ["the line collapses", "cable wire of cam"],
    ),
    "bundle": (
        scenario(device("cam", 20, bundle=24)),
        catalog(S, cables=[COPPER], bundles=[{"awg": 24, "cables_up_to": 12, "amps_per_conductor": 1}]),
        ["a bundle of 24 cables", "the bundle of 24 cables around cam", "a bundle of 12 cables for cam instead of 24"],
    ),
    "bundle amps": (
        scenario(device("cam", 20, bundle=24)),
        catalog(S, cables=[COPPER], bundles=[{"awg": 24, "cables_up_to": n, "amps_per_conductor": a} for n, a in ((6, 1), (48, "0.1"))]),
        ["A in a conductor, 0.1 A allowed", "a bundle of 6 cables for cam instead of 24"],
    ),
    "span": (
        scenario(cams(1, run_m=120)),
        catalog(S),
        ["longer than the 100.0 m a span reaches", "a run of 100 m for cam instead of 120 m"],
    ),
    "extenders": (
        scenario(cams(1, run_m=250), rules={"max_extenders": 1}),
        catalog(S, extenders=[EXT]),
        ["it needs 2 extenders", "at most 1 extender in a run", "2 extenders in a run instead of 1"],
    ),
    "extender's port": (
        scenario(cams(1, 20, run_m=150)),
        catalog(S, extenders=[EXT]),
        ["extender ext gives 15.4 W", "the 20 W (class 4) of cam", "at most 12.95 W for cam"],
    ),
    "path": (
        scenario(cams(1, run_m=150, path_ip="IP68")),
        catalog(S, extenders=[EXT]),
        ["no extender of the catalog suits its path", "IP68 and the ambient along the run of cam"],
    ),
    "clad": (
        scenario(cams(1, cable="clad")),
        catalog(S, cables=[{"model": "clad", "price_per_m": 1, "awg": 24, "material": "cca"}]),
        ["no copper-clad aluminium (allow_cca)", "allow_cca = yes"],
    ),
    "speed of ports": (
        scenario(cams(1, port_mbps=2500)),
        catalog(S, cables=[{**COPPER, "mbps": 10000}]),
        ["needs a 2500 Mb/s link", "links of 2500 Mb/s all the way"],
    ),
    "speed of the cable": (
        scenario(cams(1, port_mbps=1000)),
        catalog(S, cables=[{**COPPER, "mbps": 100}]),
        ["the cable copper has 100 Mb/s", "links of 1000 Mb/s all the way"],
    ),
    "budget": (
        scenario(device("lamp", 51)),
        catalog(switch("b", 9, 50, ports(2, 60))),
        ["60 W reserved, b in hall hands out 50 W", "60 W from b instead of 50 W"],
    ),
    "watts of a group": (
        scenario(device("lamp", 51)),
        catalog(switch("b", 9, 120, ports(2, 60, group_w=45))),
        ["hands out 45 W", "the watts that units and supplies of the catalog hand out"],
    ),
    "spare watts": (
        scenario(device("lamp", 51), rules={"spare_watts_pct": 25}),
        catalog(switch("b", 9, 70, ports(2, 60))),
        ["25 % of 70 W kept spare", "spare watts of 14 % instead of 25 %"],
    ),
    "a larger supply": (
        scenario(cams(4, 51), places=hall(rack_u=1)),
        catalog(supplied("d", 9, 1, ports(4, 60), rack_u=1), supplies=[{"model": "p", "price": 5, "fit": "dc", "watts": 120}]),
        ["hall is 2 ports and 120 W short", "a 240 W supply of fit dc in the catalog (the largest has 120 W)", "2 U of rack in hall"],
    ),
    "spare supply": (
        scenario(cams(1), rules={"redundant_supplies": True}),
        catalog(supplied("d", 9, 1, ports(4, 30)), supplies=[{"model": "p", "price": 5, "fit": "dc", "watts": 60}]),
        ["two or more (redundant_supplies)", "no spare supplies"],
    ),
    "spare ports": (
        scenario(cams(4, 3, class_=1), rules={"spare_ports_pct": 20}, places=hall(outlets=1)),
        catalog(S),
        ["spare ports of 20 %", "the 1 outlet in hall", "spare ports of 0 % instead of 20 %", "2 outlets in hall instead of 1"],
    ),
    "uplink": (
        scenario(cams(1, mbps=800, port_mbps=1000)),
        catalog(S),
        ["it sends 800 Mb/s, the uplink of s may carry 700 Mb/s", "80 % of each uplink", "uplinks of 2500 Mb/s in the catalog"],
    ),
    "uplink together": (
        scenario(cams(4, 3, class_=1, mbps=200), places=hall(rack_u=1)),
        catalog(S),
        ["traffic on at most 70 % of each uplink", "80 % of each uplink for traffic instead of 70 %"],
    ),
    "rack": (scenario(cams(5), places=hall(rack_u=1)), catalog(S), ["the 1 U of rack in hall", "2 U of rack in hall instead of 1 U"]),
    "outlets": (scenario(cams(9), places=hall(outlets=2)), catalog(S), ["the 2 outlets in hall", "3 outlets in hall instead of 2"]),
    "circuit": (
        scenario(cams(4, 12), places=hall(circuit_a="0.3", circuit_v=230)),
        catalog(S),
        ["the circuit of 0.3 A at 230 V in hall (55.2 W at 80 %)", "a circuit of 0.38 A in hall instead of 0.3 A (14.7 W more)"],
    ),
    "ingress": (scenario(cams(1), places=hall(ip="IP54")), catalog(S), ["IP54 asked for in hall", "an enclosure of IP54 in hall"]),
    "ambient": (
        scenario(cams(1), places=hall(low_c=-20)),
        catalog(switch("s", 9, 60, ports(4, 30), low_c=0, high_c=40)),
        ["the ambient in hall (down to -20 C)"],
    ),
    "mains": (
        scenario(cams(1, place="mast"), places=[*hall(), {"place": "mast", "mains": False}], runs=[run("mast", "hall", 40)]),
        catalog(S),
        ["mast has no mains", "mains in mast"],
    ),
    "a switch in a row": (
        scenario(
            cams(1, place="mast"),
            places=[*hall(), {"place": "mast", "mains": False}],
            runs=[run("mast", "hall", 40)],
            rules={"max_cascade": 0},
        ),
        catalog(S, FED),
        ["max_cascade is 0", "at most 0 switches fed through another in a row", "1 switch fed through another in a row instead of 0"],
    ),
    "the line of a fed switch": (
        scenario(cams(1, place="mast"), places=[*hall(), {"place": "mast", "mains": False}], runs=[run("mast", "hall", 240)]),
        catalog(S, FED),
        ["the run of 240 m to hall is longer than the 100.0 m", "mains in mast"],
    ),
    "batteries": (
        scenario(cams(1, backup=True), rules={"backup_minutes": 15}),
        catalog(S),
        ["15 minutes on battery (backup_minutes), with no battery in the catalog"],
    ),
    "room for batteries": (
        scenario(cams(1, backup=True), rules={"backup_minutes": 15}, places=hall(rack_u=2)),
        catalog(S, backups=[BATTERY]),
        ["15 minutes on battery", "the 2 U of rack in hall", "3 U of rack in hall instead of 2 U"],
    ),
    "critical share": (
        scenario(cams(4, priority="critical"), rules={"max_critical_share_pct": 50}, places=hall(outlets=1)),
        catalog(switch("s", 9, 90, ports(8, 15.4))),
        ["at most 50 % of a place's critical devices on one unit", "2 outlets in hall instead of 1"],
    ),
    "models": (
        scenario(cams(1), device("lamp", 51), rules={"max_models": 1}),
        catalog(S, injectors=[{"model": "i", "price": 40, "ports": 1, "port_w": 60}]),
        ["at most 1 model in the kit (max_models)", "2 models in the kit instead of 1"],
    ),
    "data beside an injector": (
        scenario(cams(1, place="hut"), places=[{"place": "hut", "ip": "IP54"}]),
        catalog(S, injectors=[{"model": "i", "price": 40, "ports": 1, "port_w": 30, "ip": "IP66"}]),
        ["no switch may stand in hut for its data", "IP54 asked for in hut"],
    ),
    "heat": (
        scenario(cams(1, run_m=98), rules={"derate_reach": True, "cable_c": 60}),
        catalog(S),
        ["longer than the", "reach shortened by 60 C (derate_reach)"],
    ),
    "slack": (
        scenario(cams(1, run_m=97), rules={"run_slack_pct": 5}),
        catalog(S),
        ["the run of 101.85 m", "slack on every run of 3 % instead of 5 %"],
    ),
}

FAR = device("far", 5, "yard", run_m=140)
WET: Row = {"place": "yard", "ip": "IP65"}

TWO: dict[str, Case] = {
    "rack and outlets": (
        scenario(cams(5), places=hall(rack_u=1, outlets=1)),
        catalog(S),
        ["the 1 U of rack in hall", "the 1 outlet in hall", "2 U of rack in hall instead of 1 U"],
    ),
    "class and span": (
        scenario(device("lamp", 51), FAR),
        catalog(S),
        ["does not carry class 6", "longer than the 100.0 m", "ports of 60 W", "a run of 100 m for far instead of 140 m"],
    ),
    "ingress and rack": (
        scenario(cams(5), device("dome", 5, "yard"), places=[*hall(rack_u=1), WET]),
        catalog(S),
        ["IP65 asked for in yard", "the 1 U of rack in hall", "cannot be served (cam.5)"],
    ),
    "two racks": (
        scenario(cams(5), device("dome", 5, "yard", count=6), places=[*hall(rack_u=1), {"place": "yard", "rack_u": 1}]),
        catalog(S),
        ["the 1 U of rack in hall", "the 1 U of rack in yard"],
    ),
    "budget and uplink": (
        scenario(device("lamp", 51), device("nvr", 3, "yard", class_=1, mbps=900, port_mbps=1000)),
        catalog(switch("b", 9, 50, ports(2, 60))),
        ["hands out 50 W", "it sends 900 Mb/s"],
    ),
    "clad and speed": (
        scenario(device("old", 5, cable="clad"), device("ap", 12, "yard", port_mbps=2500, cable="fast")),
        catalog(S, cables=[{"model": "clad", "price_per_m": 1, "awg": 24, "material": "cca"}, {**COPPER, "model": "fast", "mbps": 10000}]),
        ["allow_cca", "needs a 2500 Mb/s link"],
    ),
    "circuit and mains": (
        scenario(cams(4, 12), device("dome", 5, "mast"), places=[*hall(circuit_a="0.3", circuit_v=230), {"place": "mast", "mains": False}]),
        catalog(S),
        ["mast has no mains", "the circuit of 0.3 A at 230 V in hall"],
    ),
    "batteries and models": (
        scenario(cams(1, backup=True), device("lamp", 51), rules={"max_models": 1, "backup_minutes": 10}),
        catalog(S, injectors=[{"model": "i", "price": 40, "ports": 1, "port_w": 60}]),
        ["at most 1 model in the kit", "10 minutes on battery"],
    ),
}

CASES = {**ONE, **{f"two: {name}": case for name, case in TWO.items()}}
