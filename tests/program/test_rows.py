from fractions import Fraction
from typing import Any

import pulp
import pytest

from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.rows import EXACT, Rows, _merged, _scaled


def largest(rows: Rows, *variables: Any) -> list[int]:
    """The values that make the sum of variables largest."""
    rows.problem.setObjective(-1 * pulp.lpSum(variables))
    assert solve(rows.problem, 0.0, 10).stop is Stop.PROVEN
    return [whole(variable) for variable in variables]


def test_a_row_is_divided_by_its_divisor_and_its_limit_rounded_down() -> None:
    assert _scaled([(4, "x"), (6, "y")], 15) == ([(2.0, "x"), (3.0, "y")], 7.0)
    assert _scaled([(-4, "x"), (-6, "y")], -15) == ([(-2.0, "x"), (-3.0, "y")], -8.0)


def test_fractions_are_cleared() -> None:
    assert _scaled([(Fraction(1, 3), "x"), (Fraction(1, 2), "y")], Fraction(7, 4)) == ([(2.0, "x"), (3.0, "y")], 10.0)


def test_large_coefficients_stay_within_what_the_solver_bears_and_the_limit_is_not_rounded() -> None:
    scaled, limit = _scaled([(3_000_001, "x"), (2, "y")], 4_000_000)
    assert [factor for factor, _ in scaled] == pytest.approx([EXACT, 2 * EXACT / 3_000_001])
    assert limit == pytest.approx(4_000_000 * EXACT / 3_000_001)


def test_terms_of_a_variable_are_added_and_those_that_cancel_are_left_out() -> None:
    rows = Rows("r")
    x, y = rows.variable("x"), rows.variable("y")
    assert [(factor, variable.name) for factor, variable in _merged([(2, x), (1, y), (3, x), (-1, y)])] == [(5, "x")]


def test_names_are_plain_and_unique() -> None:
    rows = Rows("r")
    assert [rows.variable(name).name for name in ("a b", "a-b", "1st", "größe")] == ["a_b", "a_b_2", "n_1st", "gr__e"]


def test_at_most_binds() -> None:
    rows = Rows("r")
    x = rows.variable("x", 0, 9)
    rows.at_most("limit", [(Fraction(1, 3), x)], Fraction(5, 2))
    assert largest(rows, x) == [7]


def test_at_least_binds() -> None:
    rows = Rows("r")
    x, y = rows.variable("x", 0, 9), rows.variable("y", 0, 9)
    rows.at_least("more", [(1, x), (-1, y)], Fraction(5, 2))
    assert largest(rows, x, y) == [9, 6]


def test_equal_holds_for_fractions_too() -> None:
    # 4.5 a piece on the one side, steps of a half on the other
    rows = Rows("r")
    x, half = rows.variable("x", 0, 3), rows.variable("half")
    rows.equal("same", [(Fraction(9, 2), x), (Fraction(-1, 2), half)])
    assert largest(rows, x, half) == [3, 27]


def test_a_row_without_terms_is_left_out() -> None:
    rows = Rows("r")
    x = rows.variable("x", 0, 2)
    rows.at_most("nothing", [(1, x), (-1, x)], 0)
    assert largest(rows, x) == [2]
