"""A thin layer over PuLP: named rows of integer coefficients, divided by their greatest common divisor."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from math import floor, gcd, lcm
from typing import Any, TypeAlias

import pulp

Variable: TypeAlias = Any
"""A PuLP variable: its class is another in PuLP 3 and in PuLP 4."""

Term = tuple[int | Fraction, Variable]
Terms = list[Term]


@dataclass(frozen=True, slots=True)
class Counted:
    """A number of things: what the variables give, and what is there whatever they are."""

    terms: Terms = field(default_factory=list)
    always: Fraction = Fraction(0)


EXACT = 10**6
"""Rows are cleared of denominators while the coefficients stay below this; larger ones would hurt the solver's accuracy."""


class Rows:
    """The program under construction: integer variables and `<=` or `==` rows, each with a name that tells its rule."""

    def __init__(self, name: str) -> None:
        """Start an empty program."""
        self.problem = pulp.LpProblem(name, pulp.LpMinimize)
        self._names: set[str] = set()

    def variable(self, name: str, low: int = 0, high: int | None = None) -> Variable:
        """A new integer variable."""
        return self.problem.add_variable(self._unique(name), low, high, pulp.LpInteger)

    def at_most(self, name: str, terms: Iterable[Term], limit: int | Fraction = 0) -> None:
        """Terms <= limit."""
        merged = _merged(terms)
        if not merged and limit < 0:
            merged = [(1, self.variable(f"{name}-never", 0, 0))]
        if merged:
            scaled, bound = _scaled(merged, limit)
            self.problem += pulp.lpSum(factor * variable for factor, variable in scaled) <= bound, self._unique(name)

    def at_least(self, name: str, terms: Iterable[Term], limit: int | Fraction = 0) -> None:
        """Terms >= limit."""
        self.at_most(name, [(-factor, variable) for factor, variable in terms], -limit)

    def equal(self, name: str, terms: Iterable[Term], value: int = 0) -> None:
        """Terms == value."""
        merged = _merged(terms)
        clear = lcm(*(Fraction(factor).denominator for factor, _ in merged))
        self.problem += pulp.lpSum(int(factor * clear) * variable for factor, variable in merged) == value * clear, self._unique(name)

    def _unique(self, name: str) -> str:
        plain = "".join(letter if letter.isalnum() and letter.isascii() else "_" for letter in name)
        plain = plain if plain[:1].isalpha() else f"n_{plain}"
        unique, again = plain, 1
        while unique in self._names:
            again += 1
            unique = f"{plain}_{again}"
        self._names.add(unique)
        return unique


def _merged(terms: Iterable[Term]) -> Terms:
    found: dict[str, tuple[int | Fraction, Variable]] = {}
    for factor, variable in terms:
        before = found.get(variable.name)
        found[variable.name] = (factor + (before[0] if before else 0), variable)
    return [(factor, variable) for factor, variable in found.values() if factor]


def _scaled(terms: Terms, limit: int | Fraction) -> tuple[list[tuple[float, Variable]], float]:
    """Integer coefficients without a common divisor, and the limit rounded down to match (all variables are integers).

    Where these would be large, coefficients of at most `EXACT` with their fractions: exact to the solver's tolerance, and
    every kit is re-checked exactly.
    """
    plain = [(factor, variable) for factor, variable in terms if isinstance(factor, int)]
    if len(plain) == len(terms):
        divisor = gcd(*(factor for factor, _ in plain))
        if max(abs(factor) for factor, _ in plain) <= EXACT * divisor:
            return [(float(factor // divisor), variable) for factor, variable in plain], float(floor(Fraction(limit) / divisor))
    factors = [Fraction(factor) for factor, _ in terms]
    clear = lcm(*(factor.denominator for factor in factors))
    common = gcd(*(int(factor * clear) for factor in factors))
    scale = Fraction(clear, common)
    largest = max(abs(factor) for factor in factors) * scale
    if largest > EXACT:
        scale *= Fraction(EXACT) / largest
        return [(float(factor * scale), variable) for factor, (_, variable) in zip(factors, terms, strict=True)], float(limit * scale)
    scaled = [(float(factor * scale), variable) for factor, (_, variable) in zip(factors, terms, strict=True)]
    return scaled, float(floor(limit * scale))
