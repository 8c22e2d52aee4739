"""What a professional points out, at its bounds: loads, injectors, outdoor copper, free cable, second failures."""

from fractions import Fraction

import pytest
from good_kit import Case, _row

from equipsel.audit.check_practice import two_failed_w
from equipsel.audit.extras import covers
from equipsel.audit.facts import Facts, build_facts
from equipsel.catalog import Catalog, Extra
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def facts_of(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def remarked(case: Case, rule: str) -> list[str]:
    """What is remarked by a rule, and where."""
    return [f"{one.where}: {one.message}" for one in case.remarks().get(rule, [])]


def dim_light(budget_w: float) -> Case:
    """The hut's switch hands out 4 W to the light, 45 to the mast and 7 to each reader: 63 W."""
    case = Case()
    case.device("light")["class"] = 1
    case.model("switches", "core")["budget_w"] = budget_w
    return case


@pytest.mark.parametrize(("budget_w", "share"), [(70, ""), (69.999, "90"), (63, "100"), (62.999, "")])
def test_nine_tenths_of_a_budget_may_be_reserved_without_a_word(budget_w: float, share: str) -> None:
    """63 of 70 W are nine tenths; of 69.999 W they are 90.001 %; 63 W are the budget to the last, and above it is an error."""
    case = dim_light(budget_w)
    said = [f"unit hut-1: Its ports reserve 63 W, {share} % of its {budget_w} W."] if share else []
    assert remarked(case, "headroom") == said
    assert ("budget" in case.broken()) == (budget_w < 63)


@pytest.mark.parametrize(("ports", "said"), [(1, []), (2, ["unit hut-2: Its ports reserve 45 W, 100 % of its 45 W."])])
def test_a_single_port_may_be_loaded_to_the_last_watt_but_not_one_of_two(ports: int, said: list[str]) -> None:
    case = Case()
    case.model("injectors", "inj90").update(port_w=45, ports=ports, budget_w=45)
    assert remarked(case, "headroom") == said


@pytest.mark.parametrize(("more", "warned"), [(2, False), (3, True)])
def test_three_single_injectors_in_a_place_are_not_too_many(more: int, warned: bool) -> None:
    case = Case()
    case.kit["units"] += [{"unit": f"more-{number}", "model": "inj90", "place": "hut"} for number in range(more)]
    assert bool(remarked(case, "single injectors")) == warned


def unguarded() -> Case:
    """No extra for surge; the mast's own code and every path dry, so that nothing leads outdoors."""
    case = Case()
    case.catalog["extras"] = []
    case.place("mast")["ip"] = "IP20"
    case.device("far").pop("path_ip")
    return case


def outdoors(case: Case) -> list[str]:
    return [said.partition(" lead outdoors to ")[2].partition(", and no extra")[0] for said in remarked(case, "surge")]


@pytest.mark.parametrize(("code", "wet"), [("IP43", False), ("IP44", True), ("IP54", True), ("IP65", True), ("IP63", False)])
def test_a_path_that_is_splashed_is_outdoors_whatever_the_places_at_its_ends(code: str, wet: bool) -> None:
    case = unguarded()
    assert outdoors(case) == []
    case.device("far")["path_ip"] = code
    assert outdoors(case) == (["far"] if wet else [])


def test_copper_to_an_outdoor_switch_is_outdoors_though_its_path_is_dry() -> None:
    """The hut feeds the mast; the cameras hang on the mast itself."""
    case = unguarded()
    case.place("mast")["ip"] = "IP65"
    case.scenario["runs"][0]["path_ip"] = "IP20"
    assert outdoors(case) == ["cam.1, cam.2, cam.3", "mast-1"]


def test_copper_from_an_outdoor_switch_is_outdoors_though_its_path_and_its_device_are_dry() -> None:
    case = unguarded()
    case.place("mast").update(ip="IP65")
    case.scenario["runs"][0]["path_ip"] = "IP20"
    case.scenario["runs"].append({"from": "reader", "to": "mast", "run_m": 70})
    case.row("reader.1").update(place="mast", unit="mast-1", group="out", port=4)
    assert outdoors(case) == ["reader.1, cam.1, cam.2, cam.3", "mast-1"]


def test_copper_to_an_outdoor_device_is_outdoors_though_it_goes_to_a_dry_place_by_a_dry_path() -> None:
    case = unguarded()
    case.place("mast").update(ip="IP65")
    case.scenario["runs"].append({"from": "cam", "to": "shop", "run_m": 90, "path_ip": "IP20"})
    case.row("cam.3").update(place="shop", unit="shop-1", group="all", port=3)
    assert outdoors(case) == ["cam.1, cam.2", "cam.3", "mast-1"]


EVERY = ["light", "reader.1", "reader.2", "far", "cam.1", "cam.2", "cam.3", "phone.1", "phone.2", "mast-1"]


@pytest.mark.parametrize(
    ("per", "for_", "covered"),
    [
        ("device", "", EVERY[:-1]), ("device", "camera", ["far", "cam.1", "cam.2", "cam.3"]), ("device", "inj90", ["far"]),
        ("device", "mast switch", ["cam.1", "cam.2", "cam.3"]), ("device", "radio", []),
        ("extender", "", ["far"]), ("extender", "ext", ["far"]), ("extender", "camera", ["far"]), ("extender", "light", []),
        ("port", "", EVERY), ("port", "core", ["light", "reader.1", "reader.2", "far", "mast-1"]), ("port", "inj90", ["far"]),
        ("port", "light", ["light"]), ("unit", "core", ["light", "reader.1", "reader.2", "far", "mast-1"]),
        ("place", "desk", ["phone.1", "phone.2"]), ("place", "camera", ["far", "cam.1", "cam.2", "cam.3"]),
        ("run", "", EVERY), ("run", "cat6", EVERY), ("run", "thin", []), ("run", "ext", ["far"]), ("run", "inj90", ["far"]),
        ("run", "core", ["light", "reader.1", "reader.2", "mast-1"]), ("run", "camera", ["far", "cam.1", "cam.2", "cam.3"]),
    ],
)  # fmt: skip
def test_an_extra_covers_what_it_goes_with(per: str, for_: str, covered: list[str]) -> None:
    """A device's extra does not guard the feed of a switch; an extender's guards only runs with one; the far camera has an injector."""
    row = Extra.model_validate({"item": "surge arrester", "price": 9, "per": per, "for": for_ or None})
    assert [link.name for link in facts_of(Case()).network.links if covers(row, link)] == covered


def test_an_extra_for_the_devices_that_a_switch_feeds_does_not_guard_one_that_an_injector_feeds() -> None:
    """By the bill three devices have one (the light and the readers); the far camera, outdoors, has none, and that is to be said."""
    case = unguarded()
    case.device("far")["path_ip"] = "IP65"
    case.catalog["extras"] = [{"item": "surge arrester", "price": 9, "per": "device", "for": "core"}]
    assert outdoors(case) == ["far"]


def test_no_remark_is_about_a_place_without_a_name() -> None:
    case = Case()
    case.catalog["extras"] = []
    case.unit("mast-1")["fed_by"]["unit"] = "hut-9"
    assert [said for said in remarked(case, "surge") if said.startswith("place : ")] == []


def test_free_cable_to_another_place_is_named_beside_the_paid_feed() -> None:
    case = Case()
    case.scenario["runs"].append({"from": "mast", "to": "shop", "run_m": 90, "existing": 1})
    assert remarked(case, "free cable") == [
        "place mast: Cable to shop (90 m of cat6) costs nothing, to hut (60 m of cat6) it does: make sure the free cable is really there.",
    ]  # fmt: skip


def bare_wire(watts: float) -> Case:
    """A light at the switch itself, fed with 50 V over four pairs: a conductor carries a quarter of the current."""
    case = Case()
    case.model("switches", "core")["volts"] = 50
    case.device("light").update({"class": 8, "watts": watts, "run_m": 0})
    return case


@pytest.mark.parametrize(("watts", "amps"), [(60, ""), (60.1, "0.3005")])
def test_a_conductor_may_carry_three_tenths_of_an_ampere_without_a_word(watts: float, amps: str) -> None:
    """60 W at 50 V are 1.2 A, 0.3 A in each of four conductors."""
    said = [f"device light: A conductor carries {amps} A, above 0.30 A: see the local code on bundles."] if amps else []
    assert remarked(bare_wire(watts), "conductor current") == said


@pytest.mark.parametrize(("awg", "warned"), [(23, False), (24, True)])
def test_where_the_catalog_has_the_local_limits_of_a_gauge_nobody_is_sent_to_the_code(awg: int, warned: bool) -> None:
    case = bare_wire(70)
    case.catalog["bundles"] = [{"awg": awg, "cables_up_to": 10, "amps_per_conductor": 2}]
    assert bool(remarked(case, "conductor current")) == warned


def test_an_idle_unit_is_there_for_spare_ports_where_they_are_asked_for() -> None:
    case = Case()
    case.kit["units"].append({"unit": "shop-2", "model": "desk", "place": "shop"})
    assert remarked(case, "idle unit") == ["unit shop-2: Nothing is plugged into desk."]
    case.rules["spare_ports_pct"] = 10
    assert remarked(case, "idle unit") == ["unit shop-2: Nothing is plugged into desk: it only counts towards spare_ports_pct (10 %)."]


def three_supplies(left_w: float) -> Case:
    """With the two largest of its supplies failed, the hut's switch hands out so much: one of 120 W less its own draw.

    It reserves 119 W: 60 for the light (critical), 7 for each reader (high), 45 for the mast with its three cameras (low).
    """
    case = Case()
    case.rules["redundant_supplies"] = True
    case.unit("hut-1")["supplies"] = ["dc240", "dc120", "dc240"]
    case.model("switches", "core").update(supply_slots=3, own_w=round(120 - left_w, 3))
    case.device("light")["priority"] = "critical"
    case.device("reader")["priority"] = "high"
    return case


CAMS = ["cam.1", "cam.2", "cam.3"]


@pytest.mark.parametrize(
    ("left_w", "dark"),
    [
        (119, []),
        (118.999, CAMS),
        (74, CAMS),
        (73.999, [*CAMS, "reader.1"]),
        (67, [*CAMS, "reader.1"]),
        (66.999, [*CAMS, "reader.1", "reader.2"]),
        (60, [*CAMS, "reader.1", "reader.2"]),
        (59.999, [*CAMS, "reader.1", "reader.2", "light"]),
        (0, [*CAMS, "reader.1", "reader.2", "light"]),
    ],
)
def test_devices_go_dark_low_priority_first_until_the_rest_fits(left_w: float, dark: list[str]) -> None:
    """119 W fit to the last; without the mast 74 W are left to feed, without a reader 67, without both 60."""
    text = f"{', '.join(dark)} would go dark, low priority first" if dark else "no device would go dark"
    said = [f"unit hut-1: If the two largest of its 3 supplies failed, {text}."]
    assert remarked(three_supplies(left_w), "second failure") == said


def test_every_switch_with_two_supplies_is_looked_at_wherever_it_stands_in_the_kit() -> None:
    case = three_supplies(0)
    case.kit["units"].reverse()
    assert [said.partition(":")[0] for said in remarked(case, "second failure")] == ["unit hut-1"]


def test_what_takes_no_power_does_not_go_dark() -> None:
    """The light is for data only, and nothing hangs on the mast."""
    case = three_supplies(0)
    case.device("light").pop("class")
    case.device("light").update(watts=0, mbps=1)
    for name in CAMS:
        case.kit["connections"].remove(case.row(name))
    assert remarked(case, "second failure") == [
        "unit hut-1: If the two largest of its 3 supplies failed, reader.1, reader.2 would go dark, low priority first.",
    ]  # fmt: skip


def test_of_many_dark_devices_twenty_are_named() -> None:
    """Three cameras and 17 of 20 readers are named; three readers and the light are not."""
    case = three_supplies(0)
    case.group("plain")["count"] = 24
    case.device("reader")["count"] = 20
    case.kit["connections"] += [_row(f"reader.{number}", "hut-1", "plain", number) for number in range(3, 21)]
    names = ", ".join([*CAMS, *(f"reader.{number}" for number in range(1, 18))])
    assert remarked(case, "second failure") == [
        f"unit hut-1: If the two largest of its 3 supplies failed, {names} and 4 more would go dark, low priority first.",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("supplies", "own_w", "budget_w", "left_w"),
    [
        (["dc240", "dc120", "dc120"], 10, 300, "110"),
        (["dc120", "dc240", "dc240", "dc240"], 10.5, None, "349.5"),
        (["dc240", "dc120", "dc120"], 10, 109.9, "109.9"),
        (["dc120", "dc120", "dc120"], 120, None, "0"),
        (["dc120", "dc120", "dc120"], 121, None, "0"),
        (["dc240", "dc120"], 10, 300, "0"),
    ],
)
def test_watts_that_two_failed_supplies_leave(supplies: list[str], own_w: float, budget_w: float | None, left_w: str) -> None:
    """All but the two largest, less the switch's own draw, at most its budget; never less than nothing."""
    case = Case()
    case.unit("hut-1")["supplies"] = supplies
    case.model("switches", "core").update(own_w=own_w, budget_w=budget_w)
    assert two_failed_w(facts_of(case).units["hut-1"]) == Fraction(left_w)
