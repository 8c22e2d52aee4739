"""What one unit may do, at its bounds: what fits to the last watt, port, megabit or piece, and what is one too much."""

import pytest
from good_kit import Case, _line


@pytest.mark.parametrize(("budget_w", "fits"), [(119, True), (118.999, False)])
def test_a_budget_may_be_reserved_to_the_last_milliwatt(budget_w: float, fits: bool) -> None:
    case = Case()
    case.model("switches", "core")["budget_w"] = budget_w
    told = ["unit hut-1: Its ports reserve 119 W; its budget allows 118.999 W."]
    assert case.broken() == ({} if fits else {"budget": told})


@pytest.mark.parametrize("ports", [1, 2])
def test_a_unit_of_one_powered_port_keeps_no_watts_spare_and_one_of_two_does(ports: int) -> None:
    case = Case()
    case.rules["spare_watts_pct"] = 10
    case.model("injectors", "inj90").update(ports=ports, budget_w=45)
    told = ["unit hut-2: Its ports reserve 45 W; its budget allows 40.5 W (45 W less 10 % spare)."]
    assert case.broken() == ({} if ports == 1 else {"budget": told})


def test_of_a_unit_of_one_powered_port_it_is_not_said_that_watts_are_kept_spare() -> None:
    case = Case()
    case.rules["spare_watts_pct"] = 10
    case.model("injectors", "inj90")["budget_w"] = 44
    assert case.broken()["budget"] == ["unit hut-2: Its ports reserve 45 W; its budget allows 44 W."]


@pytest.mark.parametrize(("group_w", "fits"), [(105, True), (104.999, False)])
def test_a_group_may_give_all_its_watts(group_w: float, fits: bool) -> None:
    """60 W for the light and 45 W for the mast."""
    case = Case()
    case.group("strong")["group_w"] = group_w
    told = ["unit hut-1: Group strong reserves 105 W; it gives 104.999 W together."]
    assert case.broken() == ({} if fits else {"group watts": told})


@pytest.mark.parametrize(("own_w", "fits"), [(120, True), (120.5, False)])
@pytest.mark.parametrize(("supplies", "redundant"), [(["dc120"], False), (["dc240", "dc120"], True)])
def test_the_counted_supplies_carry_the_switch_itself(own_w: float, fits: bool, supplies: list[str], redundant: bool) -> None:
    """One supply, or two of which the larger does not count: 120 W either way."""
    case = Case()
    case.rules["redundant_supplies"] = redundant
    case.unit("hut-1")["supplies"] = supplies
    case.model("switches", "core")["own_w"] = own_w
    told = ["unit hut-1: Its counted supplies give 120 W; the switch itself takes 120.5 W."]
    assert case.broken().get("supplies", []) == ([] if fits else told)


@pytest.mark.parametrize(("uplink_mbps", "fits"), [(24, True), (23.98, False)])
def test_traffic_may_take_its_whole_share_of_the_uplink(uplink_mbps: float, fits: bool) -> None:
    """Three cameras of 4 Mb/s on half of 24 Mb/s."""
    case = Case()
    case.rules["uplink_share_pct"] = 50
    case.model("switches", "mast switch")["uplink_mbps"] = uplink_mbps
    told = ["unit mast-1: 12 Mb/s pass it; allowed are 50 % of its 23.98 Mb/s uplink, 11.99 Mb/s."]
    assert case.broken() == ({} if fits else {"uplink": told})


@pytest.mark.parametrize(("own_w", "carried"), [(35.5, True), (36, True), (36.001, False)])
def test_a_class_may_carry_the_fed_switch_alone(own_w: float, carried: bool) -> None:
    """Class 5 brings 40 W, 36 of them through the converter; the cameras are then too much, which is another rule."""
    case = Case()
    case.model("switches", "mast switch")["own_w"] = own_w
    case.unit("mast-1")["fed_by"]["class"] = 5
    told = [] if carried else ["unit mast-1: Class 5 does not carry the switch's own 36.001 W."]
    assert case.broken().get("fed class", []) == told
    assert "budget" in case.broken()


def critical_readers() -> Case:
    """Both readers are critical, and no unit may carry more than half of a place's critical devices."""
    case = Case()
    case.rules["max_critical_share_pct"] = 50
    case.device("reader")["priority"] = "critical"
    return case


def test_a_critical_device_counts_where_its_unit_stands_whatever_place_the_kit_names() -> None:
    case = critical_readers()
    told = ["unit hut-1: It carries 2 of the 2 critical devices of its place; allowed are 50 %, 1 devices."]
    assert case.broken() == {"critical share": told}
    for number in (1, 2):
        case.row(f"reader.{number}")["place"] = "shop"
    assert case.broken()["critical share"] == told


def test_a_critical_device_on_an_unknown_unit_is_carried_by_none() -> None:
    case = critical_readers()
    case.row("reader.2")["unit"] = "hut-9"
    assert set(case.broken()) == {"unit"}


def listed(case: Case, *models: str) -> Case:
    """Every supply on a line of its own, at no price."""
    case.kit["lines"] = [_line("supply", model, "hut", 1, 0) for model in models]
    return case


def test_supplies_at_no_price_add_up_over_their_lines() -> None:
    case = Case()
    case.unit("hut-1")["supplies"] = ["dc120", "dc120"]
    case.scenario["owned"].append({"model": "dc120", "place": "hut", "count": 1})
    assert "owned" not in listed(case, "dc120").broken()
    assert listed(case, "dc120", "dc120").broken()["owned"] == ["place hut: 2 of dc120 are used as owned; 1 are there."]


@pytest.mark.parametrize(("price", "install_cost", "taken"), [(0, 0, False), (0.5, 0, True), (0, 0.5, True), (50, 60, True)])
def test_only_a_supply_that_costs_something_is_taken_as_already_there_at_no_price(price: float, install_cost: float, taken: bool) -> None:
    case = Case()
    case.model("supplies", "dc120").update(price=price, install_cost=install_cost)
    told = ["place hut: 1 of dc120 are used as owned; 0 are there."]
    assert listed(case, "dc120").broken().get("owned", []) == (told if taken else [])


def test_a_supply_that_the_catalog_does_not_have_is_not_taken_as_already_there() -> None:
    assert "owned" not in listed(Case(), "none such").broken()


@pytest.mark.parametrize(("most", "fits"), [(5, True), (4, False)])
def test_as_many_models_as_allowed(most: int, fits: bool) -> None:
    """Two switches of the hut and the mast, one of the shop, an injector and an extender."""
    case = Case()
    case.rules["max_models"] = most
    told = ["kit: It has 5 models (core, inj90, mast switch, desk, ext); max_models is 4."]
    assert case.broken() == ({} if fits else {"max models": told})


def test_an_extra_for_the_place_of_a_device_needs_a_unit_that_serves_it() -> None:
    case = Case()
    case.catalog["extras"] = [{"item": "label", "price": 1, "per": "place", "for": "light"}]
    case.kit["lines"] = []
    assert "line extra label: The line is missing: 1 for 1." in case.broken()["lines"]
    case.row("light")["unit"] = "hut-9"
    assert not [told for told in case.broken()["lines"] if "label" in told]
