"""How far data reaches on a hot cable: its signal fades faster, so a span must be shorter."""

from decimal import Decimal
from fractions import Fraction

SCREENED_PER_C = Fraction(2, 1000)
"""Insertion loss of screened cable rises 0.2 % a degree above 20 C (TIA-568-C.2 clause 6.4.7 as quoted, confirmed)."""

UNSCREENED_PER_C = Fraction(4, 1000)
"""Insertion loss of unscreened cable rises 0.4 % a degree from 20 to 40 C (same clause)."""

UNSCREENED_HOT_PER_C = Fraction(6, 1000)
"""... and 0.6 % a degree from 40 to 60 C (same clause); carried on above 60 C (our own, cautious)."""


def loss_rise(cable_c: Decimal | float, shielded: bool) -> Fraction:
    """Share by which a cable's insertion loss rises over its value at 20 C: 0.08 at 40 C unscreened, 0 at 20 C or below."""
    degrees = max(Fraction(cable_c) - 20, Fraction(0))
    if shielded:
        return degrees * SCREENED_PER_C
    return min(degrees, Fraction(20)) * UNSCREENED_PER_C + max(degrees - 20, Fraction(0)) * UNSCREENED_HOT_PER_C


def reach_m(span_m: Decimal | float, cable_c: Decimal | float, shielded: bool) -> Decimal:
    """Longest data span at a conductor temperature, m, of one that reaches span_m at 20 C.

    Loss grows with length (derived), so the length shrinks by as much as the loss rises. Rounded down to the millimetre.
    """
    rise = loss_rise(cable_c, shielded)
    return Decimal(int(Fraction(span_m) * 1000 / (1 + rise))) / 1000 if rise else Decimal(span_m)
