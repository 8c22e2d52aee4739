"""The arithmetic of a certificate, in fractions alone: no solver, no tolerance, nothing of the rest of the package.

A program: integer variables between bounds, rows sum(factor * variable) <= limit (or ==), a cost to be least. For any weights of
the rows, not negative on <= rows, and any point that keeps the rows:

    cost(x) >= cost(x) + sum(weight * (row(x) - limit))
            >= fixed - sum(weight * limit) + sum over variables of slope * (its low where slope >= 0, else its high)

with slope = cost factor + sum(weight * row factor). That last figure is the bound (weak duality; textbooks of linear programming).
"""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from math import ceil

MENDING_PASSES = 20
"""How often the weights are mended before that is given up (our own limit)."""


@dataclass(frozen=True, slots=True)
class Row:
    """sum(factor * variable) <= limit, or == limit."""

    terms: tuple[tuple[Fraction, str], ...]
    limit: Fraction
    equal: bool = False


@dataclass(frozen=True)
class Program:
    """Rows by name, cost factors, bounds of the variables (high None: none), and what is paid whatever is chosen; whole cents."""

    rows: Mapping[str, Row]
    costs: Mapping[str, int]
    low: Mapping[str, int]
    high: Mapping[str, int | None]
    fixed: int

    @cached_property
    def columns(self) -> Mapping[str, tuple[tuple[str, Fraction], ...]]:
        """For each variable the rows it stands in, and its factor there."""
        found: defaultdict[str, list[tuple[str, Fraction]]] = defaultdict(list)
        for name, row in self.rows.items():
            for factor, variable in row.terms:
                found[variable].append((name, factor))
        return {variable: tuple(held) for variable, held in found.items()}


Weights = Mapping[str, Fraction]


def least_cents(program: Program, weights: Weights) -> int | None:
    """Whole cents that no point of the program costs less than, as these weights show; None where they show nothing.

    Weights of <= rows below 0, and of rows that the program does not have, show nothing.
    """
    if any(name not in program.rows or (weight < 0 and not program.rows[name].equal) for name, weight in weights.items()):
        return None
    total = Fraction(program.fixed) - sum((weight * program.rows[name].limit for name, weight in weights.items()), Fraction(0))
    for variable, slope in slopes(program, weights).items():
        end = program.low[variable] if slope >= 0 else program.high[variable]
        if end is None:
            return None
        total += slope * end
    return ceil(total)


def slopes(program: Program, weights: Weights) -> dict[str, Fraction]:
    """What one more of each variable costs, with what it takes of the rows at their weights."""
    found = {variable: Fraction(program.costs.get(variable, 0)) for variable in program.low}
    for name, weight in weights.items():
        for factor, variable in program.rows[name].terms if weight else ():
            found[variable] += weight * factor
    return found


def mended(program: Program, weights: Weights) -> dict[str, Fraction]:
    """Weights a little nearer to 0, so that no variable without a highest value has a slope below 0: a solver's are only nearly so."""
    found = {name: weight if program.rows[name].equal else max(weight, Fraction(0)) for name, weight in weights.items() if weight}
    for _ in range(MENDING_PASSES):
        now = slopes(program, found)
        short = [variable for variable, slope in now.items() if slope < 0 and program.high[variable] is None]
        if not short:
            return found
        for variable in short:
            _lift(program, found, variable)
    return found


def _lift(program: Program, weights: dict[str, Fraction], variable: str) -> None:
    """Bring the slope of a variable to 0 by the row that lowers it most, as far as that row alone can."""
    parts = [(weights.get(name, Fraction(0)) * factor, name, factor) for name, factor in program.columns.get(variable, ())]
    slope = Fraction(program.costs.get(variable, 0)) + sum((part for part, _, _ in parts), Fraction(0))
    lowering = [one for one in parts if one[0] < 0]
    if slope < 0 and lowering:
        part, name, factor = min(lowering)
        weights[name] = (part + min(-slope, -part)) / factor
