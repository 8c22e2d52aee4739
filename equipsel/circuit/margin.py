"""How far a line stands from its collapse, and the most it can deliver."""

from collections.abc import Callable, Sequence
from math import inf

from equipsel.circuit.ladder import Line, Span, solve_line

HALVINGS = 60
"""Halvings of the search for the most a line delivers: more than a double holds."""


def most_load_w(volts: float, spans: Sequence[Span], holds: Callable[[Line], bool] = lambda _: True) -> float:
    """The most the last span's load may draw, W, the others drawing what they draw, while the line has an operating point.

    `holds` may ask for more of the solved line (a voltage kept, a limit met); it must not come true again once a growing
    load has made it false. Found by halving, on the safe side. 0 if not even no load holds; inf where nothing resists.
    """

    def fits(load_w: float) -> bool:
        line = solve_line(volts, [*spans[:-1], Span(spans[-1].ohm, load_w)])
        return line is not None and holds(line)

    total_ohm = sum(span.ohm for span in spans)
    if total_ohm == 0:
        return inf
    low, high = 0.0, volts * volts / (4 * total_ohm)
    if fits(high):
        return high
    for _ in range(HALVINGS if fits(0.0) else 0):
        middle = (low + high) / 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low


def collapse_margin_pct(collapse_w: float, load_w: float) -> float:
    """By how many percent a load may grow before the line collapses at collapse_w.

    Negative: by how much it is too large already. inf for a load of 0, or where nothing resists.
    """
    return inf if load_w == 0 else 100 * (collapse_w / load_w - 1)
