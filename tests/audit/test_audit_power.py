"""Power through a kit: reserves by each basis, pairs, the class of a fed switch, feeds in a row; and the runs a site offers."""

from math import ceil
from typing import Any

import pytest
from good_kit import Case

from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.lines import reaches
from equipsel.audit.network import fits_route
from equipsel.audit.power import DEEPEST, LinkPower
from equipsel.catalog import Catalog
from equipsel.kit import Connection, Kit
from equipsel.scenario import Scenario


def facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def power(case: Case, name: str) -> LinkPower:
    return next(found for link, found in facts(case).powered() if link.name == name)


def watts_at_the_head(volts: float, ohm: float, watts: float) -> float:
    """V I with I from V = I R + P / I."""
    amps = (volts - (volts * volts - 4 * ohm * watts) ** 0.5) / (2 * ohm)
    return volts * amps


OHM_23 = 100 / (58e6 * 3.141592653589793 * (0.127e-3 * 92 ** (13 / 39)) ** 2 / 4)
"""100 m of 23 AWG copper at 20 C, from its diameter (ASTM B258) and conductivity."""


@pytest.mark.parametrize("basis", ["class", "stated", "granted"])
def test_what_a_port_sets_aside_for_the_light(basis: str) -> None:
    """51 W behind 50 m on four pairs at 52 V: by class 60 W, by stated draw 52.716 W, as granted 60 W too (the class's identity)."""
    case = Case()
    case.rules["budget_basis"] = basis
    drawn = ceil(1000 * watts_at_the_head(52, OHM_23 * 0.5 / 2, 51))
    found = power(case, "light")
    assert found.drawn_mw == drawn
    assert found.reserved_mw == {"class": 60_000, "stated": drawn}.get(basis, found.reserved_mw)
    assert drawn <= found.reserved_mw <= 60_000
    assert ("unit figures" in case.broken()) is False


@pytest.mark.parametrize(("watts", "least"), [(51, 59.9), (40, 45), (25.5, 30)])
def test_as_granted_a_device_is_given_the_standards_identity_of_what_it_asks(watts: float, least: float) -> None:
    """A device at the most of its class is granted about the class's watts at the port (IEEE 802.3, classes 4 to 6)."""
    case = Case()
    case.rules["budget_basis"] = "granted"
    case.device("light").update({"watts": watts, "class": 6})
    assert power(case, "light").reserved_mw >= 1000 * watts
    assert power(case, "light").reserved_mw <= 1000 * max(least, watts * 1.2)


@pytest.mark.parametrize("basis", ["class", "stated", "granted"])
def test_what_takes_no_power_reserves_none_and_what_lies_before_it_does(basis: str) -> None:
    """A recorder on a plain run reserves nothing; behind three extenders of 3 W the port gives theirs and the losses."""
    case = Case()
    case.rules["budget_basis"] = basis
    case.device("reader").update(watts=0)
    case.device("reader").pop("class")
    assert (power(case, "reader.1").reserved_mw, power(case, "reader.1").drawn_mw) == (0, 0)
    case.device("far").update(watts=0)
    case.device("far").pop("class")
    assert 9_000 < power(case, "far").drawn_mw < 9_500
    drawn = power(case, "far").drawn_mw
    assert power(case, "far").reserved_mw == {"class": 15_400, "stated": drawn}.get(basis, power(case, "far").reserved_mw)
    assert drawn <= power(case, "far").reserved_mw <= 15_400


@pytest.mark.parametrize(("pairs", "number", "expected"), [(2, 4, 2), (2, 5, 4), (4, 4, 4), (2, 3, 2), (4, 1, 4), (4, 6, 4)])
def test_a_port_of_two_pairs_feeds_four_from_class_5_on(pairs: int, number: int, expected: int) -> None:
    case = Case()
    case.group("strong")["pairs"] = pairs
    case.device("light").update({"class": number})
    solved = power(case, "light").solved
    assert (solved.pairs, solved.number, solved.load_number) == (expected, number, number)


def test_class_0_is_fed_on_two_pairs_and_as_class_3() -> None:
    case = Case()
    case.device("light").update({"class": 0})
    case.group("strong")["pairs"] = 2
    solved = power(case, "light").solved
    assert (solved.number, solved.pairs) == (0, 2)
    assert power(case, "light").reserved_mw == 15_400


def test_a_line_that_collapses_sets_its_class_aside_and_draws_nothing() -> None:
    case = Case()
    case.device("phone").update(cable="thin", run_m=450, watts=12.9)
    case.device("phone").pop("class")
    found = power(case, "phone.1")
    assert (found.solved.line, found.reserved_mw, found.drawn_mw) == (None, 15_400, 0)
    for basis in ("stated", "granted"):
        case.rules["budget_basis"] = basis
        assert power(case, "phone.1").reserved_mw == 0


def test_where_the_kit_states_no_class_a_fed_switch_takes_the_smallest_that_breaks_nothing() -> None:
    """Three cameras of class 2 are 21 W: with 5 W of its own at 0.9 class 5 leaves 31 W, class 4 leaves 17.95 W."""
    case = Case()
    assert facts(case).units["mast-1"].number == 5
    case.rules["budget_basis"] = "stated"
    assert facts(case).units["mast-1"].number == 5
    case.device("cam").update({"class": 1, "watts": 3.84})
    assert facts(case).units["mast-1"].number == 4
    case.device("cam").update({"class": 1, "watts": 0.5})
    assert facts(case).units["mast-1"].number == 3


@pytest.mark.parametrize(("own_w", "number"), [(1.9, 1), (2, 2), (4.3, 2), (4.4, 3), (10.1, 3), (10.2, 4), (21.4, 4), (21.5, 5)])
def test_a_switch_that_hands_out_nothing_takes_the_class_of_its_own_draw(own_w: float, number: int) -> None:
    """Device watts of classes 1 to 5 through 0.9 are 3.456, 5.841, 11.655, 22.95 and 36 W; its three cameras draw 1.503 W."""
    case = Case()
    case.rules["budget_basis"] = "stated"
    case.model("switches", "mast switch")["own_w"] = own_w
    case.device("cam").update({"class": 1, "watts": 0.5})
    assert facts(case).units["mast-1"].number == number


def test_a_switch_without_a_highest_class_takes_class_3_at_most() -> None:
    case = Case()
    case.model("switches", "mast switch")["in_class"] = None
    assert facts(case).units["mast-1"].number == 1  # none carries its cameras: the first of those that break the least
    assert "budget" in case.broken()


def row_of_switches(count: int) -> Case:
    """A desk that feeds a switch that feeds a switch, so many; the last one has a camera."""
    case = Case()
    case.rules["max_cascade"] = min(count, 4)
    case.scenario["runs"].append({"from": "mast", "to": "mast", "run_m": 1})
    for at in range(2, count + 1):
        above = {"unit": f"mast-{at - 1}", "group": "out", "port": 4}
        case.kit["units"].append({**case.unit("mast-1"), "unit": f"mast-{at}", "fed_by": above})
    return case


@pytest.mark.parametrize(("count", "followed"), [(DEEPEST, True), (DEEPEST + 1, False)])
def test_feeds_are_followed_so_far_in_a_row(count: int, followed: bool) -> None:
    """The last of the row hangs on another unit and has what that one's port gives; beyond that it stands for itself."""
    case = row_of_switches(count)
    found = facts(case)
    last = f"mast-{count}"
    assert (any(link.name == last for link, _ in found.powered())) is followed
    assert last in found.units


@pytest.mark.parametrize(("shielded", "reach"), [("yes", 95.238), ("no", 90.09)])
def test_a_screened_cable_loses_less_reach_in_the_heat(shielded: str, reach: float) -> None:
    """At 45 C: 0.2 % a degree over 25 degrees screened, 0.4 % unscreened to 40 C and 0.6 % above (ISO/IEC 11801, secondary source)."""
    case = Case()
    case.rules.update(derate_reach=True, cable_c=45)
    case.model("cables", "cat6")["shielded"] = shielded
    found = facts(case)
    route = next(link.route for link in found.network.links if link.name == "light")
    assert route is not None
    (told,) = reaches(route, (), found.rules)
    assert float(told) == pytest.approx(reach, abs=0.001)


@pytest.mark.parametrize(("stated", "fits"), [(50, True), (50.0005, True), (49.9995, True), (50.0006, False), (None, True)])
def test_a_stated_length_is_that_of_the_run_to_half_a_millimetre(stated: float | None, fits: bool) -> None:
    found = facts(Case())
    route = next(link.route for link in found.network.links if link.name == "light")
    assert route is not None
    plug: dict[str, Any] = {"device": "light", "place": "hut", "unit": "hut-1", "group": "strong", "port": 1, "run_m": stated}
    assert fits_route(Connection.model_validate(plug), route) is fits


def test_rows_of_runs_have_their_own_cable_bundle_and_path_and_devices_theirs() -> None:
    """What a run leaves empty is its place's; its bundle is the device's, and one cable for a feed."""
    case = Case()
    case.place("hut").update(ip="IP44", low_c=1, high_c=39)
    case.device("reader").update(bundle=7)
    case.scenario["runs"][1].update(cable="thin", path_high_c=55)
    case.scenario["runs"][0].update(cable="clad")
    site = facts(case).site
    own, other = site.device_routes(site.scenario.device["reader"])
    assert (own.cable.model, own.bundle, own.ip, own.low_c, own.high_c, own.row) == ("cat6", 7, (4, 4), 1, 39, None)
    assert (other.cable.model, other.bundle, other.ip, other.low_c, other.high_c, other.row) == ("thin", 7, (4, 4), 1, 55, 1)
    (feed,) = site.feed_routes("mast")
    assert (feed.cable.model, feed.bundle, feed.ip, feed.low_c, feed.high_c) == ("clad", 1, (6, 5), -25, 50)
    assert site.feed_routes("nowhere") == []
    assert site.feed_routes("reader") == []


def test_a_device_at_a_place_that_is_not_there_has_its_run_all_the_same() -> None:
    case = Case()
    case.device("light")["place"] = "moon"
    (route,) = facts(case).site.device_routes(facts(case).site.scenario.device["light"])
    assert (route.to, route.ip, route.low_c, route.high_c) == ("moon", None, None, None)


def test_data_passes_each_switch_once_on_its_way_and_a_circle_is_told() -> None:
    found = facts(row_of_switches(3)).network
    path, circle = found.upstream(found.nodes["mast-3"])
    assert ([node.name for node in path], circle) == (["mast-2", "mast-1", "hut-1"], False)
    case = row_of_switches(3)
    case.unit("mast-1")["fed_by"] = {"unit": "mast-3", "group": "out", "port": 3}
    found = facts(case).network
    path, circle = found.upstream(found.nodes["mast-3"])
    assert ([node.name for node in path], circle) == (["mast-2", "mast-1"], True)


def test_a_feed_through_an_injector_leads_to_where_the_injector_stands() -> None:
    case = Case()
    case.unit("mast-1")["fed_by"] = {"unit": "shop-1", "group": "all", "port": 5, "injector": {"unit": "hut-2", "port": 1}}
    link = next(link for link in facts(case).network.links if link.name == "mast-1")
    assert link.route is not None
    assert (link.place, link.route.to) == ("hut", "hut")
