"""Rows that follow from others: loads rounded to steps of a budget."""

from collections import Counter

import pytest
from sketch import catalog, device, ports, problem, scenario, site, switch

from equipsel.feeds.builds import Build
from equipsel.program import cover_rules, rules
from equipsel.program.adapter import Answer, solve, whole
from equipsel.program.model import Refinement
from equipsel.program.rules import build_model
from equipsel.program.search import COST

STATED = {"budget_basis": "stated"}


def a_build(budget_w: float, count: int) -> Build:
    return problem(site(scenario(device("cam", 5)), catalog(switch("s", 50, budget_w, ports(count, 90))))).builds[0]


@pytest.mark.parametrize(
    ("budget_w", "count", "loads", "steps", "most"),
    [
        (90, 4, {60_000: 3}, {60_000: 1}, 1),  # two of 60 W are 120 W
        (120, 4, {60_000: 3}, {60_000: 1}, 2),
        (240, 2, {60_000: 3}, {60_000: 1}, 2),  # two ports
        (240, 8, {60_000: 1}, {60_000: 1}, 1),  # one there is
        (100, 8, {45_000: 1, 35_000: 1, 30_000: 4}, {45_000: 2, 35_000: 1, 30_000: 1}, 3),  # 45 + 35 or 3 x 30, never 4 steps
    ],
)
def test_the_most_steps_that_fit_into_a_unit(budget_w: float, count: int, loads: dict[int, int], steps: dict[int, int], most: int) -> None:
    assert cover_rules.most_steps(a_build(budget_w, count), loads, steps) == most


def cheapest_pooled(chosen: tuple[object, ...], monkeypatch: pytest.MonkeyPatch) -> tuple[Answer, int]:
    """The pooled program's answer (units not packed) for 200 W in parts of which no selection makes 100 W."""
    rows = [device(f"d{watts}", watts, run_m=0, count=count) for watts, count in ((45, 1), (35, 1), (30, 4))]
    of = problem(site(scenario(*rows, rules=STATED), catalog(switch("s", 50, 100, ports(8, 90)))))
    monkeypatch.setattr(rules, "RULES", chosen)
    model, money = build_model(of, Refinement())
    model.rows.problem.setObjective(sum(factor * variable for factor, variable in COST.terms(model, money)))
    answer = solve(model.rows.problem, 0.0, 10)
    return answer, sum(whole(item.count) for item in model.bins)


def test_it_lifts_the_bound_of_a_pool_that_nothing_can_pack(monkeypatch: pytest.MonkeyPatch) -> None:
    without = tuple(rule for rule in rules.RULES if rule is not cover_rules.define_rounded_loads)
    with_it = rules.RULES
    assert cheapest_pooled(without, monkeypatch)[1] == 2
    assert cheapest_pooled(with_it, monkeypatch)[1] == 3


def test_steps_are_rounded_down() -> None:
    """A step of 1/3 of 90 W is 30 W: 59 W is one of them, 60 W two."""
    rounded = Counter(dict(cover_rules._rounded({60_000: 1, 59_000: 1}, 90_000, 2)))
    assert rounded == {60_000: 2, 59_000: 1}
