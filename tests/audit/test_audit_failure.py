"""What goes dark when a second supply fails: low priority first, until what is left carries the rest."""

import pytest
from good_kit import Case

from equipsel.audit.budgets import budget_w, counted_w, efficiency, input_w, through_w
from equipsel.audit.facts import Facts, build_facts
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def redundant(*watts: float, own_w: float = 10, **switch: float) -> Case:
    """The hut's core with supplies of so many watts, N+1; its ports reserve 60, 7, 7 and 45 W (the mast with three cameras)."""
    case = Case()
    case.rules["redundant_supplies"] = True
    for at, each in enumerate(watts):
        case.catalog["supplies"].append({**case.model("supplies", "dc240"), "model": f"s{at}", "watts": each})
    case.unit("hut-1")["supplies"] = [f"s{at}" for at in range(len(watts))]
    case.model("switches", "core").update(supply_slots=4, own_w=own_w, **switch)
    return case


def note(case: Case) -> str:
    (found,) = [one.message for one in case.remarks()["second failure"]]
    return found


def test_with_both_supplies_gone_all_go_dark() -> None:
    assert note(redundant(240, 240)) == (
        "If both its supplies failed, light, reader.1, reader.2, cam.1, cam.2, cam.3 would go dark, low priority first."
    )


@pytest.mark.parametrize(
    ("third", "dark"),
    [
        (129, "no device"),
        (128.999, "light"),
        (69, "light"),
        (68.999, "light, reader.1"),
        (62, "light, reader.1"),
        (55, "light, reader.1, reader.2"),
    ],
)
def test_just_so_many_go_dark_that_the_rest_is_carried(third: float, dark: str) -> None:
    """A third supply gives its watts less the switch's own 10 W: 119 W carry all, 59 W all but the light."""
    words = note(redundant(240, third, 240))
    assert words == (
        "If the two largest of its 3 supplies failed, "
        + (f"{dark} would go dark, low priority first." if dark != "no device" else "no device would go dark.")
    )


def test_a_switch_hands_out_no_more_than_its_own_budget_after_failures_either() -> None:
    assert note(redundant(240, 200, 240, budget_w=119)).endswith("no device would go dark.")
    assert "light would go dark" in note(redundant(240, 200, 240, budget_w=118))


def test_low_priority_goes_first_and_a_switch_behind_goes_by_its_most_important_device() -> None:
    case = redundant(240, 70, 240)
    case.device("light")["priority"] = "critical"
    case.device("reader")["priority"] = "high"
    assert note(case).endswith("failed, cam.1, cam.2, cam.3, reader.1, reader.2 would go dark, low priority first.")
    case.device("cam")["priority"] = "critical"
    assert note(case).endswith("failed, reader.1, reader.2, light would go dark, low priority first.")


def test_what_reserves_nothing_cannot_go_dark() -> None:
    case = redundant(240, 240)
    case.device("reader")["watts"] = 0
    case.device("reader").pop("class")
    assert "reader" not in note(case)


def test_more_than_twenty_are_told_as_a_number() -> None:
    case = redundant(240, 240)
    case.device("reader")["count"] = 24
    case.group("plain")["count"] = 24
    rows = [row for row in case.kit["connections"] if not row["device"].startswith("reader")]
    reader = case.row("reader.1")
    case.kit["connections"] = [*rows, *({**reader, "device": f"reader.{at}", "port": at} for at in range(1, 25))]
    assert ", reader.16 and 8 more would go dark" in note(case) or "and 8 more would go dark" in note(case)


def test_other_units_are_looked_at_after_one_with_nothing_to_tell() -> None:
    """The units before the core have one supply, or none."""
    case = redundant(240, 240)
    case.kit["units"].insert(0, {**case.unit("hut-1"), "unit": "hut-0", "supplies": ["dc240"]})
    assert [one.where for one in case.remarks()["second failure"]] == ["unit hut-1"]


def test_budgets_of_what_the_catalog_does_not_know() -> None:
    case = Case()
    case.unit("hut-2")["model"] = "none such"
    case.kit["units"].append({"unit": "hut-3", "model": "none such", "place": "hut", "supplies": ["dc240"]})
    found = facts(case)
    node = found.network.nodes["hut-3"]
    assert (budget_w(node, None, found.rules), efficiency(node), input_w(node, 1500), through_w(node, 2)) == (0, 1, 1.5, 2)
    assert counted_w(node, found.rules) == 240


def test_a_budget_that_is_not_stated_or_not_fed_is_none() -> None:
    case = Case()
    case.model("switches", "desk")["budget_w"] = None
    found = facts(case)
    assert budget_w(found.network.nodes["shop-1"], None, found.rules) == 0
    assert budget_w(found.network.nodes["mast-1"], None, found.rules) == 0


def test_only_a_switch_fed_by_supplies_has_their_efficiency() -> None:
    """By hand: the lower of 0.8 and 0.95 for the core; a mains switch keeps its own 0.9 whatever lies in it."""
    case = Case()
    case.model("supplies", "dc240")["efficiency"] = 0.95
    case.model("supplies", "dc120")["efficiency"] = 0.8
    case.unit("shop-1")["supplies"] = ["dc120"]
    found = facts(case)
    told = {name: float(efficiency(found.network.nodes[name])) for name in ("hut-1", "shop-1", "hut-2", "mast-1")}
    assert told == {"hut-1": 0.8, "shop-1": 0.9, "hut-2": 0.9, "mast-1": 0.9}
