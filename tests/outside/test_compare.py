"""Break-even prices against bisection, trade-offs and near kits against full enumeration, on random small sites (all invented).

The enumeration is the exhaustive search's (exhaustive.py), written from the rules alone. What was compared is
told with -s.
"""

from collections import Counter
from decimal import Decimal
from math import floor
from random import Random

import pytest
from cases import numbers
from exhaustive import cheapest_cost
from near_oracle import different_bills
from random_sites import small, topology, with_extenders

from equipsel.compare.ask import PRICED, Question, cost_cents, without
from equipsel.compare.break_even import Verdict, break_even_prices
from equipsel.compare.mixed import mixed
from equipsel.compare.near import NearKits
from equipsel.compare.stepwise import worked_out
from equipsel.compare.trade_off import TradeOff
from equipsel.quantities import cents, money
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

FAMILIES = (small, with_extenders, topology)


def question(number):
    return Question(Site(*FAMILIES[number % 3](number)))


def cost_at(study, price):
    rows = getattr(study.question.site.catalog, study.table)
    priced = tuple(with_values(row, price=money(price)) if row.model == study.model else row for row in rows)
    site = with_tables(study.question.site, **{study.table: priced})
    return cost_cents(Question(site, gap=Decimal(0)).kit())


def bisected(study):
    """Lowest price in cents at which nothing is saved beside the site without the model; None where that has no kit."""
    site, restriction = without(study.question.site, frozenset({study.model}))
    least = cost_cents(Question(site, restriction, Decimal(0)).kit())
    if least is None:
        return None
    low, high = -1, least + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if cost_at(study, middle) < least else (low, middle)
    return high


def break_evens(number):
    """Up to four of a site's models and their break-even prices, where the site has a kit."""
    ask = question(number)
    if cost_cents(ask.kit()) is None:
        return []
    return [(study, worked_out(study)) for study in break_even_prices(ask)[number % 2 :: 2][:4]]


@pytest.mark.parametrize("cases", numbers(6, 3), ids=str)
def test_break_even_prices_are_those_of_bisection(cases):
    verdicts = Counter()
    for number in cases:
        for study, found in break_evens(number):
            assert found.verdict is not Verdict.UNPROVEN
            assert (None if found.break_even is None else cents(found.break_even)) == bisected(study), (number, study.model)
            verdicts[found.verdict.name] += 1
    print(f"\nbreak-even: {dict(verdicts)}")


def exhaustive_cost(site, rule, value):
    changed = with_rules(site, **{rule: value})
    return cheapest_cost(changed.scenario, changed.catalog)


def decimals_of(pct):
    """A percentage as a rule of twenty decimals, rounded down, and the next one above it."""
    below = floor(pct * 10**20)
    return Decimal(below).scaleb(-20), Decimal(below + 1).scaleb(-20)


@pytest.mark.parametrize("cases", numbers(6, 3), ids=str)
def test_trade_off_curves_are_those_of_full_enumeration(cases):
    """The least cost only rises with the spare asked for, so its value at 0, at each end and just above each end is all of it."""
    points = 0
    for number in cases:
        ask = question(number)
        found = worked_out(TradeOff(ask, "spare"))
        assert found.complete
        costs = [cents(point.cost) for point in found.points] + [None]
        assert exhaustive_cost(ask.site, "spare_watts_pct", Decimal(0)) == costs[0], number
        for point, dearer in zip(found.points, costs[1:], strict=True):
            at, above = decimals_of(point.value)
            if point.value < 100:
                assert exhaustive_cost(ask.site, "spare_watts_pct", at) == cents(point.cost), (number, at)
                assert exhaustive_cost(ask.site, "spare_watts_pct", above) == dearer, (number, above)
        points += len(found.points)
        most = ask.site.rules.max_models or 6
        models = {value: exhaustive_cost(ask.site, "max_models", value) for value in range(1, most + 1)}
        first = {cost: value for value, cost in sorted(models.items(), reverse=True) if cost is not None}
        got = [(point.value, cents(point.cost)) for point in worked_out(TradeOff(ask, "models")).points]
        assert got == sorted(((value, cost) for cost, value in first.items()), reverse=True), number
        points += len(got)
    print(f"\ntrade-off: {points} points")


@pytest.mark.parametrize("cases", numbers(12, 4), ids=str)
def test_near_kits_are_those_of_full_enumeration(cases):
    kits = 0
    for number in cases:
        ask = question(number)
        least = cheapest_cost(ask.site.scenario, ask.site.catalog)
        found = worked_out(NearKits(ask, 40, Decimal(15)))
        if least is None:
            assert not found.kits
            continue
        assert found.complete
        want = different_bills(ask.site.scenario, ask.site.catalog, least * 115 // 100)
        assert {tuple(one.bought.items()): cents(one.cost) for one in found.kits} == want, number
        ties = sum(cost == least for cost in want.values())
        assert (found.ties, found.counted) == (ties, True)
        one = worked_out(NearKits(ask, 1, Decimal(15)))
        assert (len(one.kits), one.ties, one.counted, one.complete) == (1, ties, True, len(want) == 1)
        kits += len(want)
    print(f"\nnear: {kits} kits")


def price_list(site, rng):
    """The site with some of its models missing and the others at other prices; what it owns stays on the list."""
    owned = {row.model for row in site.scenario.owned}
    rows = {
        table: tuple(
            with_values(row, price=row.price + rng.randint(0, 3))
            for row in getattr(site.catalog, table)
            if row.model in owned or rng.random() < 0.7
        )
        for table in PRICED
    }
    names = {row.model for row in rows["switches"]}
    return with_tables(site, **rows, ports=tuple(row for row in site.catalog.ports if row.model in names))


@pytest.mark.parametrize("cases", numbers(8, 2), ids=str)
def test_both_lists_together_cost_no_more_than_the_cheaper(cases):
    """The bound always, and the cost where all are proven: also where the searches end at once."""
    proven = 0
    for number in cases:
        rng, site = Random(number), question(number).site
        lists = [price_list(site, rng) for _ in range(2)]
        catalog = mixed({"A": lists[0].catalog, "B": lists[1].catalog})
        both = with_tables(lists[0], **{name: getattr(catalog, name) for name in (*PRICED, "ports", "cables", "extras")})
        for limit in (None, 0.02):
            alone = [kit for site in lists if (kit := Question(site, time_limit_s=limit).kit()).cost is not None]
            together = Question(both, time_limit_s=limit).kit()
            if alone:
                cheaper = min(kit.cost for kit in alone)
                assert (together.lower_bound or 0) <= cheaper, (number, limit)
                if together.cost is not None and together.cost == together.lower_bound:
                    assert together.cost <= cheaper, (number, limit)
                    proven += 1
    print(f"\nboth lists: {proven} proven")
