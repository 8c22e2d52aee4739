"""What a solved line may not do: each limit in its own function, giving a sentence for every breach."""

from collections.abc import Callable, Iterator
from itertools import pairwise

from equipsel.audit.lines import Solved, exact
from equipsel.audit.network import Link
from equipsel.audit.words import say
from equipsel.quantities import resolved
from equipsel.standard import CLASSES, port_carries

Limit = Callable[[Solved], Iterator[str]]


def rank(number: int) -> int:
    """A class among the others by its watts: class 0 counts as class 3."""
    return number or 3


def operating_point(solved: Solved) -> Iterator[str]:
    """The line has an operating point."""
    if solved.line is None:
        yield f"The line over {say(sum(solved.lengths), 1)} m has no operating point: it collapses under its load."


def port_class(solved: Solved) -> Iterator[str]:
    """The head port carries the class of the first thing on the line."""
    if solved.link.port is None:
        return
    if solved.number is None:
        if solved.line and solved.classes:
            yield f"The first extender would draw {say(solved.line.spans[0].watts)} W, more than any class (71.3 W)."
        return
    row = CLASSES[solved.number]
    if not port_carries(solved.link.port.port_w, row.number):
        yield f"It needs class {row.number} ({say(row.pse_w)} W) at the port; the port gives {say(solved.link.port.port_w)} W."


def port_watts(solved: Solved) -> Iterator[str]:
    """The line draws no more than the port gives."""
    if solved.link.port and solved.line and exact(solved.line.head_w) > solved.link.port.port_w:
        yield f"The line draws {say(solved.line.head_w)} W; the port gives {say(solved.link.port.port_w)} W at most."


def pairs(solved: Solved) -> Iterator[str]:
    """Classes 5 to 8 find four pairs in the cable."""
    if solved.link.route and solved.number and solved.number >= 5 and solved.link.route.cable.pairs < 4:
        yield f"Class {solved.number} needs four pairs; cable {solved.link.route.cable.model} has {solved.link.route.cable.pairs}."


def min_volts(solved: Solved) -> Iterator[str]:
    """Extenders, the fed switch and the device get their lowest voltage."""
    if solved.line is None:
        return
    for extender, state in zip(solved.link.chain, solved.line.spans, strict=False):
        if exact(state.volts) < extender.min_volts:
            yield f"Extender {extender.model} gets {say(state.volts)} V; it needs {say(extender.min_volts)} V."
    least = _end_volts(solved.link)
    if least is not None and solved.line.end.volts < least:
        yield f"{say(solved.line.end.volts)} V arrive after {say(sum(solved.lengths), 1)} m; {say(least)} V are needed."


def _end_volts(link: Link) -> float | None:
    if link.fed and link.fed.switch:
        return float(link.fed.switch.min_volts)
    return link.device.pd_min_v if link.device and link.device.pd_w else None


def pairset(solved: Solved) -> Iterator[str]:
    """A pairset carries no more than its class allows (nominal share)."""
    if solved.number is None:
        return
    most = CLASSES[solved.number].amps_per_pairset
    if solved.amps_per_pairset > most:
        yield f"A pairset carries {say(solved.amps_per_pairset, 4)} A; class {solved.number} allows {say(most)} A."


def extender_input(solved: Solved) -> Iterator[str]:
    """Every extender draws a class it may take."""
    if solved.line is None:
        return
    for extender, number, state in zip(solved.link.chain, solved.classes, solved.line.spans, strict=False):
        if number is None or number > extender.in_class:
            asked = "" if number is None else f" as class {number}"
            yield f"Extender {extender.model} would draw {say(state.watts)} W{asked}; it takes class {extender.in_class} at most."


def extender_output(solved: Solved) -> Iterator[str]:
    """Every extender's output carries the class and the watts of what follows it."""
    if solved.line is None:
        return
    after = [*solved.classes, solved.load_number][1:]
    for extender, number, (_, state) in zip(solved.link.chain, after, pairwise(solved.line.spans), strict=True):
        given = resolved(state.watts + state.loss_w)
        if exact(given) > extender.port_w:
            yield f"Extender {extender.model} would give {say(given)} W; its output gives {say(extender.port_w)} W at most."
        if number is not None and not port_carries(extender.port_w, number):
            need = f"class {number} ({say(CLASSES[number].pse_w)} W)"
            yield f"Extender {extender.model} must carry {need} behind it; its output gives {say(extender.port_w)} W."


LIMITS: tuple[Limit, ...] = (
    operating_point, port_class, port_watts, pairs, min_volts, pairset, extender_input, extender_output
)  # fmt: skip


def breaches(solved: Solved) -> int:
    """How many limits a solved line breaks."""
    return sum(1 for limit in LIMITS for _ in limit(solved))
