"""Budgets, efficiencies and what goes into a unit, worked out by hand; and what holds of units that are not as they should be."""

from fractions import Fraction

from good_kit import Case

from equipsel.audit.budgets import budget_w, counted_w, efficiency, input_w, through_w
from equipsel.audit.facts import Facts, build_facts
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def facts_of(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def test_a_unit_the_catalog_does_not_know_has_no_budget_and_takes_in_what_it_hands_out() -> None:
    case = Case()
    case.unit("hut-2")["model"] = "none such"
    facts = facts_of(case)
    node = facts.network.nodes["hut-2"]
    assert budget_w(node, None, facts.rules) == 0
    assert efficiency(node) == 1
    assert input_w(node, 1500) == Fraction(3, 2)
    assert through_w(node, Fraction(7)) == 7


def test_a_mains_switch_that_states_no_budget_hands_out_nothing() -> None:
    case = Case()
    case.model("switches", "desk").pop("budget_w")
    facts = facts_of(case)
    assert budget_w(facts.network.nodes["shop-1"], None, facts.rules) == 0
    assert case.broken().keys() == {"budget"}


def test_a_fed_switch_on_no_class_has_no_budget() -> None:
    """On class 5 it has 40 x 0.9 - 5 = 31 W."""
    facts = facts_of(Case())
    node = facts.network.nodes["mast-1"]
    assert budget_w(node, None, facts.rules) == 0
    assert budget_w(node, 5, facts.rules) == 31


def test_the_largest_supply_does_not_count_where_supplies_must_be_redundant() -> None:
    case = Case()
    facts = facts_of(case)
    assert counted_w(facts.network.nodes["hut-1"], facts.rules) == 360
    case.rules["redundant_supplies"] = True
    facts = facts_of(case)
    assert counted_w(facts.network.nodes["hut-1"], facts.rules) == 120


def test_a_switch_with_supplies_is_as_efficient_as_the_worst_of_them_and_not_as_its_own_row_says() -> None:
    """(10 + 119) / 0.8 = 161.25 W from the mains, 161.25 - 119 = 42.25 W of heat."""
    case = Case()
    case.state_everything()
    case.model("supplies", "dc240")["efficiency"] = 0.95
    case.model("supplies", "dc120")["efficiency"] = 0.8
    case.unit("hut-1").update(mains_w=161.25, heat_w=42.25)
    assert case.broken() == {}


def test_supplies_on_a_mains_switch_do_not_change_its_efficiency() -> None:
    """(8 + 8) / 0.9 = 17.778 W from the mains as before; that it has a supply at all is told."""
    case = Case()
    case.state_everything()
    case.model("supplies", "ac500")["efficiency"] = 0.5
    case.unit("shop-1")["supplies"] = ["ac500"]
    found = case.broken()
    assert "supplies" in found
    assert "unit figures" not in found
