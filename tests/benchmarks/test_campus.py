"""The invented campuses: the same for the same seed, and as large, as mixed and as odd as they say they are."""

from campus import campus
from masts import masts

from equipsel.solve import Limits, cheapest_kit


def total(scenario):
    return sum(row.count for row in scenario.devices)


def test_the_same_seed_is_the_same_site():
    assert campus(5, 40, 0.3, 1) == campus(5, 40, 0.3, 1)
    assert campus(5, 40, 0.3, 1) != campus(5, 40, 0.3, 2)
    assert campus(2, 9, 0, 1) == campus(2, 9, 0.0, 1)
    assert masts(3, 10, 6, 1) == masts(3, 10, 6, 1)


def test_a_campus_is_as_large_as_asked():
    scenario, catalog = campus(10, 50, 0.3, 0)
    assert total(scenario) == 500
    assert len(scenario.places) == 10
    assert len(scenario.devices) == 60
    assert 8 <= len(scenario.runs) <= 28
    assert len(catalog.switches) == 10
    assert len(catalog.supplies) == 29


def test_no_choice_of_place_makes_independent_places():
    assert campus(20, 50, 0, 0)[0].runs == ()


def test_prices_in_odd_cents_are_odd():
    catalog = campus(2, 6, 0.3, 0, odd=True)[1]
    assert all(int(row.price * 100) % 2 for row in (*catalog.switches, *catalog.supplies))
    assert all(row.price % 5 == 0 for row in (*campus(2, 6, 0.3, 0)[1].switches, *campus(2, 6, 0.3, 0)[1].supplies))


def test_masts_stand_without_mains_and_every_third_behind_another():
    scenario = masts(3, 10, 6, 0)[0]
    assert sum(not row.mains for row in scenario.places) == 6
    assert [row.from_ for row in scenario.runs if row.to.startswith("mast")] == ["mast2", "mast5"]


def test_a_small_campus_takes_seven_to_ninety_watts_at_its_ports():
    kit = cheapest_kit(*campus(1, 12, 0, 3), Limits(time_limit_s=30))
    assert kit.status == "optimal"
    assert all(6.9 <= row.reserved_w <= 90.1 for row in kit.connections)
