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


@dataclass(frozen=True, slots=True)
class Exact:
    """A row as it is before its coefficients become floating-point numbers: terms <= limit, or == limit."""

    name: str
    terms: Terms
    limit: int | Fraction
    equal: bool


class Rows:
    """The program under construction: integer variables and `<=` or `==` rows, each with a name that tells its rule."""

    def __init__(self, name: str, *, keep: bool = False) -> None:
        """Start an empty program. keep: whether every row is kept in exact figures too."""
        self.problem = pulp.LpProblem(name, pulp.LpMinimize)
        self.exact: list[Exact] | None = [] if keep else None
        self.made: list[Variable] = []
        self._names: set[str] = set()

    def variable(self, name: str, low: int = 0, high: int | None = None) -> Variable:
        """A new integer variable."""
        self.made.append(self.problem.add_variable(self._unique(name), low, high, pulp.LpInteger))
        return self.made[-1]

    def at_most(self, name: str, terms: Iterable[Term], limit: int | Fraction = 0) -> None:
        """Terms <= limit."""
        merged = _merged(terms)
        if not merged and limit < 0:
            merged = [(1, self.variable(f"{name}-never", 0, 0))]
        if merged:
            self._add(name, *_scaled(merged, limit), equal=False)

    def at_least(self, name: str, terms: Iterable[Term], limit: int | Fraction = 0) -> None:
        """Terms >= limit."""
        self.at_most(name, [(-factor, variable) for factor, variable in terms], -limit)

    def equal(self, name: str, terms: Iterable[Term], value: int = 0) -> None:
        """Terms == value."""
        merged = _merged(terms)
        clear = lcm(*(Fraction(factor).denominator for factor, _ in merged))
        self._add(name, [(int(factor * clear), variable) for factor, variable in merged], value * clear, equal=True)

    def _add(self, name: str, terms: Terms, limit: int | Fraction, *, equal: bool) -> None:
        unique = self._unique(name)
        total = pulp.lpSum(float(factor) * variable for factor, variable in terms)
        self.problem += (total == float(limit) if equal else total <= float(limit)), unique
        if self.exact is not None:
            self.exact.append(Exact(unique, terms, limit, equal))

    def _unique(self, name: str) -> str:
        plain = "".join(letter if letter.isalnum() and letter.isascii() else "_" for letter in name)
        plain = plain if plain[:1].isalpha() else f"n_{plain}"
        unique, again = plain, 1
        while unique in self._names:
            again += 1
            unique = f"{plain}_{again}"
        self._names.add(unique)
        return unique


class Kept(Rows):
    """Rows that are kept in exact figures alone, and handed to no solver."""

    def __init__(self, name: str) -> None:
        """Start an empty program."""
        super().__init__(name, keep=True)

    def _add(self, name: str, terms: Terms, limit: int | Fraction, *, equal: bool) -> None:
        assert self.exact is not None, "rows are kept"
        self.exact.append(Exact(self._unique(name), terms, limit, equal))


def _merged(terms: Iterable[Term]) -> Terms:
    found: dict[str, tuple[int | Fraction, Variable]] = {}
    for factor, variable in terms:
        before = found.get(variable.name)
        found[variable.name] = (factor + (before[0] if before else 0), variable)
    return [(factor, variable) for factor, variable in found.values() if factor]


def _scaled(terms: Terms, limit: int | Fraction) -> tuple[Terms, int | Fraction]:
    """Integer coefficients without a common divisor, and the limit rounded down to match (all variables are integers).

    Where these would be large, coefficients of at most `EXACT` with their fractions: exact to the solver's tolerance, and
    every kit is re-checked exactly.
    """
    plain = [(factor, variable) for factor, variable in terms if isinstance(factor, int)]
    if len(plain) == len(terms):
        divisor = gcd(*(factor for factor, _ in plain))
        if max(abs(factor) for factor, _ in plain) <= EXACT * divisor:
            return [(factor // divisor, variable) for factor, variable in plain], floor(Fraction(limit) / divisor)
    factors = [Fraction(factor) for factor, _ in terms]
    clear = lcm(*(factor.denominator for factor in factors))
    common = gcd(*(int(factor * clear) for factor in factors))
    scale = Fraction(clear, common)
    largest = max(abs(factor) for factor in factors) * scale
    if largest > EXACT:
        scale *= Fraction(EXACT) / largest
    scaled: Terms = [(factor * scale, variable) for factor, (_, variable) in zip(factors, terms, strict=True)]
    return scaled, limit * scale if largest > EXACT else floor(limit * scale)
