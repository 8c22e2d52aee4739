from decimal import Decimal
from typing import Any

import pytest
from sketch import Row, catalog, device, run, scenario, site

from equipsel.feeds.lines import Refusal, Route
from equipsel.feeds.routes import bundle_limit, device_routes, feed_routes

CABLES = [{"model": "first", "price_per_m": 1, "awg": 24}, {"model": "clad", "price_per_m": 1, "awg": 24, "material": "cca"}]
PLACES = [{"place": "hall", "ip": "IP20", "high_c": 40}, {"place": "attic", "high_c": 55}]


def routes(row: Row, *runs: Row, rules: Row | None = None, cables: list[Row] | None = None) -> list[Route | Refusal]:
    place = site(scenario(row, rules=rules, places=PLACES, runs=list(runs)), catalog(cables=CABLES if cables is None else cables))
    return device_routes(place.scenario.devices[0], place)


def only(row: Row, **more: Any) -> Route:
    (found,) = routes(row, **more)
    assert isinstance(found, Route)
    return found


def test_a_device_s_own_run_takes_the_first_cable() -> None:
    found = only(device("d", 5, run_m=40), rules={"run_slack_pct": 10, "run_extra_m": 2})
    assert (found.place, found.run_m, found.cable.model, found.row, found.existing) == ("hall", 46, "first", None, 0)


def test_without_cables_in_the_catalog_it_is_24_awg_copper_at_no_price() -> None:
    cable = only(device("d", 5), cables=[]).cable
    assert (cable.awg, cable.price_per_m, cable.pairs) == (24, 0, 4)


def test_an_existing_cable_covers_all_of_a_device_s_count() -> None:
    assert only(device("d", 5, existing_cable=True, count=3)).existing is None


def test_a_row_of_runs_is_another_route_with_its_own_cables() -> None:
    _, other = routes(device("d", 5, run_m=40), run("d", "attic", 70, existing=2), run("e", "attic", 5))
    assert isinstance(other, Route)
    assert (other.place, other.run_m, other.row, other.existing) == ("attic", 70, 0, 2)


def test_a_path_defaults_to_the_device_s_place_on_every_route() -> None:
    own, other = routes(device("d", 5, path_low_c=-30), run("d", "attic", 70, path_high_c=60))
    assert isinstance(own, Route)
    assert isinstance(other, Route)
    assert (own.path_ip, own.path_low_c, own.path_high_c) == ((2, 0), -30, 40)
    assert (other.path_ip, other.path_low_c, other.path_high_c) == ((2, 0), None, 60)


def test_copper_clad_aluminium_is_refused_unless_allowed() -> None:
    (found,) = routes(device("d", 5, cable="clad"))
    assert isinstance(found, Refusal)
    assert "clad" in found.message
    assert only(device("d", 5, cable="clad"), rules={"allow_cca": True}).cable.model == "clad"


def test_feeds_run_from_the_switch_s_place_and_bear_what_is_there() -> None:
    runs = [run("attic", "hall", 30), run("hall", "attic", 40), run("attic", "hall", 20, cable="clad")]
    place = site(scenario(device("d", 5), places=PLACES, runs=runs), catalog(cables=CABLES))
    assert [(item.place, item.run_m, item.path_high_c) for item in feed_routes("attic", place)] == [("hall", 30, 55)]


LIMITS = [{"awg": 24, "cables_up_to": 19, "amps_per_conductor": "0.4"}, {"awg": 24, "cables_up_to": 7, "amps_per_conductor": "0.5"}]


@pytest.mark.parametrize(("bundle", "amps"), [(1, 0.5), (7, 0.5), (8, 0.4), (19, 0.4)])
def test_the_smallest_bundle_that_holds_the_cable_gives_the_limit(bundle: int, amps: float) -> None:
    bought = catalog(cables=CABLES, bundles=LIMITS)
    assert bundle_limit(bought.cables[0], bundle, bought) == amps


def test_a_bundle_beyond_the_table_is_refused_with_both_numbers() -> None:
    bought = catalog(cables=CABLES, bundles=LIMITS)
    found = bundle_limit(bought.cables[0], 20, bought)
    assert isinstance(found, Refusal)
    assert ("20 cables" in found.message, "(19)" in found.message) == (True, True)


def test_a_gauge_without_rows_or_given_by_ohms_has_no_limit() -> None:
    bought = catalog(cables=[{"model": "ohms", "price_per_m": 1, "ohm_per_100m": 8}], bundles=LIMITS)
    assert bundle_limit(bought.cables[0], 500, bought) is None
    assert bundle_limit(bought.cables[0].model_copy(update={"awg": 23, "ohm_per_100m": None}), 500, bought) is None


def test_the_limit_stands_on_the_route() -> None:
    place = site(scenario(device("d", 5, bundle=12), places=PLACES), catalog(cables=CABLES, bundles=LIMITS))
    (found,) = device_routes(place.scenario.devices[0], place)
    assert isinstance(found, Route)
    assert found.most_amps == 0.4
    assert found.run_m == Decimal(30)
