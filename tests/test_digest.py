from decimal import Decimal

from sketch import catalog, device, ports, scenario, switch

from equipsel.digest import inputs_sha256
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

SITE = Site(scenario(device("cam", 9)), catalog(switch("s", 50, 60, ports(4, 30))))


def test_the_same_site_however_written_has_one_fingerprint() -> None:
    written = with_rules(SITE, cable_c=Decimal("20.0"), spare_watts_pct="0.00")
    elsewhere = Site(Scenario(**{**dict(SITE.scenario), "catalog": "../other"}), SITE.catalog)
    assert len({inputs_sha256(site) for site in (SITE, written, elsewhere)}) == 1


def test_any_row_or_rule_changes_it() -> None:
    dearer = with_tables(SITE, switches=(with_values(SITE.catalog.switches[0], price="50.01"),))
    labelled = with_tables(SITE, devices=(with_values(SITE.scenario.devices[0], carried=(("label", "C1"),)),))
    warmer = with_rules(SITE, cable_c=21)
    assert len({inputs_sha256(site) for site in (SITE, dearer, labelled, warmer)}) == 4
