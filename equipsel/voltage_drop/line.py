"""A question's line, solved, and every rule of the line it breaks."""

from dataclasses import dataclass
from decimal import Decimal

from equipsel.circuit import (
    Line,
    Piece,
    Span,
    amps_per_pairset,
    channel_ohm,
    conductor_ohm_per_100m,
    solve_line,
)
from equipsel.quantities import resolved
from equipsel.standard import CLASSES, MAX_PD_W, assigned_class, head_volts, smallest_class
from equipsel.voltage_drop.question import Question

FOUR_PAIR_CLASS = 5
"""The lowest class that needs four pairs (confirmed)."""


@dataclass(frozen=True, slots=True)
class Source:
    """What feeds the line: the class it must carry, the most its port gives, W, its voltage, V, and the pairs it feeds."""

    number: int
    port_w: float
    volts: float
    pairs: int


@dataclass(frozen=True, slots=True)
class Solved:
    """A question with its source, its spans as resistances and loads, and the solved line (None: no operating point)."""

    question: Question
    source: Source
    spans: tuple[Span, ...]
    line: Line | None

    @property
    def classes(self) -> tuple[int | None, ...]:
        """Class of what each span feeds, as its own port must see it; None where it needs no power or too much."""
        if self.line is None:
            return (*(None for _ in self.question.extender_w), self.question.number)
        return (*(smallest_class(span.watts) for span in self.line.spans[:-1]), self.question.number)

    @property
    def works(self) -> bool:
        """Whether the line breaks no rule."""
        return not broken_rules(self)


def solve(question: Question) -> Solved:
    """Solve a question's line. What the question leaves open of the source is the weakest that carries what hangs on it.

    With extenders the class at the source follows from the solved line, and the line from the source: the class is
    raised until it holds, and to four pairs where two collapse. Lines already feeding four pairs stay so.
    """
    solved = _settle(question, 1 if question.number is None else question.number)
    if solved.line is None and question.extender_w and question.pairs is None and solved.source.pairs == 2:
        return _settle(question, FOUR_PAIR_CLASS)
    return solved


def _settle(question: Question, number: int) -> Solved:
    while True:
        solved = _solve_from(question, _source(question, number))
        seen = solved.classes[0]
        if seen is None or CLASSES[seen].pse_w <= CLASSES[number].pse_w:
            return solved
        number = seen


def _source(question: Question, number: int) -> Source:
    port_w = float(CLASSES[number].pse_w) if question.port_w is None else question.port_w
    volts = head_volts(Decimal(repr(port_w))) if question.volts is None else question.volts
    return Source(number, port_w, volts, question.pairs or CLASSES[number].pairs)


def _solve_from(question: Question, source: Source) -> Solved:
    spans = tuple(
        Span(ohm, load_w) for ohm, load_w in zip(_ohms(question, source.pairs), (*question.extender_w, question.pd_w), strict=True)
    )
    return Solved(question, source, spans, solve_line(source.volts, spans))


def _ohms(question: Question, pairs: int) -> list[float]:
    """Loop resistance of each span, ohm; the cords stand at both ends of the run, connectors are counted in its first span."""
    cable = conductor_ohm_per_100m(question.awg, stranded=question.stranded, cca=question.cca)
    cord = conductor_ohm_per_100m(question.cord_awg, stranded=True)
    lengths = question.lengths_m
    ohms = []
    for place, length in enumerate(lengths):
        cords = question.cord_m * ((place == 0) + (place == len(lengths) - 1))
        pieces = (Piece(length - cords, cable), Piece(cords, cord))
        ohms.append(channel_ohm(pieces, pairs, question.cable_c, question.connectors if place == 0 else 0))
    return ohms


def line_holds(solved: Solved, line: Line) -> bool:
    """Whether a line of this question keeps every minimum voltage, the port's watts and the pairset's current."""
    return not (_voltages(solved, line) or _limits(solved, line))


def broken_rules(solved: Solved) -> list[str]:
    """Every rule the line breaks, in words; empty when it works."""
    broken = _source_rules(solved)
    if solved.line is None:
        return ["no operating point", *broken]
    return [*_voltages(solved, solved.line), *broken, *_limits(solved, solved.line)]


def against(value: float, limit: float, unit: str) -> tuple[str, str]:
    """A value and its distance from a limit in words, with as many digits as it takes to see the distance."""
    distance = abs(resolved(value - limit))
    digits = 1 if distance == 0 or distance >= 0.05 else 3 if distance >= 0.0005 else 6
    return f"{value:.{digits}f} {unit}", f"{distance:.{digits}f} {unit}"


def _voltages(solved: Solved, line: Line) -> list[str]:
    question = solved.question
    broken = []
    if line.end.volts < question.pd_min_v:
        volts, short = against(line.end.volts, question.pd_min_v, "V")
        broken.append(f"{volts} at the device, {short} below its minimum of {question.pd_min_v:g} V")
    for place, span in enumerate(line.spans[:-1], start=1):
        if span.volts < question.extender_min_volts:
            volts, short = against(span.volts, question.extender_min_volts, "V")
            broken.append(f"{volts} at extender {place}, {short} below its minimum of {question.extender_min_volts:g} V")
    return broken


def _limits(solved: Solved, line: Line) -> list[str]:
    source = solved.source
    broken = []
    if line.head_w > source.port_w:
        watts, over = against(line.head_w, source.port_w, "W")
        broken.append(f"{watts} drawn from the port, {over} above the {source.port_w:g} W it gives")
    limit, amps = CLASSES[source.number].amps_per_pairset, resolved(amps_per_pairset(line.head_amps, source.pairs))
    if amps > limit:
        broken.append(f"{amps:.3f} A in a pairset at the port, above the {limit:g} A of class {source.number}")
    return broken


def _source_rules(solved: Solved) -> list[str]:
    question, source = solved.question, solved.source
    broken = []
    if question.number is not None and source.pairs < CLASSES[question.number].pairs:
        broken.append(f"class {question.number} needs four pairs, the line has two")
    if solved.line is not None and question.extender_w and solved.classes[0] is None:
        broken.append(f"extender 1 would draw {solved.line.spans[0].watts:.1f} W, above the {MAX_PD_W} W any class may draw")
    elif feeds_something(question) and CLASSES[source.number].pse_w > Decimal(repr(source.port_w)):
        broken.append(_demotion(source))
    return broken


def feeds_something(question: Question) -> bool:
    """Whether anything on the line needs power at all."""
    return question.number is not None or bool(question.extender_w)


def _demotion(source: Source) -> str:
    given = assigned_class(source.number, Decimal(repr(source.port_w)))
    need = f"the port must carry class {source.number} ({CLASSES[source.number].pse_w} W) and gives {source.port_w:g} W"
    return need if given is None else f"{need}: it would assign class {given}, at most {CLASSES[given].pd_w} W, and the load not work fully"
