"""One line solved: its spans, the extenders' classes, the class the head port sees, the pairs that carry the power."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from equipsel.audit.network import Link
from equipsel.audit.site import Route
from equipsel.catalog import Cable, Extender
from equipsel.circuit import Line, Span, SpanState, at_temperature, loop_ohm, reach_m, solve_line
from equipsel.quantities import milliwatts_up, resolved
from equipsel.scenario import Rules
from equipsel.standard import CLASSES, granted_watts

FOUR_PAIR_CLASS = 5
"""The lowest class that needs four pairs."""

IDLE = Line(0.0, 0.0, (SpanState(0.0, 0.0, 0.0, 0.0),))
"""The line of a device that takes no power, with no extender on its run."""


@dataclass(frozen=True, slots=True)
class Solved:
    """A link's solved line. number: class the head port sees, None without power. classes: of each extender, None above class 8.

    lengths: of each span, m. line: None where it has no operating point. load_number: class of the far end.
    """

    link: Link
    number: int | None
    load_number: int | None
    pairs: int
    lengths: tuple[Decimal, ...]
    classes: tuple[int | None, ...]
    line: Line | None

    @property
    def pse_mw(self) -> int:
        """Calculated draw at the port, mW; 0 where the line collapses."""
        return milliwatts_up(self.line.head_w) if self.line else 0

    @property
    def amps_per_pairset(self) -> float:
        """Amps in one pairset at the head, shared evenly."""
        return resolved(self.line.head_amps * 2 / self.pairs) if self.line else 0.0

    @property
    def amps_per_conductor(self) -> float:
        """Amps in one conductor at the head: half a pairset's."""
        return resolved(self.line.head_amps / self.pairs) if self.line else 0.0


def reaches(route: Route, chain: Sequence[Extender], rules: Rules) -> list[Decimal]:
    """Longest span from the head and from each extender, m; shortened by heat where the rules say so."""
    spans = [rules.span_m, *(extender.span_m for extender in chain)]
    if not rules.derate_reach:
        return spans
    return [reach_m(span, rules.cable_c, route.cable.shielded) for span in spans]


def span_lengths(route: Route, chain: Sequence[Extender], rules: Rules) -> tuple[Decimal, ...]:
    """Length of each span, m: every extender as far out as the span before it reaches, the rest after the last."""
    lengths: list[Decimal] = []
    left = route.run_m
    for reach in reaches(route, chain, rules)[: len(chain)]:
        lengths.append(min(reach, left))
        left -= lengths[-1]
    return (*lengths, left)


def exact(calculated: float) -> Decimal:
    """A calculated figure as the decimal number its text shows, to be compared with a table's."""
    return Decimal(repr(resolved(calculated)))


def extender_class(input_w: float) -> int | None:
    """The smallest class whose device watts carry an extender's input; None above class 8."""
    return next((number for number in range(1, 9) if exact(input_w) <= CLASSES[number].pd_w), None)


def solve_link(link: Link, volts: float, number: int | None, load_w: float, rules: Rules) -> Solved | None:
    """Solve a link whose far end draws load_w watts as class number; None where the kit leaves its run or port unknown."""
    if link.route is None or link.port is None:
        return None
    lengths = span_lengths(link.route, link.chain, rules)
    if number is None and not link.chain:
        return Solved(link, None, None, 2, lengths, (), IDLE)
    load = _Load(link, link.route.cable, volts, number, load_w, lengths, rules.cable_c)
    own = _on_pairs(load, link.port.pairs)
    if own.number is not None and own.number < FOUR_PAIR_CLASS:
        return own
    four = _on_pairs(load, 4)
    if four.number is None:
        return four
    number = max(four.number, FOUR_PAIR_CLASS)  # what asks for less is given the port's own pairs
    return replace(four, number=number, classes=(number, *four.classes[1:]) if four.classes else ())


def solve_again(solved: Solved, volts: float, load_w: float, rules: Rules) -> Solved:
    """The same line with another draw at its far end: its class and pairs stay as they were settled."""
    link = solved.link
    assert link.route is not None, "a solved line has a run"
    load = _Load(link, link.route.cable, volts, solved.load_number, load_w, solved.lengths, rules.cable_c)
    return replace(_on_pairs(load, solved.pairs), number=solved.number)


@dataclass(frozen=True, slots=True)
class _Load:
    link: Link
    cable: Cable
    volts: float
    number: int | None
    load_w: float
    lengths: tuple[Decimal, ...]
    cable_c: Decimal


def _on_pairs(load: _Load, pairs: int) -> Solved:
    link, pairs = load.link, min(pairs, load.cable.pairs)
    ohm = at_temperature(load.cable.conductor_ohm_per_100m, float(load.cable_c))
    watts = [*(float(extender.own_w) for extender in link.chain), load.load_w]
    ohms = [loop_ohm(ohm, float(length), pairs) for length in load.lengths]
    line = solve_line(load.volts, list(map(Span, ohms, watts)))
    classes = tuple(extender_class(state.watts) for state in (line.spans[:-1] if line else ()))
    head = (classes[0] if classes else None) if link.chain else load.number
    return Solved(link, head, load.number, pairs, load.lengths, classes, line)


def reserve_mw(solved: Solved, actual: Line | None, rules: Rules) -> int:
    """What the port sets aside, mW, rounded up.

    By class the class's watts, as granted the standard's identity for what the first thing draws, by stated draw the
    solved draw; never below the draw. `actual` is the line at the draw that counts for stated and granted.
    """
    if rules.budget_basis == "class":
        least = milliwatts_up(CLASSES[solved.number].pse_w) if solved.number is not None else 0
        return max(least, solved.pse_mw)
    drawn = milliwatts_up(actual.head_w) if actual else 0
    if rules.budget_basis == "stated" or solved.number is None or actual is None:
        return drawn
    return max(drawn, _granted_mw(solved.number, actual.spans[0].watts))


def _granted_mw(number: int, first_w: float) -> int:
    within = exact(first_w) <= CLASSES[number].pd_w
    return milliwatts_up(granted_watts(number, first_w)) if within else 0
