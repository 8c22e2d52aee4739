"""Exact quantities: money in integer cents, power in integer milliwatts, always rounded against ourselves."""

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from fractions import Fraction

Number = Decimal | Fraction | int | float

RESOLUTION_DIGITS = 6
"""Volts, amps and watts that come out of a calculation are held to six decimals (common practice: far below a meter)."""


def resolved(value: float) -> float:
    """Round a calculated quantity to the resolution it is compared at, so that binary noise decides nothing."""
    return round(value, RESOLUTION_DIGITS)


def _exact(value: Number) -> Fraction:
    """Turn a number into the exact fraction its decimal text stands for."""
    if isinstance(value, float):
        return Fraction(Decimal(repr(resolved(value))))
    return Fraction(value)


def milliwatts_up(watts: Number) -> int:
    """Milliwatts of a load, rounded up (a load is never made smaller)."""
    exact = _exact(watts) * 1000
    return -(-exact.numerator // exact.denominator)


def milliwatts_down(watts: Number) -> int:
    """Milliwatts of a budget, rounded down (a budget is never made larger)."""
    exact = _exact(watts) * 1000
    return exact.numerator // exact.denominator


def cents(money: Number) -> int:
    """Cents of an amount of money, half a cent rounded up (common practice in commerce)."""
    exact = _exact(money) * 100 + Fraction(1, 2)
    return exact.numerator // exact.denominator


def money(amount_cents: int) -> Decimal:
    """The amount in currency units with two decimals."""
    return (Decimal(amount_cents) / 100).quantize(Decimal("0.01"), rounding=ROUND_HALF_UP)


def watts(amount_mw: int) -> float:
    """Watts of an integer number of milliwatts, for showing."""
    return amount_mw / 1000


def share_down(share_pct: Decimal, total: int) -> int:
    """The whole part of a percentage of a total."""
    return int((share_pct * total / 100).to_integral_value(rounding=ROUND_FLOOR))


def share_up(share_pct: Decimal, total: int) -> int:
    """A percentage of a total, rounded up to a whole number."""
    return int((share_pct * total / 100).to_integral_value(rounding=ROUND_CEILING))
