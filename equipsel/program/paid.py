"""What an earlier stage has bought and the next one keeps, counted by what it is and where it is.

A run is told by where it starts, where it leads, its length and its cable: cables and extenders stay on the run they were bought for.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from equipsel.program.rows import Counted

Key = tuple[str, ...]
"""What was bought: its kind first (unit, extender, backup, cable, extra, place, energy), then its model, place, run."""

EQUIPMENT = frozenset({"unit", "extender", "backup"})
"""Kinds that are bought from the catalog to power more devices; a device's own cable, cords and mounts come with the device."""


@dataclass(frozen=True)
class Paid:
    """How many of each were bought before. frozen: no more equipment may be bought."""

    counts: Mapping[Key, Counted] = field(default_factory=dict)
    frozen: bool = False


def run_key(start: str, to: str, run_m: Decimal, cable: str) -> Key:
    """The part of a key that tells a run."""
    return (start, to, str(Fraction(run_m)), cable)
