"""The program's cost against a constraint model that gives each device its own port on a numbered unit.

The model (cpsat_model.py) is solved by OR-Tools CP-SAT (PyPI), an independent solver. It is first tested itself, against
the exhaustive search and the textbook model in HiGHS. All sites are invented.
"""

from decimal import Decimal

import cpsat_model
import exhaustive
import pytest
from random_sites import middling, small, with_extenders
from textbook import textbook

from equipsel.solve import Limits, cheapest_kit

SECONDS = 10
QUICK = (0, 1, 3, 4, 5, 7, 9, 10, 11, 12, 14, 15, 16, 23, 25)  # middling sites that the constraint model proves in about a second


def program_cost(scenario, catalog):
    kit = cheapest_kit(scenario, catalog, Limits())
    assert kit.status in ("optimal", "infeasible")
    return None if kit.cost is None else round(Decimal(str(kit.cost)) * 100)


def agrees(answer, cost):
    """The same cost where the model proves its own; else within what it has proven."""
    if answer.proven or cost is None:
        return answer.cost == cost and answer.proven
    return (answer.bound or 0) <= cost <= (cost if answer.cost is None else answer.cost)


def disagreements(cases, seconds):
    """Cases in which the two disagree, and how many the constraint model proved."""
    found, proven = {}, 0
    for number in cases:
        site = middling(number)
        answer, cost = cpsat_model.cheapest_cost(*site, seconds), program_cost(*site)
        proven += answer.proven
        if not agrees(answer, cost):
            found[number] = (answer, cost)
    return found, proven


@pytest.mark.parametrize("cases", [QUICK[:5], QUICK[5:10], QUICK[10:]], ids=str)
def test_middling_sites(cases):
    found, proven = disagreements(cases, seconds=30)
    assert found == {}
    assert proven == len(cases)


@pytest.mark.slow
def test_many_middling_sites():
    found, proven = disagreements(range(60), seconds=30)
    assert found == {}
    assert proven >= 50


def test_middling_sites_are_worth_it():
    sites = [middling(number)[0] for number in range(60)]
    sizes = [sum(row.count for row in site.devices) for site in sites]
    assert max(sizes) >= 50
    assert {len(site.places) for site in sites} == {1, 2, 3}


@pytest.mark.parametrize("family", [small, with_extenders])
def test_the_two_oracles_agree(family):
    compared = 0
    for number in range(60):
        site = family(number)
        try:
            answer = cpsat_model.cheapest_cost(*site, SECONDS)
        except cpsat_model.Beyond:
            continue
        assert answer.proven
        assert answer.cost == exhaustive.cheapest_cost(*site), f"{family.__name__} {number}"
        compared += 1
    assert compared >= 15


@pytest.mark.parametrize("number", [18, 29, 35, 37])
def test_the_textbook_model_agrees(number):
    """With a unit of each model in each place for each device the textbook model has enough."""
    site = middling(number)
    units = sum(row.count for row in site[0].devices)
    answer, found = cpsat_model.cheapest_cost(*site, SECONDS), textbook(*site, units=units, seconds=60)
    assert answer.proven
    assert found.cost == pytest.approx(answer.cost / 100, abs=0.005)


def test_what_the_model_does_not_know_is_refused():
    scenario, catalog = middling(1)
    priced = scenario.model_copy(
        update={"rules": scenario.rules.model_copy(update={"energy_price_kwh": Decimal("0.3"), "years": Decimal(3)})}
    )
    with pytest.raises(cpsat_model.Beyond, match="energy"):
        cpsat_model.cheapest_cost(priced, catalog)
