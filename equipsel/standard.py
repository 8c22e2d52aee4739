"""Power classes and types of IEEE 802.3 (clauses 33 and 145). Knows nothing else of the project.

How sure each figure is stands beside it and in `ORIGINS`: `confirmed` (read in an industry alliance's overview of
802.3bt, 2018), `secondary` (a secondary source), `from memory`. What the identity `source_watts` derives is tested
against it; the rows it does not derive are named in `NOT_DERIVED`.
"""

from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from enum import StrEnum
from math import sqrt
from types import MappingProxyType

from equipsel.quantities import resolved

MAX_PD_W = Decimal("71.3")
"""The most any powered device may draw, class 8 (confirmed)."""

LOWEST_PD_V = 37.0
"""The lowest voltage at which a class 0-3 device must work (clause 33, secondary)."""


class Certainty(StrEnum):
    """How sure a figure is."""

    CONFIRMED = "confirmed"
    DERIVED = "derived"
    SECONDARY = "secondary source"
    MEMORY = "from memory"


@dataclass(frozen=True, slots=True)
class Origin:
    """Where a figure comes from and how sure it is."""

    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True)
class PowerType:
    """One type of port, and the cabling it counts on.

    port_w: the most one port gives, W (confirmed). min_v: its lowest voltage, V; loop_ohm: the worst channel it must
    work over (four pairs from type 3); amps_per_pairset: the most one pairset carries, A (all secondary).
    """

    number: int
    port_w: Decimal
    min_v: float
    loop_ohm: float
    amps_per_pairset: float


TYPES = MappingProxyType(
    {
        1: PowerType(1, Decimal("15.4"), 44.0, 20.0, 0.350),
        2: PowerType(2, Decimal(30), 50.0, 12.5, 0.600),
        3: PowerType(3, Decimal(60), 50.0, 6.25, 0.600),
        4: PowerType(4, Decimal(90), 52.0, 6.25, 0.960),
    }
)
"""Types 1 and 2 (clause 33) feed two pairs; types 3 and 4 (clause 145) two or four, and four for classes 5-8."""


@dataclass(frozen=True, slots=True)
class PowerClass:
    """One power class: what the device may draw and what its port must set aside for it.

    pd_w: most at the device's input, W (confirmed). pse_w: what a port reserves, W: clause 33 for classes 0-4 and
    clause 145 for 5-8, the cautious choice (confirmed). pse_min_v: lowest voltage at the port, V (by type, secondary).
    loop_ohm: the standard's worst channel (by type, secondary). pairs: pairs that carry the power. pd_min_v: lowest
    voltage at the device, V (classes 5 and 7 from memory). amps_per_pairset: A (by type, secondary).
    """

    number: int
    pd_w: Decimal
    pse_w: Decimal
    pse_min_v: float
    loop_ohm: float
    pairs: int
    pd_min_v: float
    amps_per_pairset: float
    type: int


def _class(number: int, pd_w: str, pse_w: str, pd_min_v: float, type_: int) -> PowerClass:
    kind = TYPES[type_]
    pairs = 4 if number >= 5 else 2
    return PowerClass(number, Decimal(pd_w), Decimal(pse_w), kind.min_v, kind.loop_ohm, pairs, pd_min_v, kind.amps_per_pairset, type_)


CLASSES = MappingProxyType(
    {
        row.number: row
        for row in (
            _class(0, "12.95", "15.4", 37.0, 1),
            _class(1, "3.84", "4.0", 37.0, 1),
            _class(2, "6.49", "7.0", 37.0, 1),
            _class(3, "12.95", "15.4", 37.0, 1),
            _class(4, "25.5", "30", 42.5, 2),
            _class(5, "40", "45", 44.3, 3),
            _class(6, "51", "60", 42.5, 3),
            _class(7, "62", "75", 42.9, 4),
            _class(8, "71.3", "90", 41.1, 4),
        )
    }
)

ORIGINS = MappingProxyType(
    {
        "number": Origin("IEEE 802.3 clauses 33 and 145", Certainty.CONFIRMED),
        "pd_w": Origin("industry alliance's overview of 802.3bt, 2018; class 0 as class 3", Certainty.CONFIRMED),
        "pse_w": Origin("the same overview: clause 33 for classes 0-4, clause 145 for 5-8", Certainty.CONFIRMED),
        "pse_min_v": Origin("by type, IEEE 802.3 clauses 33 and 145", Certainty.SECONDARY),
        "loop_ohm": Origin("by type, IEEE 802.3 clauses 33 and 145; four pairs halve it", Certainty.SECONDARY),
        "pairs": Origin("the same overview: classes 5 and up need four pairs", Certainty.CONFIRMED),
        "pd_min_v": Origin("IEEE 802.3 clauses 33 and 145", Certainty.SECONDARY),
        "amps_per_pairset": Origin("by type, IEEE 802.3 clauses 33 and 145", Certainty.SECONDARY),
        "type": Origin("IEEE 802.3 clauses 33 and 145", Certainty.CONFIRMED),
    }
)
"""Where each column of `CLASSES` comes from."""

FROM_MEMORY = frozenset({(5, "pd_min_v"), (7, "pd_min_v")})
"""Figures of `CLASSES` less sure than their column."""


def origin(number: int, column: str) -> Origin:
    """Where a figure of a class comes from. Raises KeyError for a column `CLASSES` does not have."""
    known = ORIGINS[column]
    return Origin(known.source, Certainty.MEMORY) if (number, column) in FROM_MEMORY else known


@dataclass(frozen=True, slots=True)
class ClauseRow:
    """A class as one clause states it: watts at the device and at the port, with the voltage and channel they belong to."""

    clause: int
    number: int
    pd_w: Decimal
    pse_w: Decimal
    volts: float
    loop_ohm: float

    @property
    def derived_w(self) -> float:
        """Watts at the port by the identity, W."""
        found = source_watts(self.volts, self.loop_ohm, float(self.pd_w))
        return float("nan") if found is None else found


CLAUSE_ROWS = (
    *(ClauseRow(33, row.number, row.pd_w, row.pse_w, row.pse_min_v, row.loop_ohm) for row in CLASSES.values() if row.number <= 4),
    ClauseRow(145, 1, Decimal("3.84"), Decimal("4.0"), 50.0, 12.5),
    ClauseRow(145, 2, Decimal("6.49"), Decimal("6.7"), 50.0, 12.5),
    ClauseRow(145, 3, Decimal("13.0"), Decimal("14.0"), 50.0, 12.5),
    *(ClauseRow(145, row.number, row.pd_w, row.pse_w, row.pse_min_v, row.loop_ohm) for row in CLASSES.values() if row.number >= 4),
)
"""Both clauses' rows. PSE watts of classes 1-3 in clause 145 are from memory; the rest as in `CLASSES`."""

NOT_DERIVED = MappingProxyType(
    {
        (145, 1): "stated 4.0 W, the identity gives 3.92 W",
        (145, 5): "stated 45 W, the identity gives 45.08 W",
    }
)
"""Rows, by clause and class, whose stated PSE watts are more than 0.05 W from the identity (derived)."""


def class_for_watts(pd_w: Decimal | float) -> int | None:
    """The class assumed for a draw of pd_w watts: 0 up to 12.95 W, then the smallest that carries it; None above 71.3 W."""
    number = smallest_class(pd_w)
    return 0 if number is not None and number <= 3 else number


def smallest_class(pd_w: Decimal | float) -> int | None:
    """The smallest class whose device watts carry a draw of pd_w watts, 1-8; None above 71.3 W."""
    exact = Decimal(repr(resolved(pd_w))) if isinstance(pd_w, float) else pd_w
    return next((number for number in range(1, 9) if exact <= CLASSES[number].pd_w), None)


def port_carries(port_w: Decimal, number: int) -> bool:
    """Whether a port of port_w watts at the PSE carries a class: its reserve is not above what the port gives."""
    return CLASSES[number].pse_w <= port_w


def highest_class(port_w: Decimal) -> int | None:
    """The class a port of port_w watts carries: the highest whose PSE watts are not above it; None below 4 W."""
    carried = [number for number in CLASSES if number and port_carries(port_w, number)]
    return max(carried, default=None)


def assigned_class(number: int, port_w: Decimal) -> int | None:
    """The class a port of port_w watts assigns to a device of a class: its own if the port carries it, else the port's.

    The second is a demotion: the device may power up, but must stay within the lower class and may not work fully
    (confirmed). None below 4 W: such a port powers nothing.
    """
    return number if port_carries(port_w, number) else highest_class(port_w)


def head_volts(port_w: Decimal) -> float:
    """Worst-case voltage of a port that states none: 44 V to 15.4 W, 50 V to 60 W, 52 V above (type minima, secondary)."""
    if port_w <= Decimal("15.4"):
        return 44.0
    return 50.0 if port_w <= 60 else 52.0


def line_pairs(number: int, port_pairs: int) -> int:
    """Pairs that carry the power: four for classes 5-8 (confirmed), else as the port feeds."""
    return 4 if number >= 5 else port_pairs


def source_watts(volts: float, loop_ohm: float, load_w: float) -> float | None:
    """Watts at the source of a constant-power load at the end of a loop; None past the collapse at V^2 / 4R.

    The upper operating point of V = I R + P / I, from Ohm's law (derived).
    """
    if load_w == 0 or loop_ohm == 0:
        return load_w
    root = volts * volts - 4 * loop_ohm * load_w
    if root < 0:
        return None
    return volts * 2 * load_w / (volts + sqrt(root))


def granted_watts(number: int, pd_w: float) -> Decimal:
    """What a port grants a device of a class that asks for pd_w watts: the identity at the standard's worst channel.

    Rounded up to 0.1 W, the step of the data link layer's power request (clause 79, confirmed). Raises ValueError where
    that channel collapses.
    """
    row = CLASSES[number]
    exact = source_watts(row.pse_min_v, row.loop_ohm, pd_w)
    if exact is None:
        raise ValueError(f"class {number} cannot draw {pd_w} W: the standard's channel collapses")
    return Decimal(repr(resolved(exact))).quantize(Decimal("0.1"), rounding=ROUND_CEILING)
