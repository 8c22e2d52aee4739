"""Copper: what a conductor of a gauge, length, make and temperature resists, and a channel made of several pieces."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

COPPER_S_PER_M = 58.0e6
"""Conductivity of annealed copper at 20 C, S/m (the international standard, as GNU units states it)."""

COPPER_PER_KELVIN = 0.00393
"""Temperature coefficient of copper's resistance at 20 C, 1/K (from memory)."""

CCA_RATIO = 1.55
"""Resistance of copper-clad aluminium against copper of the same gauge (secondary source). It does not comply."""

STRANDED_RATIO = 1.04
"""Resistance of a stranded conductor against a solid one of the same gauge: its strands run in a helix and fill the
gauge a little less (from memory). It puts 26 AWG cords at 13.9 ohm / 100 m, just inside the 14 ohm allowed them (from memory)."""

CONTACT_OHM = 0.02
"""Resistance of one contact of a mated connector in good order, ohm (from memory; dirt and wear raise it)."""

DEFAULT_AWG = 24

CORD_AWG = 26
"""Gauge of patch cords unless stated (common practice)."""


def wire_diameter_m(awg: int) -> float:
    """Diameter of a solid conductor, m (ASTM B258: the geometric series between gauge 36 and gauge 0000)."""
    return float(0.127e-3 * 92 ** ((36 - awg) / 39))


def conductor_ohm_per_100m(awg: int, *, stranded: bool = False, cca: bool = False) -> float:
    """Resistance of 100 m of one conductor at 20 C, ohm (derived from diameter and conductivity; solid copper unless said)."""
    area = pi * wire_diameter_m(awg) ** 2 / 4
    return 100 / (COPPER_S_PER_M * area) * (STRANDED_RATIO if stranded else 1) * (CCA_RATIO if cca else 1)


def at_temperature(ohm_at_20c: float, conductor_c: float) -> float:
    """Resistance at a conductor temperature, ohm (linear, `COPPER_PER_KELVIN`)."""
    return ohm_at_20c * (1 + COPPER_PER_KELVIN * (conductor_c - 20))


def loop_ohm(ohm_per_100m: float, run_m: float, pairs: int) -> float:
    """Loop resistance of a span, ohm, from the resistance of 100 m of one conductor.

    A pairset goes out on both conductors of one pair and back on both of another, so its loop equals the one-conductor
    figure; four pairs (two pairsets side by side) halve it (derived).
    """
    return ohm_per_100m * run_m / 100 * 2 / pairs


@dataclass(frozen=True, slots=True)
class Piece:
    """A length of one make of cable, m, and the resistance of 100 m of one of its conductors at 20 C, ohm."""

    length_m: float
    ohm_per_100m: float


def channel_ohm(pieces: Sequence[Piece], pairs: int, conductor_c: float = 20, connectors: int = 0) -> float:
    """Loop resistance of cable and cords one after another, ohm, with the mated connectors between them.

    The connectors' contacts are taken at their stated resistance whatever the temperature.
    """
    copper = sum(loop_ohm(at_temperature(piece.ohm_per_100m, conductor_c), piece.length_m, pairs) for piece in pieces)
    return copper + connectors * CONTACT_OHM * 2 / pairs
