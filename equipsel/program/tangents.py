"""Straight lines below the draw of a fed switch: its line loss makes what it takes a convex curve of what it hands out."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from equipsel.feeds.fed import FedBuild
from equipsel.standard import CLASSES, source_watts

MARGIN_MW = 0.02
"""Tangents are set this much low, so that the rounding of a solved line (1 microwatt) never cuts off a possible kit."""

GRID = 10**9


@dataclass(frozen=True, slots=True)
class Tangent:
    """mW taken >= slope x mW handed out + base."""

    slope: Fraction
    base_mw: Fraction


def head_tangents(build: FedBuild, points: Iterable[int], margin_mw: float = MARGIN_MW) -> Iterator[Tangent]:
    """Tangents of the watts at the head of a fed switch's line."""
    for point in points:
        slope, _ = _slopes(build, point)
        yield _tangent(point, build.line_at(point).head_w * 1000 - margin_mw, slope / float(build.efficiency))


def granted_tangents(build: FedBuild, points: Iterable[int], margin_mw: float = MARGIN_MW) -> Iterator[Tangent]:
    """Tangents of what the port above grants: the class identity for the watts at the first input on the line."""
    solved, _ = build.fed
    assert solved.number is not None, "a fed switch has a class"
    row = CLASSES[solved.number]
    for point in points:
        granted = source_watts(row.pse_min_v, row.loop_ohm, build.line_at(point).spans[0].watts)
        assert granted is not None, "a class never collapses on the standard's channel"
        identity = row.pse_min_v / (row.pse_min_v - 2 * row.loop_ohm * granted / row.pse_min_v)
        _, slope = _slopes(build, point)
        yield _tangent(point, granted * 1000 - margin_mw, identity * slope / float(build.efficiency))


def _slopes(build: FedBuild, handed_mw: int) -> tuple[float, float]:
    """Rise of the watts at the head, and at the first input, per watt more at the end of the line.

    Every voltage and current of a ladder is a linear function, to first order, of a step at its end: from the end to the
    head each is a + b x, x the unknown change of end voltage, which follows from the head voltage staying as it is.
    """
    spans, line = build.spans_at(handed_mw), build.line_at(handed_mw)
    volts, amps, input_volts = (0.0, 1.0), (0.0, 0.0), (0.0, 1.0)
    for index in range(len(spans) - 1, -1, -1):
        at = line.spans[index].volts
        if index == len(spans) - 1:
            amps = _add(amps, (1 / at, 0.0))
        amps = _add(amps, volts, -spans[index].load_w / at**2)
        input_volts = volts
        volts = _add(volts, amps, spans[index].ohm)
    change = -volts[0] / volts[1]
    rise_amps, rise_volts = amps[0] + amps[1] * change, input_volts[0] + input_volts[1] * change
    first = line.spans[0]
    return build.volts * rise_amps, first.amps * rise_volts + first.volts * rise_amps


def _add(one: tuple[float, float], other: tuple[float, float], factor: float = 1.0) -> tuple[float, float]:
    return one[0] + factor * other[0], one[1] + factor * other[1]


def _tangent(point: int, value_mw: float, slope: float) -> Tangent:
    steep = Fraction(round(slope * GRID), GRID)
    return Tangent(steep, Fraction(round(value_mw * 1000), 1000) - steep * point)
