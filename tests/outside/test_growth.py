"""Plans over stages and the reach of a kit against exhaustive search over stages, on random small sites (all invented).

The oracle (growth_oracle.py) is written from the rules alone. Nearly half of the sites looked at are small enough and have a kit
at every stage.
"""

from decimal import Decimal
from fractions import Fraction
from math import ceil
from random import Random

import pytest
from cases import numbers
from growth_oracle import Plans, every_kit, fits
from late import Late, within
from random_sites import small, topology, with_extenders

from equipsel.growth.ledger import bought
from equipsel.growth.plans import Terms, by_stage, discounts, once, planned
from equipsel.growth.reach import reach, reach_tasks
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown, stages
from equipsel.growth.wishes import Wish
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_rules

FAMILIES = (small, with_extenders, topology)
TERMS = Terms(Decimal(0), 600.0)
MOST_DEVICES = 5


def grown_site(number):
    """A site that grows by one or two stages, up to five devices; None where it is too large to begin with."""
    rng = Random(f"growth {number}")
    site = Site(*FAMILIES[number % 3](number // 3))
    rows = site.scenario.devices
    room = MOST_DEVICES - sum(row.count for row in rows)
    site = with_rules(site, backup_minutes=0, energy_price_kwh=0, max_cascade=min(1, site.rules.max_cascade), mip_gap=0)
    site = with_rules(site, discount_pct=rng.choice((0, 0, 5, 30)))
    if room < 1 or (number % 3 == 2 and room < 2):
        return None
    wishes = {}
    for stage in range(min(room, rng.choice((1, 2, 2)))):
        wishes[f"stage {stage}"] = [Wish(rng.choice(rows).device, rng.choice(("1", "1", "50%")))]
    return stages(site, wishes)


def kits_of(found):
    kits = [cheapest_kit(one.site.scenario, one.site.catalog, Limits(Decimal(0), 600.0)) for one in found.stages]
    return None if any(kit.cost is None for kit in kits) or len(kits) < 2 else kits


def three_plans(sites, kits):
    plans = [once(sites, kits[-1], TERMS), by_stage(sites, kits[0], TERMS)]
    return [*plans, planned(sites, kits, plans, TERMS)]


def check_plans(number, seconds=3600):
    """Whether the case had anything to compare. Raises Late where the oracle takes longer."""
    found = grown_site(number)
    kits = found and kits_of(found)
    if not kits:
        return False
    sites = [one.site for one in found.stages]
    at_once, step, ahead = three_plans(sites, kits)
    assert all(plan.proven for plan in (at_once, step, ahead)), number
    weights = discounts(sites[0], len(sites))
    cap = ceil(max(step.paid_cents[-1], at_once.paid_cents[-1]) / weights[-1])
    with within(seconds):
        oracle = Plans(sites, [every_kit(site, cap) for site in sites])
        bought_once, steps, (total, early) = oracle.once(), oracle.by_stage(weights), oracle.ahead(weights)
    assert at_once.total_cents == bought_once, number
    assert step.total_cents in steps, number
    assert abs(ahead.total - total) < Decimal("0.02"), number
    if weights[-1] == 1:
        assert sum(ahead.paid_cents[:-1]) == early, number
    assert ahead.total <= min(at_once.total, step.total), number
    return True


@pytest.mark.parametrize("cases", numbers(20, 4), ids=str)
def test_the_three_plans_cost_what_exhaustive_search_over_the_stages_says(cases):
    for number in cases:
        check_plans(number)


LATE_S = 15
"""Seconds after which the oracle gives a case up, where many are compared."""


@pytest.mark.slow
@pytest.mark.parametrize("half", [0, 1])
def test_250_plans(half):
    """Every other site until 250 were compared; both halves make five hundred."""
    compared = late = 0
    number = half
    while compared < 250:
        try:
            compared += check_plans(number, LATE_S)
        except Late:
            late += 1
        number += 2
    print(f"\n{compared} sites compared, {late} took the oracle over {LATE_S} s, the last is {number - 2}")


def check_reach(number):
    found = grown_site(number)
    kits = found and kits_of(found)
    if not kits:
        return False
    site = found.stages[0].site
    there = dict(as_the_oracle_names_it(bought(kits[0], site)))
    for task in reach_tasks(site, kits[0], TERMS):
        most = reach(task).most
        for more in range(1, min(most + 1, 3) + 1):
            wanted = grown(task.site, spread(task.counts, more))
            if sum(row.count for row in wanted.scenario.devices) <= MOST_DEVICES + 1:
                assert fits(wanted, there) == (more <= most), (number, task.what, more)
    return True


def as_the_oracle_names_it(counts):
    for key, count in counts.items():
        if key[0] == "extender":
            yield ("extender", *key[1:4], Fraction(key[5]), key[6]), count
        if key[0] == "unit":
            yield key, count


@pytest.mark.parametrize("cases", numbers(12, 4), ids=str)
def test_the_reach_of_a_kit_is_that_of_one_by_one_trial(cases):
    for number in cases:
        check_reach(number)


@pytest.mark.slow
def test_a_hundred_reaches():
    compared = late = number = 0
    while compared < 100:
        try:
            with within(LATE_S):
                compared += check_reach(number)
        except Late:
            late += 1
        number += 1
    print(f"\n{compared} sites compared, {late} took over {LATE_S} s, the last is {number - 1}")
