"""Rules at their very edge: exactly what there is fits, a thousandth more does not; and places without a figure are passed over.

Hut: a core (10 W, supplies of 240 and 120 W) that reserves 60 + 45 + 2 x 7 = 119 W, an injector (2 W) that reserves 45 W; both take
(own + reserved) / 0.9 from the mains. Mast: a fed switch with 21 W. Shop: a desk switch that is there, with 2 x 4 W.
"""

from collections.abc import Callable
from typing import Any

import pytest
from good_kit import Case

Change = Callable[[Case, float], object]


def lossless(case: Case) -> None:
    """Everything in the hut without conversion losses: 129 and 47 W from the mains, 176 W."""
    for table, name in (("supplies", "dc240"), ("supplies", "dc120"), ("injectors", "inj90")):
        case.model(table, name)["efficiency"] = 1


def circuit(case: Case, volts: float) -> None:
    """80 % of 220 VA are 176 W."""
    lossless(case)
    case.place("hut").update(circuit_a=1, circuit_v=volts)


def battery(case: Case, **figures: Any) -> None:
    """Half an hour of the hut's 176 W, with a quarter more for ageing: 110 Wh."""
    lossless(case)
    case.rules["backup_minutes"] = 30
    case.device("light")["backup"] = True
    case.model("backups", "ups").update({"watts": 176, "watt_hours": 110, "efficiency": 1, **figures})
    case.kit["lines"] = [{"kind": "backup", "model": "ups", "place": "hut", "count": 1, "unit_cost": 300, "cost": 300}]


def supplies(case: Case, own_w: float) -> None:
    """240 + 120 W are 360."""
    case.model("switches", "core")["own_w"] = own_w


EDGES: list[tuple[str, str, float, float, Change]] = [
    ("rack", "core 1, supplies 2, injector 1", 4, 3.999, lambda case, value: case.place("hut").update(rack_u=value)),
    ("outlets", "two supplies and an injector", 3, 2, lambda case, value: case.place("hut").update(outlets=value)),
    ("outlets", "a mains switch", 1, 0, lambda case, value: case.place("shop").update(outlets=value)),
    ("circuit", "176 W", 220, 219.99, circuit),
    ("backup", "176 W of load", 176, 175.999, lambda case, value: battery(case, watts=value)),
    ("backup", "110 Wh", 110, 109.999, lambda case, value: battery(case, watt_hours=value)),
    ("budget", "21 W on the mast", 21, 20.999, lambda case, value: case.model("switches", "mast switch").update(budget_w=value)),
    ("budget", "45 W on a single injector, spare or not", 45, 44.999,
     lambda case, value: (case.rules.update(spare_watts_pct=20), case.model("injectors", "inj90").update(budget_w=value))),
    ("budget", "21 W less a fifth", 26.25, 26.249,
     lambda case, value: (case.rules.update(spare_watts_pct=20), case.model("switches", "mast switch").update(budget_w=value))),
    ("group watts", "60 + 45 W", 105, 104.999, lambda case, value: case.group("strong").update(group_w=value)),
    ("supplies", "the switch itself", 360, 360.001, supplies),
    ("uplink", "70 % of 20 Mb/s are 14: 8 of the far camera alone", 1000, 9, lambda case, value: (
        case.model("switches", "core").update(uplink_mbps=value), case.device("cam").update(mbps=0))),
    ("uplink", "12 Mb/s from the mast, all of it allowed", 12, 11.99, lambda case, value: (
        case.rules.update(uplink_share_pct=100), case.model("switches", "mast switch").update(uplink_mbps=value))),
    ("max models", "core, injector, mast switch, desk, extender", 5, 4, lambda case, value: case.rules.update(max_models=value)),
    ("extender count", "300 m are reached by two extenders", 300.01, 300, lambda case, value: case.device("far").update(run_m=value)),
    ("extender path", "65 C", 60, 61, lambda case, value: case.device("far").update(path_high_c=value)),
    ("extender path", "-40 C", -40, -41, lambda case, value: case.device("far").update(path_low_c=value)),
    ("fed class", "class 6", 6, 7, lambda case, value: case.unit("mast-1")["fed_by"].update({"class": value})),
    ("speed", "100 Mb/s of the mast's ports", 100, 101, lambda case, value: case.device("cam").update(port_mbps=value)),
    ("span", "100 m", 100, 100.001, lambda case, value: case.device("light").update(run_m=value)),
    ("critical share", "three of three; 99 % are two", 100, 99,
     lambda case, value: (case.rules.update(max_critical_share_pct=value), [case.device(one).update(priority="critical")
                          for one in ("light", "reader")])),
]  # fmt: skip


@pytest.mark.parametrize(("rule", "fits", "breaks", "change"), [pytest.param(rule, *rest, id=f"{rule}: {w}") for rule, w, *rest in EDGES])
def test_exactly_what_there_is_fits_and_no_more(rule: str, fits: float, breaks: float, change: Change) -> None:
    good, bad = Case(), Case()
    change(good, fits)
    change(bad, breaks)
    assert rule not in good.broken(), good.broken()
    assert rule in bad.broken()


def test_a_fed_switch_takes_no_outlet() -> None:
    case = Case()
    case.place("mast")["outlets"] = 0
    assert "outlets" not in case.broken()


@pytest.mark.parametrize(
    ("rule", "figures"), [("rack", {"rack_u": 0.5}), ("circuit", {"circuit_a": 0.05, "circuit_v": 230}), ("outlets", {"outlets": 0})]
)
def test_a_place_without_a_figure_is_passed_over_and_the_next_is_looked_at(rule: str, figures: dict[str, float]) -> None:
    """The desk takes 1 U, an outlet and (8 + 8) / 0.9 W; the circuit gives 80 % of 11.5 VA."""
    case = Case()
    case.model("switches", "desk")["rack_u"] = 1
    case.place("hut").update(rack_u=None, circuit_v=None, outlets=None)
    case.place("shop").update(figures)
    assert [message.split(":")[0] for message in case.broken()[rule]] == ["place shop"]


def test_a_place_where_nothing_is_plugged_in_has_its_ports_free() -> None:
    """95 % of the desk's eight ports are 7.6: all eight must stay free, and are."""
    case = Case()
    for name in ("phone.1", "phone.2"):
        case.kit["connections"].remove(case.row(name))
    case.rules["spare_ports_pct"] = 95
    assert not [message for message in case.broken()["spare ports"] if message.startswith("place shop")]


def test_every_port_of_an_injector_and_every_port_that_gives_power_counts() -> None:
    """Eight powered ports of the core, two of the injector: 55 % of ten are six to keep, four to use; five are in use."""
    case = Case()
    case.model("injectors", "inj90")["ports"] = 2
    case.row("reader.1").update(group="data", port=2, injector={"unit": "hut-2", "port": 2})
    case.rules["spare_ports_pct"] = 55
    assert "place hut: 5 of 10 powered ports are used; 6 must stay free." in case.broken()["spare ports"]
    case = Case()
    case.group("all")["port_w"] = 0.5
    case.device("phone").update(watts=0)
    case.device("phone").pop("class")
    case.rules["spare_ports_pct"] = 80
    assert "place shop: 2 of 8 powered ports are used; 7 must stay free." in case.broken()["spare ports"]


def test_a_unit_that_stands_nowhere_or_is_unknown_holds_nothing() -> None:
    for change in ({"place": "moon"}, {"model": "none such"}):
        case = Case()
        case.rules["backup_minutes"] = 30
        case.device("phone")["backup"] = True
        case.kit["lines"] = []
        case.unit("shop-1").update(change)
        assert "backup" not in case.broken()


def loaded_desk(desk_w: float, **injector: Any) -> Case:
    """A phone of 45 W on the desk."""
    case = Case()
    case.group("all").update(port_w=90, pairs=4)
    case.device("phone").update({"class": 5, "watts": 30, "count": 1, "device": "phone"})
    case.kit["connections"] = [row for row in case.kit["connections"] if row["device"] != "phone.2"]
    case.row("phone.1")["device"] = "phone"
    case.model("switches", "desk")["budget_w"] = desk_w
    case.model("injectors", "inj90").update(injector)
    return case


@pytest.mark.parametrize(("budget_w", "told"), [(50, False), (49.999, True), (45, True), (44.999, False)])
def test_above_nine_tenths_of_a_budget_there_is_no_headroom(budget_w: float, told: bool) -> None:
    """45 W of 50 are nine tenths; what breaks the budget is no remark."""
    assert ("headroom" in loaded_desk(budget_w).remarks()) is told


def test_a_single_port_needs_no_headroom_but_two_do() -> None:
    assert "headroom" not in loaded_desk(60, port_w=45).remarks()
    found = loaded_desk(60, ports=2, budget_w=45).remarks()["headroom"]
    assert [one.message for one in found] == ["Its ports reserve 45 W, 100 % of its 45 W."]


@pytest.mark.parametrize(("more", "told"), [(2, False), (3, True)])
def test_more_than_three_single_injectors_are_too_many(more: int, told: bool) -> None:
    case = Case()
    case.kit["units"] += [{"unit": f"more-{number}", "model": "inj90", "place": "hut"} for number in range(more)]
    assert ("single injectors" in case.remarks()) is told


def test_where_a_feed_may_go_two_ways_the_free_one_is_pointed_out() -> None:
    case = Case()
    case.scenario["runs"].append({"from": "mast", "to": "shop", "run_m": 40, "existing": 2})
    found = {one.where: one.message for one in case.remarks()["free cable"]}
    assert found["place mast"].startswith("Cable to shop (40 m of cat6) costs nothing, to hut (60 m of cat6) it does")


def test_a_bundle_limit_of_the_catalog_takes_the_place_of_the_remark() -> None:
    case = Case()
    case.device("light")["class"] = 8
    assert "conductor current" in case.remarks()
    case.catalog["bundles"] = [{"awg": 23, "cables_up_to": 24, "amps_per_conductor": 2}]
    assert "conductor current" not in case.remarks()


def test_an_idle_unit_may_count_towards_spare_ports() -> None:
    case = Case()
    case.kit["units"].append({"unit": "hut-3", "model": "inj90", "place": "hut"})
    case.rules["spare_ports_pct"] = 10
    assert "it only counts towards spare_ports_pct (10 %)" in case.remarks()["idle unit"][0].message
    case.rules["spare_ports_pct"] = 0
    assert "spare_ports_pct" not in case.remarks()["idle unit"][0].message


def test_equipment_already_there_is_counted_over_its_rows_supplies_too() -> None:
    case = Case()
    case.scenario["owned"] += [{"model": "desk", "place": "shop", "count": 2}, {"model": "dc120", "place": "hut", "count": 3}]
    case.unit("hut-1")["supplies"] = ["dc120", "dc120"]
    assert [one.message for one in case.remarks()["already there"]] == [
        "1 of 3 desk already there is used; 2 left unused.", "2 of 3 dc120 already there are used; 1 left unused.",
    ]  # fmt: skip


def test_owned_supplies_are_counted_over_their_lines() -> None:
    """Two lines of one supply at no price where one is there; a supply that costs nothing anyway is no owned one."""
    case = Case()
    case.scenario["owned"].append({"model": "dc120", "place": "hut", "count": 1})
    line = {"kind": "supply", "model": "dc120", "place": "hut", "count": 1, "unit_cost": 0, "cost": 0}
    case.kit["lines"] = [line, dict(line)]
    assert "place hut: 2 of dc120 are used as owned; 1 are there." in case.broken()["owned"]
    for price, fitting, told in ((0, 0, False), (0.5, 0, True), (0, 0.5, True), (3, 3, True)):
        case = Case()
        case.kit["lines"] = [dict(line)]
        case.model("supplies", "dc120").update(price=price, install_cost=fitting)
        assert ("owned" in case.broken()) is told


def test_supplies_that_fit_no_catalog_row_cost_nothing_known() -> None:
    case = Case()
    case.kit["lines"] = [{"kind": "supply", "model": "none such", "place": "hut", "count": 1, "unit_cost": 0, "cost": 0}]
    assert "owned" not in case.broken()


def test_a_fed_switch_may_hand_out_nothing_but_not_less() -> None:
    """Class 4 gives 25.5 W through 0.9: 22.95 W, all of it the switch's own; a thousandth more and the class does not carry it."""
    case = Case()
    case.unit("mast-1")["fed_by"]["class"] = 4
    case.model("switches", "mast switch")["own_w"] = 22.95
    assert "fed class" not in case.broken()
    case.model("switches", "mast switch")["own_w"] = 22.951
    assert "fed class" in case.broken()


def test_the_bundle_row_is_the_smallest_that_covers_the_bundle_whatever_their_order() -> None:
    """The light draws 0.2534 A a conductor: allowed to 10 cables, not to 20."""
    case = Case()
    rows = [(20, 0.2), (10, 0.3), (30, 0.9)]
    case.catalog["bundles"] = [{"awg": 23, "cables_up_to": most, "amps_per_conductor": amps} for most, amps in rows]
    case.device("light")["bundle"] = 10
    assert "bundle" not in case.broken()
    case.device("light")["bundle"] = 11
    assert case.broken()["bundle"] == [
        "device light: A conductor carries 0.2534 A; allowed are 0.2 A in bundles of up to 20 cables of 23 AWG."
    ]


def test_what_takes_no_power_is_in_no_bundle_and_has_no_class() -> None:
    case = Case()
    case.catalog["bundles"] = [{"awg": 23, "cables_up_to": 1, "amps_per_conductor": 2}]
    case.device("reader").update(watts=0, bundle=5)
    case.device("reader").pop("class")
    case.device("far")["bundle"] = 5
    case.row("reader.1")["class"] = 2
    assert case.broken()["bundle"] == ["device far: Its bundle has 5 cables; the largest with a limit has 1 cables of 23 AWG."]
    assert "device reader.1: Class 2 is stated for the device; it takes no power." in case.broken()["class"]
