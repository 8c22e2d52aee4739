"""Lines with constant-power loads along them: the upper operating point of a whole ladder, or proof that it has none.

A line is a source of stated voltage, then spans in series; at the end of each span stands a load that draws constant
power (an extender, and last the device). Nothing boosts the voltage again, so the whole ladder is solved together.

Method (derived). With R(k, j) the resistance that nodes k and j share on their way to the head, every node obeys
V_k = V_head - sum_j R(k, j) P_j / V_j. The difference of the two sides is convex in every voltage, so Newton's method
started from V = V_head at every node comes down to the greatest solution and never passes it, as long as its matrix
keeps a nonnegative inverse. Where a solution exists it keeps one all the way down. So a voltage that is not positive,
or a matrix that loses its nonnegative inverse, proves that there is no operating point, and the lower one (an unstable
solution of the same equations) is never met. Within about one part in 1e12 of the collapse itself a ladder of several
spans may be judged either way: that is the arithmetic's resolution.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt
from operator import sub
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from equipsel.quantities import RESOLUTION_DIGITS, resolved

Floats = NDArray[np.float64]
Value = TypeVar("Value", float, Floats)
"""One line's figure, or an array of many lines' figures: the same arithmetic serves both, to the last bit."""

MOST_STEPS = 100
"""Newton steps before giving up; a few suffice, some 40 at the collapse itself, where each step halves the distance."""

CLOSE = 1e-13
"""A step smaller than this share of the head voltage ends the search."""

LOSS_DIGITS = 9
"""Losses decide nothing; they are kept finer than what is compared, so that the books of a line close to a microwatt."""


@dataclass(frozen=True, slots=True)
class Span:
    """A length of cable and the constant-power load at its far end: loop resistance in ohm, load in W.

    Raises ValueError for a figure that is negative, infinite or not a number.
    """

    ohm: float
    load_w: float

    def __post_init__(self) -> None:
        """Refuse what is no resistance or no load."""
        if not (0 <= self.ohm < inf and 0 <= self.load_w < inf):
            raise ValueError(f"a span needs a resistance and a load of 0 or more, not {self.ohm} ohm and {self.load_w} W")


@dataclass(frozen=True, slots=True)
class SpanState:
    """What a solved span carries: volts and watts at its far end (before the load there), amps, watts lost in it."""

    volts: float
    watts: float
    amps: float
    loss_w: float


@dataclass(frozen=True, slots=True)
class Line:
    """A solved line: watts and amps at the head, and the state of each span from the head outwards."""

    head_w: float
    head_amps: float
    spans: tuple[SpanState, ...]

    @property
    def end(self) -> SpanState:
        """The last span, with the device at its far end."""
        return self.spans[-1]

    @property
    def loss_w(self) -> float:
        """Watts lost in the whole line."""
        return resolved(sum(span.loss_w for span in self.spans))


@dataclass(frozen=True, slots=True)
class Lines:
    """Many solved lines: arrays by line, or by line and span; nan where a line has no operating point.

    solved: whether it has one. head_w, head_amps: at the head. volts, watts: at the far end of each span, before the
    load there. amps, loss_w: in each span.
    """

    solved: NDArray[np.bool_]
    head_w: Floats
    head_amps: Floats
    volts: Floats
    watts: Floats
    amps: Floats
    loss_w: Floats


def solve_line(volts: float, spans: Sequence[Span]) -> Line | None:
    """Solve a line fed at `volts`: its upper operating point, or None when it has none (the link collapses).

    Raises ValueError for a line without spans, or without a voltage above 0.
    """
    if not (spans and 0 < volts < inf):
        raise ValueError(f"a line needs a voltage above 0 and one span or more, not {volts} V and {len(spans)} spans")
    ohm = [span.ohm for span in spans]
    load_w = [span.load_w for span in spans]
    found = _single_volts(volts, ohm[0], load_w[0]) if len(ohm) == 1 else _ladder_volts(volts, ohm, load_w)
    if found is None:
        return None
    amps = _amps(found, load_w)
    return Line(resolved(volts * amps[0]), resolved(amps[0]), tuple(map(_state, found, amps, ohm)))


def _state(volts: float, amps: float, ohm: float) -> SpanState:
    return SpanState(resolved(volts), resolved(volts * amps), resolved(amps), round(amps * amps * ohm, LOSS_DIGITS))


def _single_volts(head: float, ohm: float, load_w: float) -> list[float] | None:
    root = head * head - 4 * ohm * load_w
    return None if root < 0 else [(head + sqrt(root)) / 2]


def _ladder_volts(head: float, ohm: list[float], load_w: list[float]) -> list[float] | None:
    volts = [head] * len(ohm)
    for _ in range(MOST_STEPS):
        after, pivots = _newton_step(head, volts, ohm, load_w)
        if min(pivots) <= 0 or min(after) <= 0:
            return None
        step = max(map(sub, volts, after))
        volts = after
        if step <= CLOSE * head:
            break
    return volts


def _newton_step(head: Value, volts: list[Value], ohm: list[Value], load_w: list[Value]) -> tuple[list[Value], list[Value]]:
    """Take one step: the next voltages, and the pivots of the elimination (all positive while the inverse is nonnegative).

    Each load is replaced by its tangent, amps = a - g V with a = 2 P / V and g = P / V^2. Seen from the head, what
    hangs behind a span is then again such a straight line, and one sweep inwards and one outwards solve the ladder.
    """
    tail_a, tail_g = head * 0, head * 0
    swept = []
    for at, resistance, load in zip(reversed(volts), reversed(ohm), reversed(load_w), strict=True):
        slope = load / (at * at)
        a, g = tail_a + 2 * slope * at, tail_g + slope
        pivot = 1 - resistance * g
        divisor = pivot + (pivot == 0)
        tail_a, tail_g = a / divisor, g / divisor
        swept.append((resistance * tail_a, divisor, pivot))
    after = []
    for drop, divisor, _ in reversed(swept):
        head = head / divisor - drop
        after.append(head)
    return after, [pivot for _, _, pivot in swept]


def _amps(volts: list[Value], load_w: list[Value]) -> list[Value]:
    """Amps in each span: what the loads from its far end outwards draw together."""
    total = volts[0] * 0
    amps = []
    for at, load in zip(reversed(volts), reversed(load_w), strict=True):
        total = total + load / at
        amps.append(total)
    return amps[::-1]


def solve_lines(volts: ArrayLike, ohm: ArrayLike, load_w: ArrayLike) -> Lines:
    """Solve many lines at once: head volts by line, and loop ohm and load watts by line and span.

    Lines with fewer spans than the longest are filled up with spans of 0 ohm and 0 W. Raises ValueError for shapes that
    do not fit each other, or a figure that is negative, infinite or not a number.
    """
    heads, ohms, loads = _checked(volts, ohm, load_w)
    found = _single_rows(heads, ohms, loads) if ohms.shape[1] == 1 else _ladder_rows(heads, ohms, loads)
    amps = np.stack(_amps(list(found.T), list(loads.T)), axis=1)
    return Lines(
        ~np.isnan(found[:, 0]),
        np.round(heads * amps[:, 0], RESOLUTION_DIGITS),
        np.round(amps[:, 0], RESOLUTION_DIGITS),
        np.round(found, RESOLUTION_DIGITS),
        np.round(found * amps, RESOLUTION_DIGITS),
        np.round(amps, RESOLUTION_DIGITS),
        np.round(amps * amps * ohms, LOSS_DIGITS),
    )


def _checked(volts: ArrayLike, ohm: ArrayLike, load_w: ArrayLike) -> tuple[Floats, Floats, Floats]:
    heads, ohms, loads = (np.asarray(values, dtype=np.float64) for values in (volts, ohm, load_w))
    if heads.ndim != 1 or ohms.ndim != 2 or ohms.shape != loads.shape or ohms.shape[0] != heads.size or ohms.shape[1] == 0:
        raise ValueError(f"lines need volts [n], ohm [n, k] and load_w [n, k], not {heads.shape}, {ohms.shape} and {loads.shape}")
    for name, values, lowest in (("volts", heads, np.finfo(float).tiny), ("ohm", ohms, 0), ("load_w", loads, 0)):
        if not np.all((values >= lowest) & np.isfinite(values)):
            raise ValueError(f"{name} holds a figure that is negative, infinite or not a number (volts must be above 0)")
    return heads, ohms, loads


def _single_rows(heads: Floats, ohms: Floats, loads: Floats) -> Floats:
    root = heads * heads - 4 * ohms[:, 0] * loads[:, 0]
    with np.errstate(invalid="ignore"):
        found: Floats = (heads + np.sqrt(root)) / 2
    return found[:, np.newaxis]


def _ladder_rows(heads: Floats, ohms: Floats, loads: Floats) -> Floats:
    found = np.full(ohms.shape, np.nan)
    lines = np.arange(heads.size)
    volts = np.repeat(heads[:, np.newaxis], ohms.shape[1], axis=1)
    for _ in range(MOST_STEPS):
        columns = (list(table[lines].T) for table in (ohms, loads))
        stepped, pivots = _newton_step(heads[lines], list(volts.T), *columns)
        after = np.stack(stepped, axis=1)
        alive = (np.min(pivots, axis=0) > 0) & (after.min(axis=1) > 0)
        ends = (volts - after).max(axis=1) <= CLOSE * heads[lines]
        found[lines[alive & ends]] = after[alive & ends]
        lines, volts = lines[alive & ~ends], after[alive & ~ends]
        if not lines.size:
            break
    found[lines] = volts
    return found
