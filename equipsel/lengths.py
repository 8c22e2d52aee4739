"""Lengths as people read them: in metres or in feet. Tables and kits hold metres."""

from decimal import Decimal
from enum import StrEnum

METRES_PER_FOOT = Decimal("0.3048")
"""Exact: the international foot (confirmed)."""


class Lengths(StrEnum):
    """The units that lengths are shown in."""

    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def unit(self) -> str:
        """The unit's sign: m or ft."""
        return "m" if self is Lengths.METRIC else "ft"

    def of(self, metres: Decimal | float) -> float:
        """A length of so many metres in this unit."""
        exact = Decimal(str(metres))
        return float(exact if self is Lengths.METRIC else exact / METRES_PER_FOOT)
