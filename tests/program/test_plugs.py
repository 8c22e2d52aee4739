"""Whether plugs are possible for counts, and what counts must meet: by hand, and against trying every plug."""

from collections.abc import Iterator
from itertools import product
from math import inf
from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from equipsel.program.plugs import Condition, Plugs
from equipsel.program.projection import Row

SWITCHES, A, B = 0, 1, 2

FOUR_PORTS = (
    Row(((SWITCHES, -4.0),), ((0, 1.0), (1, 1.0)), 0.0, False),
    Row(((A, -1.0),), ((0, 1.0),), 0.0, True),
    Row(((B, -1.0),), ((1, 1.0),), 0.0, True),
)
"""So many switches of four ports each; every a and every b takes one."""

TRIED = 3
"""Counts and plugs are tried below this."""


def holds(condition: Condition, counts: tuple[int, ...]) -> bool:
    return sum(factor * counts[at] for at, factor in zip(condition.columns, condition.factors, strict=True)) <= condition.limit


def any_whole(rows: tuple[Row, ...], counts: tuple[int, ...], most: list[int]) -> bool:
    """Whether any whole plugs are possible."""
    tried = np.array(list(product(*(range(high + 1) for high in most)))).T
    possible = np.full(tried.shape[1], True)
    for row in rows:
        total = sum(factor * counts[at] for at, factor in row.kept) + sum(factor * tried[plug] for plug, factor in row.plugs)
        possible &= total == row.limit if row.equal else total <= row.limit
    return bool(possible.any())


def any_fraction(rows: tuple[Row, ...], counts: tuple[int, ...], plugs: int) -> bool:
    """Whether any plugs are possible, also in fractions, however many."""
    held: dict[bool, list[tuple[list[float], float]]] = {True: [], False: []}
    for row in rows:
        factors = [0.0] * plugs
        for plug, factor in row.plugs:
            factors[plug] += factor
        held[row.equal].append((factors, row.limit - sum(factor * counts[at] for at, factor in row.kept)))
    split = {equal: ([one for one, _ in some] or None, [one for _, one in some] or None) for equal, some in held.items()}
    return bool(linprog([0] * plugs, *split[False], *split[True]).success)


def systems() -> Iterator[tuple[tuple[Row, ...], int]]:
    """Rows over three counts and two or three plugs, some of them ==; every plug is in a row that limits it."""
    for seed in range(8):
        rng = Random(seed)
        plugs = rng.choice((2, 3))
        rows = [Row(((at, -1.0),), tuple((plug, 1.0) for plug in range(plugs) if plug % 2 == at % 2), 0.0, True) for at in (0, 1)]
        rows.append(Row(((2, -float(rng.choice((1, 2, 3)))),), tuple((plug, 1.0) for plug in range(plugs)), 0.0, False))
        for _ in range(2):
            kept = tuple((at, float(rng.randint(-3, 2))) for at in range(3))
            rows.append(Row(kept, tuple((plug, float(rng.randint(-2, 4))) for plug in range(plugs)), float(rng.randint(0, 4)), False))
        yield tuple(rows), plugs


def test_nothing_is_said_where_plugs_are_possible() -> None:
    plugs = Plugs(FOUR_PORTS, [inf, inf])
    for counts in ((0, 0, 0), (1, 4, 0), (1, 2, 2), (2, 3, 5)):
        assert plugs.lacking(counts, 10) is None


def test_what_is_short_of_ports_is_told_in_counts() -> None:
    # 3 and 2 are one more than 4: whatever the counts, a + b <= 4 n
    found = Plugs(FOUR_PORTS, [inf, inf]).lacking((1, 3, 2), 10)
    assert found is not None
    assert (found.columns, found.factors, found.limit) == ((SWITCHES, A, B), pytest.approx((-4, 1, 1)), pytest.approx(0, abs=1e-6))


def test_counts_in_fractions_are_asked_of_too() -> None:
    plugs = Plugs(FOUR_PORTS, [inf, inf])
    assert plugs.lacking((1.25, 3, 2), 10) is None
    assert plugs.lacking((1.2, 3, 2), 10) is not None


def test_an_equal_row_is_met_from_both_sides() -> None:
    # a plug each for every a, and (at 2 a plug) for every b: b == 2 a
    rows = (Row(((A, -1.0),), ((0, 1.0),), 0.0, True), Row(((B, -1.0),), ((0, 2.0),), 0.0, True))
    plugs = Plugs(rows, [inf])
    assert plugs.lacking((0, 2, 4), 10) is None
    for counts, others in (((0, 2, 5), (0, 2, 3)), ((0, 2, 3), (0, 2, 5))):
        found = plugs.lacking(counts, 10)
        assert found is not None
        assert not holds(found, counts)
        assert holds(found, others), "one side at a time"
        assert holds(found, (0, 3, 6))


def test_rows_that_no_plug_helps_are_told_as_they_are() -> None:
    # 2 a + 1 <= 4 + plug - plug, and a plug without end takes what it gives
    rows = (Row(((A, 2.0),), ((0, -1.0), (1, 1.0)), 3.0, False), Row((), ((0, 1.0), (1, -1.0)), 0.0, False))
    found = Plugs(rows, [inf, inf]).lacking((0, 2), 10)
    assert found is not None
    assert (found.columns, found.factors, found.limit) == ((A,), pytest.approx((2,)), pytest.approx(3, abs=1e-6))


@pytest.mark.parametrize(("rows", "number"), list(systems()))
def test_a_condition_is_broken_by_what_was_asked_and_met_by_all_that_is_possible(rows: tuple[Row, ...], number: int) -> None:
    every = list(product(range(TRIED), repeat=3))
    most = [2 * TRIED] * number
    possible = [counts for counts in every if any_whole(rows, counts, most)]
    plugs = Plugs(rows, most)
    for counts in every:
        condition = plugs.lacking(counts, 10)
        assert (condition is None) is any_fraction(rows, counts, number), counts
        if condition is not None:
            assert not holds(condition, counts)
            assert all(holds(condition, other) for other in possible)


def test_the_systems_tried_have_counts_of_both_kinds() -> None:
    found = [any_whole(rows, counts, [2 * TRIED] * number) for rows, number in systems() for counts in product(range(TRIED), repeat=3)]
    assert 0.1 < sum(found) / len(found) < 0.9


def test_duals_that_are_off_make_no_false_condition() -> None:
    # a <= plug <= 5, and the plug does not count for the other row: by a dual of the first alone a <= 5 is all that is certain
    rows = (Row(((A, 1.0),), ((0, -1.0),), 0.0, False), Row(((SWITCHES, -3.0),), ((0, 1.0),), 0.0, False))
    plugs = Plugs(rows, [5.0])
    assert plugs._condition([1.0, 0.0]) == Condition((A,), (1.0,), pytest.approx(5.0))
    assert plugs._condition([1.0, 1.0]) == Condition((SWITCHES, A), (-3.0, 1.0), pytest.approx(0.0, abs=1e-6))
    assert 5e-9 <= plugs._condition([1.0, 1.0 - 1e-9]).limit <= 1e-6
    assert Plugs(rows, [inf])._condition([1.0, 1.0 - 1e-9]).limit == pytest.approx(1, abs=1e-6)
    assert plugs._condition([1.0, -0.5]) == plugs._condition([1.0, 0.0]), "of a row that is no equation only one side holds"
    assert plugs._condition([0.0, 0.0]).columns == ()


def test_a_condition_is_a_little_laxer_than_its_duals() -> None:
    rows = (Row(((A, 1.0),), ((0, 1.0),), 1000.0, False),)
    assert Plugs(rows, [inf])._condition([1.0]).limit == pytest.approx(1000 + 1e-4, abs=1e-9)


def test_without_an_answer_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    plugs = Plugs(FOUR_PORTS, [inf, inf])
    monkeypatch.setattr(plugs.live, "relax", lambda _: None)
    assert plugs.lacking((1, 3, 2), 10) is None


def test_what_was_possible_is_not_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    plugs = Plugs(FOUR_PORTS, [inf, inf])
    relax, asked = plugs.live.relax, []
    monkeypatch.setattr(plugs.live, "relax", lambda seconds: asked.append(seconds) or relax(seconds))
    for counts, times in (((1, 2, 2), 1), ((1, 2, 2), 1), ((1, 3, 1), 2), ((1, 3, 2), 3), ((1, 3, 2), 4)):
        plugs.lacking(counts, 10)
        assert len(asked) == times
