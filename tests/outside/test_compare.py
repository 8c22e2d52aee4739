"""Break-even prices against bisection, trade-offs and near kits against full enumeration, on random small sites (all invented).

The enumeration is the exhaustive search's (exhaustive.py), written from the rules alone. EQUIPSEL_CASES=25 runs 200 break-evens.
"""

from decimal import Decimal

import pytest
from cases import numbers
from exhaustive import cheapest_cost
from near_oracle import different_bills
from random_sites import small, topology, with_extenders

from equipsel.compare.ask import Question, cost_cents, without
from equipsel.compare.break_even import Verdict, break_even, break_even_tasks
from equipsel.compare.near import NearTask, near
from equipsel.compare.trade_off import CurveTask, curve
from equipsel.quantities import cents, money
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

FAMILIES = (small, with_extenders, topology)


def question(number):
    return Question(Site(*FAMILIES[number % 3](number)))


def cost_at(task, price):
    rows = getattr(task.question.site.catalog, task.table)
    priced = tuple(with_values(row, price=money(price)) if row.model == task.model else row for row in rows)
    site = with_tables(task.question.site, **{task.table: priced})
    return cost_cents(Question(site, gap=Decimal(0)).kit())


def bisected(task):
    """Lowest price in cents at which nothing is saved beside the site without the model; None where that has no kit."""
    site, restriction = without(task.question.site, frozenset({task.model}))
    least = cost_cents(Question(site, restriction, Decimal(0)).kit())
    if least is None:
        return None
    low, high = -1, least + 1
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if cost_at(task, middle) < least else (low, middle)
    return high


@pytest.mark.parametrize("cases", numbers(8, 4), ids=str)
def test_break_even_prices_are_those_of_bisection(cases):
    for number in cases:
        tasks = break_even_tasks(question(number))
        task = tasks[number % len(tasks)]
        found = break_even(task)
        if found.verdict is Verdict.IMPOSSIBLE:
            assert cost_cents(task.question.kit()) is None
            continue
        assert (None if found.break_even is None else cents(found.break_even)) == bisected(task), number


def exhaustive_costs(site, rule, values):
    other = ((value, with_rules(site, **{rule: value})) for value in values)
    costs = {value: cheapest_cost(changed.scenario, changed.catalog) for value, changed in other}
    return {value: cost for value, cost in costs.items() if cost is not None}


@pytest.mark.parametrize("cases", numbers(6, 3), ids=str)
def test_trade_off_curves_are_those_of_full_enumeration(cases):
    for number in cases:
        ask = question(number)
        spare = exhaustive_costs(ask.site, "spare_watts_pct", range(100))
        last = {cost: value for value, cost in sorted(spare.items())}
        assert [(point.value, cents(point.cost)) for point in curve(CurveTask(ask, "spare")).points] == sorted(
            (value, cost) for cost, value in last.items()
        ), number
        most = ask.site.rules.max_models or 6
        models = exhaustive_costs(ask.site, "max_models", range(1, most + 1))
        first = {cost: value for value, cost in sorted(models.items(), reverse=True)}
        got = [(point.value, cents(point.cost)) for point in curve(CurveTask(ask, "models")).points]
        assert got == sorted(((value, cost) for cost, value in first.items()), reverse=True), number


@pytest.mark.parametrize("cases", numbers(12, 4), ids=str)
def test_near_kits_are_those_of_full_enumeration(cases):
    for number in cases:
        ask = question(number)
        least = cheapest_cost(ask.site.scenario, ask.site.catalog)
        found = near(NearTask(ask, 40, Decimal(15)))
        if least is None:
            assert not found.kits
            continue
        assert found.complete
        want = different_bills(ask.site.scenario, ask.site.catalog, least * 115 // 100)
        assert {tuple(one.bought.items()): cents(one.cost) for one in found.kits} == want, number
