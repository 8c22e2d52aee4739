"""One line from a port to what it powers: what a head offers, what a load needs, and whether the two go together."""

from dataclasses import dataclass
from decimal import Decimal
from functools import lru_cache

from equipsel.catalog import Cable, Extender
from equipsel.circuit import Line, Span, SpanState, at_temperature, loop_ohm, reach_m, solve_line
from equipsel.columns import Ip
from equipsel.quantities import milliwatts_up, resolved
from equipsel.scenario import Rules
from equipsel.standard import CLASSES, granted_watts, line_pairs, port_carries, smallest_class

NO_POWER = Line(0.0, 0.0, (SpanState(0.0, 0.0, 0.0, 0.0),))
"""The line of a data-only device."""


@dataclass(frozen=True, slots=True)
class Head:
    """What a port offers: volts at the port, W it gives at most, pairs for classes 0-4, speed in Mb/s."""

    volts: float
    port_w: Decimal
    pairs: int
    mbps: Decimal

    def __str__(self) -> str:
        return f"a {self.port_w:f} W port at {self.volts:g} V"


@dataclass(frozen=True, slots=True)
class Load:
    """What stands at the far end: its class (None: data only), W at its input, lowest volts, link speed in Mb/s."""

    number: int | None
    pd_w: float
    min_v: float
    link_mbps: Decimal


@dataclass(frozen=True, slots=True)
class Route:
    """A run a load may take: to which place, its lengthened length in m, its cable, and what extenders on it must bear.

    `row` is the index of the `runs` row it comes from, None for a device's own run; `existing` the cables already there
    (None: all of them); `most_amps` the bundle limit of one conductor, where the catalog states one.
    """

    place: str
    run_m: Decimal
    cable: Cable
    row: int | None
    existing: int | None
    path_ip: Ip | None
    path_low_c: Decimal | None
    path_high_c: Decimal | None
    most_amps: float | None = None


@dataclass(frozen=True, slots=True)
class Feed:
    """A load on a head over a chain of extenders, solved: the class the head sees, the line, what the port reserves."""

    chain: tuple[Extender, ...]
    at_m: tuple[Decimal, ...]
    number: int | None
    pairs: int
    line: Line
    reserved_mw: int

    @property
    def pse_mw(self) -> int:
        """Calculated draw at the head, mW."""
        return milliwatts_up(self.line.head_w)


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a load cannot be fed so: the rule, and the number that stops it in words.

    `nearness` orders refusals by one rule: the larger, the less was missing.
    """

    rule: str
    message: str
    nearness: float = 0.0


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to feed a load, on trial."""

    load: Load
    route: Route
    head: Head
    chain: tuple[Extender, ...]
    rules: Rules

    @property
    def where(self) -> str:
        """The head and the extenders it goes over, in words."""
        if not self.chain:
            return str(self.head)
        names = ", ".join(extender.model for extender in self.chain)
        return f"{self.head} over {len(self.chain)} extender{'s' if len(self.chain) > 1 else ''} ({names})"


@dataclass(frozen=True, slots=True)
class _Solved:
    """A solved way: the class its head sees, the pairs that carry power, the line."""

    number: int
    pairs: int
    line: Line


def feed(load: Load, route: Route, head: Head, chain: tuple[Extender, ...], rules: Rules) -> Feed | Refusal:
    """Put a load on a head over a route and a chain of extenders: the solved feed, or the first rule that refuses it."""
    way = _Way(load, route, head, chain, rules)
    refusal = _refuse_speed(way)
    if refusal:
        return refusal
    if not load.pd_w and not chain:
        return Feed((), (), None, 2, NO_POWER, 0)
    solved = _settle_pairs(way)
    if isinstance(solved, Refusal):
        return solved
    refusal = _refuse_class(way, solved) or _refuse_line(way, solved)
    if refusal:
        return refusal
    lengths = span_lengths(route, chain, rules)
    at_m = tuple(sum(lengths[: index + 1], Decimal(0)) for index in range(len(chain)))
    line = solved.line
    return Feed(chain, at_m, solved.number, solved.pairs, line, reserved_mw(solved.number, line.head_w, line.spans[0].watts, rules))


def span_lengths(route: Route, chain: tuple[Extender, ...], rules: Rules) -> list[Decimal]:
    """Lengths of the spans of a run in m: each extender as far out as the spans before it reach."""
    lengths, left = [], route.run_m
    for reach in reaches(route.cable, chain, rules)[: len(chain)]:
        lengths.append(min(reach, left))
        left -= lengths[-1]
    return [*lengths, left]


def reaches(cable: Cable, chain: tuple[Extender, ...], rules: Rules) -> list[Decimal]:
    """Longest span from the head and from each extender, m; reduced by heat where the rules say so."""
    spans = [rules.span_m, *(extender.span_m for extender in chain)]
    return [reach_m(span, rules.cable_c, cable.shielded) for span in spans] if rules.derate_reach else spans


def reserved_mw(number: int | None, head_w: float, first_w: float, rules: Rules) -> int:
    """What a port sets aside, mW, rounded up: by class, by calculated draw, or as granted; never below the draw."""
    drawn = milliwatts_up(head_w)
    if number is None or rules.budget_basis == "stated":
        return drawn
    if rules.budget_basis == "class":
        return max(milliwatts_up(CLASSES[number].pse_w), drawn)
    return max(milliwatts_up(granted_watts(number, first_w)), drawn)


def _refuse_speed(way: _Way) -> Refusal | None:
    links = [("port", way.head.mbps), (f"cable {way.route.cable.model}", way.route.cable.mbps)]
    links += [(f"extender {extender.model}", extender.port_mbps) for extender in way.chain]
    for name, mbps in links:
        if mbps < way.load.link_mbps:
            return Refusal("speed", f"needs a {way.load.link_mbps:f} Mb/s link; the {name} has {mbps:f} Mb/s")
    return None


def _settle_pairs(way: _Way) -> _Solved | Refusal:
    """Head class, pairs and solved line: a chain's class follows from its line, and its line from the class's pairs."""
    number, pairs = way.load.number, way.head.pairs
    if not way.chain:
        assert number is not None, "a powered load has a class"
        return _solve(way, number, line_pairs(number, pairs))
    first = _solve(way, None, pairs)
    settled = isinstance(first, _Solved) and line_pairs(first.number, pairs) == pairs
    return first if settled else _solve(way, None, 4)


def _solve(way: _Way, number: int | None, pairs: int) -> _Solved | Refusal:
    """Solve a way on so many pairs; a chain's class (number None) follows, at least 5 where the port itself has fewer pairs."""
    pairs = min(pairs, way.route.cable.pairs)
    loads = (*(float(extender.own_w) for extender in way.chain), way.load.pd_w)
    lengths = tuple(float(length) for length in span_lengths(way.route, way.chain, way.rules))
    line = _line(way.head.volts, way.route.cable.conductor_ohm_per_100m, float(way.rules.cable_c), pairs, lengths, loads)
    if line is None:
        at = f"{way.load.pd_w:g} W at {way.route.run_m:f} m"
        return Refusal("collapse", f"{way.where}: the line collapses, it has no operating point with {at}")
    if number is not None:
        return _Solved(number, pairs, line)
    drawn = smallest_class(line.spans[0].watts)
    if drawn is None:
        return Refusal("class", f"{way.where}: the first extender would draw {line.spans[0].watts:.1f} W, 71.3 W at most")
    return _Solved(max(5, drawn) if pairs > way.head.pairs else drawn, pairs, line)


@lru_cache(maxsize=200_000)
def _line(
    volts: float, ohm_per_100m: float, cable_c: float, pairs: int, lengths: tuple[float, ...], loads: tuple[float, ...]
) -> Line | None:
    ohm = at_temperature(ohm_per_100m, cable_c)
    return solve_line(volts, [Span(loop_ohm(ohm, length, pairs), watts) for length, watts in zip(lengths, loads, strict=True)])


def _refuse_class(way: _Way, solved: _Solved) -> Refusal | None:
    """The head must carry the class of the first thing on its line, every extender's output that of the next."""
    number, cable = solved.number, way.route.cable
    if number >= 5 and cable.pairs < 4:
        return Refusal("pairs", f"class {number} needs four pairs; cable {cable.model} has {cable.pairs}")
    if not port_carries(way.head.port_w, number):
        return Refusal("class", f"{way.where} does not carry class {number} ({CLASSES[number].pse_w} W)", float(way.head.port_w))
    for index, extender in enumerate(way.chain):
        drawn = number if index == 0 else smallest_class(solved.line.spans[index].watts)
        refusal = _refuse_extender(way, solved.line, index, extender, drawn)
        if refusal:
            return refusal
    return None


def _refuse_extender(way: _Way, line: Line, index: int, extender: Extender, drawn: int | None) -> Refusal | None:
    taken = line.spans[index].watts
    if drawn is None or drawn > extender.in_class:
        asked = "" if drawn is None else f" as class {drawn}"
        text = f"{way.where}: extender {extender.model} would draw {taken:.1f} W{asked}, above its class {extender.in_class}"
        return Refusal("extender", text)
    last = index + 1 == len(way.chain)
    below = way.load.number if last else smallest_class(line.spans[index + 1].watts)
    given = resolved(taken - float(extender.own_w))
    if below is not None and (not port_carries(extender.port_w, below) or given > float(extender.port_w)):
        needed = f"class {below} ({CLASSES[below].pse_w} W)"
        text = f"{way.where}: extender {extender.model} gives {extender.port_w:f} W; below it {needed}, {given:.1f} W drawn"
        return Refusal("extender", text)
    return None


def _refuse_line(way: _Way, solved: _Solved) -> Refusal | None:
    line, head, most = solved.line, way.head, CLASSES[solved.number].amps_per_pairset
    for extender, span in zip(way.chain, line.spans, strict=False):
        if span.volts < float(extender.min_volts):
            message = f"{way.where}: {span.volts:.1f} V at extender {extender.model}, {extender.min_volts:f} V needed"
            return Refusal("volts", message, span.volts - float(extender.min_volts))
    if way.load.pd_w and line.end.volts < way.load.min_v:
        message = f"{way.where}: {line.end.volts:.1f} V at the far end, {way.load.min_v:g} V needed"
        return Refusal("volts", message, line.end.volts - way.load.min_v)
    pairset, limit = resolved(line.head_amps * 2 / solved.pairs), way.route.most_amps
    if pairset > most:
        text = f"{way.where}: {pairset:.3f} A in a pairset, {most:g} A allowed for class {solved.number}"
        return Refusal("current", text, most - pairset)
    if limit is not None and resolved(pairset / 2) > limit:
        text = f"{way.where}: {pairset / 2:.3f} A in a conductor, {limit:g} A allowed in its bundle"
        return Refusal("bundle", text, limit - pairset / 2)
    if line.head_w > float(head.port_w):
        return Refusal("port watts", f"{way.where}: the line draws {line.head_w:.1f} W", float(head.port_w) - line.head_w)
    return None
