"""Heat, mains draw and battery of a place. Exact fractions out, so that a limit is compared exactly; powers in W."""

from decimal import Decimal
from fractions import Fraction

Exact = Decimal | Fraction | int | float

BTU_H_PER_W = Fraction(3412, 1000)
"""British thermal units an hour in a watt (confirmed)."""

HOURS_A_YEAR = 8760

AGEING = Fraction(5, 4)
"""A battery is sized for its worn state, 80 % of new (IEEE 485 practice, secondary source)."""


def btu_per_hour(heat_w: Exact) -> Fraction:
    """Heat in BTU/h, as cooling plant is sold."""
    return Fraction(heat_w) * BTU_H_PER_W


def mains_watts(own_w: Exact, output_w: Exact, efficiency: Exact) -> Fraction:
    """Mains draw of a unit that uses own_w itself and hands out output_w through a supply of an efficiency.

    Raises ValueError for an efficiency that is not above 0 and at most 1.
    """
    if not 0 < efficiency <= 1:
        raise ValueError(f"an efficiency is above 0 and at most 1, not {efficiency}")
    return (Fraction(own_w) + Fraction(output_w)) / Fraction(efficiency)


def unit_heat_watts(mains_w: Exact, output_w: Exact) -> Fraction:
    """Heat a unit leaves in its place: what it takes in less what leaves on its cables."""
    return Fraction(mains_w) - Fraction(output_w)


def circuit_watts(amps: Exact, volts: Exact, load_pct: Exact = 80) -> Fraction:
    """Most continuous load on a mains circuit, W (80 % of its rating unless the local code says otherwise: from memory)."""
    return Fraction(amps) * Fraction(volts) * Fraction(load_pct) / 100


def battery_watt_hours(mains_w: Exact, minutes: Exact, efficiency: Exact) -> Fraction:
    """Stored energy that holds a mains load for some minutes through an inverter of an efficiency, worn battery, Wh.

    The battery's own watts must cover mains_w as well. Raises ValueError for an efficiency that is not above 0 and at most 1.
    """
    return mains_watts(0, mains_w, efficiency) * Fraction(minutes) / 60 * AGEING
