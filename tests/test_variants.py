from decimal import Decimal

import pytest
from pydantic import ValidationError
from sketch import catalog, device, ports, scenario, switch

from equipsel.scenario import Owned
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

SITE = Site(scenario(device("cam", 9), device("dome", 20), rules={"spare_watts_pct": 10}), catalog(switch("s", 50, 60, ports(4, 30))))


def test_other_rules_leave_the_rest_and_the_site_itself_alone() -> None:
    other = with_rules(SITE, spare_watts_pct="30", max_models=2)
    assert (other.rules.spare_watts_pct, other.rules.max_models) == (30, 2)
    assert other.scenario.devices == SITE.scenario.devices
    assert SITE.rules.spare_watts_pct == 10


def test_a_rule_that_is_not_allowed_is_refused() -> None:
    with pytest.raises(ValidationError):
        with_rules(SITE, spare_watts_pct="120")


def test_tables_of_scenario_and_catalog_are_exchanged_and_what_was_remembered_is_not() -> None:
    assert set(SITE.scenario.device) == {"cam", "dome"}
    assert set(SITE.catalog.switch) == {"s"}
    renamed = with_values(SITE.catalog.switches[0], model="t", price="60")
    other = with_tables(SITE, devices=SITE.scenario.devices[:1], switches=(renamed,), owned=(Owned(model="t", place="closet", count=1),))
    assert set(other.scenario.device) == {"cam"}
    assert set(other.catalog.switch) == {"t"}
    assert other.catalog.switches[0].price == Decimal(60)
    assert other.owned() == {("closet", "t"): 1}
    assert set(SITE.catalog.switch) == {"s"}
