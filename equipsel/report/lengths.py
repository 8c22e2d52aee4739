"""Lengths as a report shows them: in metres or in feet. The tables and kit.json hold metres."""

from decimal import Decimal
from enum import StrEnum

from equipsel.files.rows import METRES_PER_FOOT
from equipsel.kit import Number
from equipsel.report.table import Cell, Figure, decimals


class Lengths(StrEnum):
    """The units that lengths are shown in."""

    METRIC = "metric"
    IMPERIAL = "imperial"

    @property
    def unit(self) -> str:
        """The unit's sign."""
        return "m" if self is Lengths.METRIC else "ft"

    def of(self, metres: Number | Decimal) -> float:
        """A length in this unit."""
        exact = Decimal(str(metres))
        return float(exact if self is Lengths.METRIC else exact / METRES_PER_FOOT)

    def words(self, metres: Number | Decimal) -> str:
        """A length with its unit, to a tenth."""
        return f"{decimals(self.of(metres))} {self.unit}"

    def cell(self, metres: Number | None) -> Cell:
        """A length for a table whose heading gives the unit; its exact value stays in metres, as kit.json has it."""
        return None if metres is None else Figure(metres, decimals(self.of(metres)))
