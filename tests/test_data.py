"""The catalog and the scenarios that come with the project: they read without a problem, and every row can be used."""

from decimal import Decimal
from itertools import permutations
from pathlib import Path

import pytest

from equipsel.catalog import Catalog, Switch
from equipsel.files import read_catalog, read_site
from equipsel.kit import Status
from equipsel.scenario import Device
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.standard import CLASSES

ROOT = Path(__file__).parent.parent
SCENARIOS = ("workshop", "school", "yard", "depot")
LEAST = {"switches": 12, "supplies": 8, "injectors": 5, "extenders": 3, "cables": 3, "backups": 2}
WANTED = {"workshop": (12, 12, 1), "school": (58, 62, 4), "yard": (20, 40, 4), "depot": (8, 8, 1)}
OTHERS = {"large": "LRG-", "small": "SML-"}
PLAIN_W = CLASSES[3].pse_w


@pytest.fixture(scope="module")
def sites() -> dict[str, Site]:
    return {name: read_site(ROOT / "scenarios" / name) for name in SCENARIOS}


@pytest.fixture(scope="module")
def catalog(sites: dict[str, Site]) -> Catalog:
    return sites["workshop"].catalog


def everything(site: Site) -> list[Device]:
    return [device for device in site.scenario.devices for _ in range(device.count)]


def budget_w(catalog: Catalog, switch: Switch) -> Decimal:
    """The most a switch can ever hand out, W."""
    limit = Decimal("1e9") if switch.budget_w is None else switch.budget_w
    if switch.feed == "mains":
        return limit
    if switch.feed == "port":
        assert switch.in_class is not None
        return min(limit, CLASSES[switch.in_class].pd_w * switch.efficiency - switch.own_w)
    fitting = [supply.watts for supply in catalog.supplies if supply.fit == switch.supply_fit]
    return min(limit, switch.supply_slots * max(fitting, default=Decimal(0)) - switch.own_w)


def test_all_use_the_same_catalog(sites: dict[str, Site]) -> None:
    assert all(site.catalog == sites["workshop"].catalog for site in sites.values())


@pytest.mark.parametrize(("table", "least"), LEAST.items())
def test_the_catalog_has_enough_of_everything(catalog: Catalog, table: str, least: int) -> None:
    rows = getattr(catalog, table)
    assert len(rows) >= least
    assert len({row.model for row in rows}) == len(rows)


def test_switches_run_from_4_to_48_ports_and_take_every_feed(catalog: Catalog) -> None:
    powered = {model: sum(group.count for group in groups if group.port_w) for model, groups in catalog.groups.items()}
    assert min(count for count in powered.values() if count) == 4
    assert max(powered.values()) == 48
    assert {switch.feed for switch in catalog.switches} == {"mains", "supply", "port"}
    fed = {switch.in_class for switch in catalog.switches if switch.feed == "port"}
    assert len(fed) >= 3
    assert any(switch.ip >= (6, 5) and switch.low_c is not None and switch.high_c is not None for switch in catalog.switches)
    assert any(switch.supply_slots > 1 for switch in catalog.switches)


def test_the_four_port_mix_takes_three_external_supplies(catalog: Catalog) -> None:
    mixed = {(Decimal(90), 2), (Decimal(30), 2)}
    found = [model for model, groups in catalog.groups.items() if {(row.port_w, row.count) for row in groups if row.port_w} == mixed]
    assert len(found) == 1
    fit = catalog.switch[found[0]].supply_fit
    assert {supply.watts for supply in catalog.supplies if supply.fit == fit} == {Decimal(120), Decimal(180), Decimal(240)}


def test_every_switch_can_be_used(catalog: Catalog) -> None:
    for switch in catalog.switches:
        groups = catalog.groups[switch.model]
        assert groups, switch.model
        best = max(group.port_w for group in groups)
        assert best == 0 or budget_w(catalog, switch) >= min(best, PLAIN_W), switch.model
        assert switch.low_c is not None, switch.model
        assert switch.high_c is not None, switch.model


def test_every_port_group_and_supply_belongs_to_a_switch(catalog: Catalog) -> None:
    assert {group.model for group in catalog.ports} == set(catalog.switch)
    assert {supply.fit for supply in catalog.supplies} == {row.supply_fit for row in catalog.switches if row.supply_fit}


def test_no_supply_is_beaten_by_one_of_the_same_fit(catalog: Catalog) -> None:
    for one, other in permutations(catalog.supplies, 2):
        if one.fit == other.fit and one.watts >= other.watts:
            assert one.price > other.price, f"{one.model} leaves no use for {other.model}"


def test_injectors_single_multiple_strong_and_outdoor(catalog: Catalog) -> None:
    assert {Decimal(30), Decimal(60), Decimal(90)} <= {row.port_w for row in catalog.injectors if row.ports == 1}
    assert any(row.ports > 1 and row.total_w < row.ports * row.port_w for row in catalog.injectors)
    assert any(row.volts == 55 and row.pairs == 4 for row in catalog.injectors)
    assert any(row.ip >= (6, 5) for row in catalog.injectors)


def test_cables_of_every_kind(catalog: Catalog) -> None:
    assert {22, 23, 24} <= {row.awg for row in catalog.cables}
    assert any(row.sold_m == 305 for row in catalog.cables)
    assert any(row.shielded for row in catalog.cables)
    assert catalog.cables[0].material == "copper", "the first cable is the default one"


def test_no_limits_of_a_local_code_are_included(catalog: Catalog) -> None:
    assert not catalog.bundles


@pytest.mark.parametrize("table", ["switches", "supplies", "injectors", "extenders", "cables", "backups", "extras"])
def test_every_row_says_that_it_is_invented(catalog: Catalog, table: str) -> None:
    for row in getattr(catalog, table):
        carried = dict(row.carried)
        assert carried["note"].startswith("invented")
        assert carried["part_no"].startswith("GEN-")


def test_part_numbers_differ(catalog: Catalog) -> None:
    tables = (catalog.switches, catalog.supplies, catalog.injectors, catalog.extenders, catalog.cables, catalog.backups, catalog.extras)
    numbers = [dict(row.carried)["part_no"] for table in tables for row in table]
    assert len(set(numbers)) == len(numbers)


@pytest.mark.parametrize("name", SCENARIOS)
def test_the_scenarios_have_the_size_they_are_meant_to_have(sites: dict[str, Site], name: str) -> None:
    least, most, places = WANTED[name]
    assert least <= len(everything(sites[name])) <= most
    assert len(sites[name].scenario.place) == places


@pytest.mark.parametrize("name", SCENARIOS)
def test_titles_say_that_the_site_is_invented(sites: dict[str, Site], name: str) -> None:
    assert "invented" in sites[name].scenario.title


@pytest.mark.parametrize("folder", ["catalogs", "scenarios"])
def test_the_notes_beside_the_data_say_that_it_is_invented(folder: str) -> None:
    assert "invented" in (ROOT / folder / "README.md").read_text(encoding="utf-8")


def test_the_workshop_holds_the_loads_of_the_trade(sites: dict[str, Site]) -> None:
    watts = [device.pd_w for device in everything(sites["workshop"])]
    assert {Decimal(51), Decimal("71.3"), Decimal(0)} <= set(watts)


def test_the_school_has_strong_devices_choices_and_owned_equipment(sites: dict[str, Site]) -> None:
    school = sites["school"].scenario
    assert sum(60 <= CLASSES[device.number].pse_w <= 90 for device in everything(sites["school"]) if device.number is not None) >= 6
    outdoor = [device for device in school.devices if device.kind == "outdoor-access-point"]
    assert len(outdoor) >= 2
    assert all(device.pd_w > 30 for device in outdoor)
    assert {run.from_ for run in school.runs} <= set(school.device)
    assert school.runs
    assert school.owned


def test_the_yard_has_long_runs_and_masts_without_mains(sites: dict[str, Site]) -> None:
    yard = sites["yard"].scenario
    far = max(yard.devices, key=lambda device: device.run_m)
    assert (far.run_m, far.pd_w) == (Decimal(305), Decimal("25.5"))
    masts = [place.place for place in yard.place.values() if not place.mains]
    assert len(masts) == 2
    assert set(masts) <= {run.from_ for run in yard.runs}
    assert any(run.existing for run in yard.runs)


@pytest.mark.parametrize(("name", "prefix"), OTHERS.items())
def test_the_other_lists_say_that_they_are_invented_and_fit_every_scenario(name: str, prefix: str) -> None:
    other = read_catalog(ROOT / "catalogs" / name)
    tables = (other.switches, other.supplies, other.injectors, other.extenders, other.cables, other.backups, other.extras)
    carried = [dict(row.carried) for table in tables for row in table]
    assert all(row["note"].startswith("invented") and row["part_no"].startswith(prefix) for row in carried)
    assert len({row["part_no"] for row in carried}) == len(carried)
    assert {supply.fit for supply in other.supplies} == {row.supply_fit for row in other.switches if row.supply_fit}
    for scenario in SCENARIOS:
        assert read_site(ROOT / "scenarios" / scenario, ROOT / "catalogs" / name).catalog == other


OF_LARGE_IN_SCHOOL = pytest.param("large", "school", marks=pytest.mark.slow)
SERVED = [(name, scenario) for name in OTHERS for scenario in SCENARIOS if (name, scenario) != ("large", "school")]


@pytest.mark.parametrize(("name", "scenario"), [*SERVED, OF_LARGE_IN_SCHOOL])
def test_the_other_lists_serve_every_scenario(name: str, scenario: str) -> None:
    """Any kit will do, so the search may stop early; it has passed its re-check. That `generic` serves them, other tests show."""
    site = read_site(ROOT / "scenarios" / scenario, ROOT / "catalogs" / name)
    kit = cheapest_kit(site.scenario, site.catalog, Limits(gap=Decimal("0.9")))
    assert kit.status is Status.OPTIMAL, kit.reasons


def test_the_other_lists_have_philosophies_of_their_own(catalog: Catalog) -> None:
    large, small = (read_catalog(ROOT / "catalogs" / name) for name in OTHERS)
    assert max(sum(row.count for row in groups if row.port_w) for groups in large.groups.values()) == 96
    own = [row for row in small.switches if row.model not in catalog.switch]
    assert max(sum(row.count for row in small.groups[switch.model] if row.port_w) for switch in own) == 8
    assert not any(row.feed == "mains" and row.budget_w for row in own), "every small switch takes its power from outside"
    assert len(small.injectors) > 2 * len(large.injectors)


@pytest.mark.parametrize(("one", "other"), list(permutations(("generic", "large", "small"), 2)))
def test_cables_are_the_same_on_every_list_but_for_their_prices(one: str, other: str) -> None:
    mine, theirs = (read_catalog(ROOT / "catalogs" / name) for name in (one, other))
    prices = {"price_per_m", "line", "carried"}
    facts = {row.model: row.model_dump(exclude=prices) for row in theirs.cables}
    assert all(row.model_dump(exclude=prices) == facts[row.model] for row in mine.cables if row.model in facts)
