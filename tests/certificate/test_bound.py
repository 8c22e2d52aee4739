"""The arithmetic of certificates: by hand, against trying every point of small random programs, and that it stands alone."""

import ast
from fractions import Fraction
from itertools import product
from pathlib import Path
from random import Random

import pytest
from cases import numbers

from equipsel.certificate import bound as bound_module
from equipsel.certificate.bound import Program, Row, least_cents, mended, slopes


def row(limit: int, equal: bool = False, **factors: int) -> Row:
    return Row(tuple((Fraction(factor), name) for name, factor in factors.items()), Fraction(limit), equal)


def program(rows: dict[str, Row], high: int | None = None, fixed: int = 0, **costs: int) -> Program:
    names = dict.fromkeys([*costs, *(name for one in rows.values() for _, name in one.terms)])
    return Program(rows, costs, dict.fromkeys(names, 0), dict.fromkeys(names, high), fixed)


# 3x + 2y with x + y >= 4 and x + 3y >= 6: 8 at (0, 4)
TWO = program({"four": row(-4, x=-1, y=-1), "six": row(-6, x=-1, y=-3)}, x=3, y=2)


@pytest.mark.parametrize(
    ("weights", "least"),
    [({}, 0), ({"four": 2}, 8), ({"four": 1}, 4), ({"six": Fraction(2, 3)}, 4), ({"four": Fraction(7, 4), "six": Fraction(1, 12)}, 8)],
)
def test_by_hand(weights: dict[str, Fraction], least: int) -> None:
    assert least_cents(TWO, weights) == least


@pytest.mark.parametrize("weights", [{"four": Fraction(-1)}, {"none such": Fraction(0)}, {"four": Fraction(201, 100)}])
def test_weights_that_show_nothing(weights: dict[str, Fraction]) -> None:
    assert least_cents(TWO, weights) is None


def test_what_is_paid_anyway_and_highest_values_count() -> None:
    dear = program({"four": row(-4, x=-1, y=-1)}, high=3, fixed=100, x=3, y=2)
    assert least_cents(dear, {"four": Fraction(3)}) == 100 + 12 - 3  # y at its highest, 3, where its slope is -1


def test_an_equal_row_may_weigh_either_way() -> None:
    level = program({"level": row(4, equal=True, x=1)}, high=9, x=5)
    assert least_cents(level, {"level": Fraction(-5)}) == 20
    assert least_cents(level, {"level": Fraction(1)}) == -4


def test_weights_a_little_off_are_mended() -> None:
    off = {"four": Fraction(2_000_001, 1_000_000), "six": Fraction(-1, 10**6)}
    assert least_cents(TWO, off) is None
    good = mended(TWO, off)
    assert min(slopes(TWO, good).values()) >= 0
    assert least_cents(TWO, good) == 8


def any_program(rng: Random) -> Program:
    names = "xyz"
    rows = {
        f"row{number}": row(rng.randint(-9, 9), equal=rng.random() < 0.1, **{name: rng.randint(-4, 4) for name in names})
        for number in range(rng.randint(1, 4))
    }
    low = {name: rng.randint(-1, 1) for name in names}
    return Program(rows, {name: rng.randint(-5, 9) for name in names}, low, {name: low[name] + 3 for name in names}, rng.randint(0, 50))


def best(of: Program) -> int | None:
    """The least cost of all points, by trying each."""
    costs = []
    for values in product(*(range(of.low[name], (of.high[name] or 0) + 1) for name in of.low)):
        at = dict(zip(of.low, values, strict=True))
        sums = [(sum(factor * at[name] for factor, name in one.terms), one) for one in of.rows.values()]
        if all(total == one.limit if one.equal else total <= one.limit for total, one in sums):
            costs.append(of.fixed + sum(factor * at[name] for name, factor in of.costs.items()))
    return min(costs, default=None)


@pytest.mark.parametrize("numbers_", numbers(400, 2), ids=str)
def test_whatever_the_weights_no_point_costs_less(numbers_: range) -> None:
    shown = 0
    for number in numbers_:
        rng = Random(number)
        of = any_program(rng)
        least, cost = least_cents(of, mended(of, {name: Fraction(rng.randint(-20, 40), rng.randint(1, 9)) for name in of.rows})), best(of)
        assert least is not None
        if cost is not None:
            shown += 1
            assert least <= cost, number
    assert shown


def test_it_shares_nothing_with_the_rest() -> None:
    tree = ast.parse(Path(bound_module.__file__).read_text())
    imported = {node.module or "" for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    imported |= {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    assert imported <= {"collections", "collections.abc", "dataclasses", "fractions", "functools", "math"}
