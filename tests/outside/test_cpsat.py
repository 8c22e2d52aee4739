"""The program's cost against a constraint model that gives each device its own port on a numbered unit.

The model (cpsat_model.py) is solved by OR-Tools CP-SAT (PyPI), an independent solver. It is first tested itself, against
the exhaustive search and the textbook model in HiGHS. All sites are invented.
"""

from decimal import Decimal

import cpsat_model
import exhaustive
import pytest
from beyond import Beyond
from random_masts import masted
from random_sites import middling, small, with_extenders
from textbook import enough, textbook

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario
from equipsel.solve import Limits, cheapest_kit

SECONDS = 10
QUICK = (0, 1, 3, 4, 5, 7, 9, 10, 11, 12, 14, 15, 16, 23, 25)  # middling sites that the constraint model proves in about a second


def program_cost(scenario, catalog):
    kit = cheapest_kit(scenario, catalog, Limits(time_limit_s=300, reasons_s=0))  # on a busy machine
    assert kit.status in ("optimal", "infeasible")
    return None if kit.cost is None else round(Decimal(str(kit.cost)) * 100)


def agrees(answer, cost):
    """The same cost where the model proves its own; else within what it has proven."""
    if answer.proven or cost is None:
        return answer.cost == cost  # a kit it finds where there is none is a disagreement, proven cheapest or not
    return (answer.bound or 0) <= cost <= (cost if answer.cost is None else answer.cost)


def disagreements(cases, seconds, family=middling):
    """Cases in which the two disagree, and how many the constraint model proved."""
    found, proven = {}, 0
    for number in cases:
        site = family(number)
        answer, cost = cpsat_model.cheapest_cost(*site, seconds), program_cost(*site)
        proven += answer.proven
        if not agrees(answer, cost):
            found[number] = (answer, cost)
    return found, proven


@pytest.mark.parametrize("cases", [QUICK[:5], QUICK[5:10], QUICK[10:]], ids=str)
def test_middling_sites(cases):
    found, proven = disagreements(cases, seconds=60)
    assert found == {}
    assert proven >= len(cases) - 1  # the constraint model is unlucky now and then


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


MASTED = (4, 8, 9, 22, 34, 44)  # sites of 20 to 28 devices with masts that the constraint model proves in a second or two
FEW = (0, 1, 4, 6, 9, 11, 12, 13, 16, 18, 22, 23)  # sites of two to five devices that every model proves at once


@pytest.mark.parametrize("number", MASTED)
def test_sites_with_masts(number):
    site = masted(number)
    kit, answer = cheapest_kit(*site, Limits()), cpsat_model.cheapest_cost(*site, 60)
    assert kit.status == "optimal"
    assert answer.proven
    assert answer.cost == round(Decimal(str(kit.cost)) * 100)
    assert 20 <= len(kit.connections) <= 60
    assert any(unit.fed_by for unit in kit.units)


@pytest.mark.slow
def test_many_sites_with_masts():
    """Until the constraint model has proven fifty, a minute each."""
    asked = proven = 0
    while proven < 50:
        found, more = disagreements([asked], seconds=60, family=masted)
        assert found == {}
        asked, proven = asked + 1, proven + more
    print(f"\n{asked} sites with masts, {proven} proven by the constraint model, none with another cost")


@pytest.mark.parametrize("cases", [FEW[:6], FEW[6:]], ids=str)
def test_all_oracles_agree_on_few_devices_around_masts(cases):
    """Constraint model, exhaustive search, textbook model; energy, which only the last one and the search know, on every other one."""
    for number in cases:
        scenario, catalog = masted(number, 2, 5)
        answer = cpsat_model.cheapest_cost(scenario, catalog, SECONDS)
        assert answer.proven
        assert answer.cost == exhaustive.cheapest_cost(scenario, catalog), number
        energy = {"energy_price_kwh": Decimal("0.31"), "years": Decimal(3)} if number % 2 else {}
        asked = scenario.model_copy(update={"rules": scenario.rules.model_copy(update=energy)})
        found, cost = textbook(asked, catalog, enough(asked, catalog), seconds=60).cost, program_cost(asked, catalog)
        assert (found is None) == (cost is None), number
        assert found is None or found == pytest.approx(cost / 100, abs=0.02), number
        assert energy or cost == answer.cost, number


def two_masts(max_cascade):
    """A camera on each of two masts in a row: by hand a room switch of 100, two pole switches of 60 and 40 m of new cable at 1."""
    ports = [{"model": "room", "group": "strong", "count": 2, "port_w": 90}, {"model": "pole", "group": "out", "count": 4, "port_w": 30}]
    switches = [
        {"model": "room", "price": 100, "budget_w": 90},
        {"model": "pole", "price": 60, "feed": "port", "in_class": 8, "budget_w": 60, "own_w": 2},
    ]
    cables = [{"model": "cable", "price_per_m": 1, "awg": 24}]
    masts = [{"place": name, "mains": False} for name in ("near", "far")]
    cameras = [
        {"device": f"camera {name}", "watts": "12.95", "place": name, "run_m": 5, "existing_cable": True} for name in ("near", "far")
    ]
    runs = [{"from": "near", "to": "room", "run_m": 80, "existing": 1}, {"from": "far", "to": "near", "run_m": 40}]
    scenario = {"rules": {"max_cascade": max_cascade}, "places": [{"place": "room"}, *masts], "devices": cameras, "runs": runs}
    return Scenario.model_validate(scenario), Catalog.model_validate({"switches": switches, "ports": ports, "cables": cables})


@pytest.mark.parametrize(("max_cascade", "want"), [(2, 26_000), (1, None)])
def test_a_cascade_and_its_limit(max_cascade, want):
    site = two_masts(max_cascade)
    assert cpsat_model.cheapest_cost(*site, SECONDS) == (want, True, want)
    assert exhaustive.cheapest_cost(*site) == want
    assert program_cost(*site) == want
    found = textbook(*site, enough(*site), seconds=SECONDS).cost
    assert found == (None if want is None else pytest.approx(want / 100))


def test_fed_switches_by_stated_draw_are_refused():
    scenario, catalog = masted(1)
    stated = scenario.model_copy(update={"rules": scenario.rules.model_copy(update={"budget_basis": "stated"})})
    with pytest.raises(Beyond, match="stated"):
        cpsat_model.cheapest_cost(stated, catalog)


@pytest.mark.parametrize("family", [small, with_extenders])
def test_the_two_oracles_agree(family):
    compared = 0
    for number in range(60):
        site = family(number)
        try:
            answer = cpsat_model.cheapest_cost(*site, SECONDS)
        except Beyond:
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
    with pytest.raises(Beyond, match="energy"):
        cpsat_model.cheapest_cost(priced, catalog)
