"""The bill and every figure the kit states, against what was recomputed. No tolerance but the resolution they are stated in."""

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from equipsel.audit.bill import Item, expected_bill
from equipsel.audit.facts import Facts, UnitFact
from equipsel.audit.power import LinkPower
from equipsel.audit.words import Found, error, say
from equipsel.kit import Connection, Kit, Line, Number, Status
from equipsel.quantities import RESOLUTION_DIGITS, milliwatts_down, resolved

Key = tuple[str, str, str | None]
PLACELESS = frozenset({"extender", "cable", "extra", "energy"})
"""Kinds of line that are counted over the whole site, whatever place they name."""

HALF_THOUSANDTH = Fraction(1, 2000)
"""Half the last decimal of a figure stated to three."""

GAP_STEP = Fraction(1, 1_000_000)
"""The last decimal of a stated gap."""

MEASURED = frozenset({"cable", "energy"})
"""Kinds of line whose count is a measure, stated to three decimals."""

NEAREST = {"pd_w": (3, "W"), "pd_volts": (3, "V"), "amps": (4, "A"), "loss_w": (3, "W")}
"""Decimals and unit of the figures of a connection or feed that are rounded to the nearest."""


def stated(value: Number) -> Fraction:
    """A stated figure as the exact decimal number it is written as."""
    return Fraction(Decimal(repr(resolved(value)))) if isinstance(value, float) else Fraction(value)


def check_lines(facts: Facts) -> Iterator[Found]:
    """The lines, where there are any, are those the units and connections lead to."""
    if facts.kit.lines is None:
        return
    expected, listed_lines = _by_key(expected_bill(facts)), _lines_by_key(facts.kit.lines)
    for key in dict.fromkeys([*expected, *listed_lines]):
        yield from _compare(key, expected.get(key, []), listed_lines.get(key, []))
    for line in facts.kit.lines:
        slack = HALF_THOUSANDTH * stated(line.unit_cost) if line.kind in MEASURED else Fraction(0)
        product = stated(line.count) * stated(line.unit_cost)
        if abs(stated(line.cost) - product) > slack + Fraction(1, 200):
            yield error(_where(_key(line)), f"It costs {line.cost}; {line.count} at {line.unit_cost} cost {say(product, 2)}.")


def _key(line: Line) -> Key:
    return line.kind, line.model, None if line.kind in PLACELESS else line.place


def _by_key(items: list[Item]) -> dict[Key, list[Item]]:
    found: dict[Key, list[Item]] = {}
    for item in items:
        found.setdefault((item.kind, item.model, item.place), []).append(item)
    return found


def _lines_by_key(lines: tuple[Line, ...]) -> dict[Key, list[Line]]:
    found: dict[Key, list[Line]] = {}
    for line in lines:
        found.setdefault(_key(line), []).append(line)
    return found


def _where(key: Key) -> str:
    kind, model, place = key
    return f"line {kind} {model}" + (f" in {place}" if place else "")


def _compare(key: Key, items: list[Item], lines: list[Line]) -> Iterator[Found]:
    count, cost = sum((item.count for item in items), Fraction(0)), sum(item.cost_cents for item in items)
    have, paid = sum((stated(line.count) for line in lines), Fraction(0)), sum((stated(line.cost) for line in lines), Fraction(0))
    if not lines and not cost and key[0] in PLACELESS:
        return
    if not lines:
        yield error(_where(key), f"The line is missing: {say(count)} for {say(Fraction(cost, 100), 2)}.")
    elif abs(have - count) > (HALF_THOUSANDTH if key[0] in MEASURED else 0):
        yield error(_where(key), f"It lists {say(have)}; the units and connections take {say(count)}.")
    elif paid * 100 != cost:
        yield error(_where(key), f"It costs {say(paid, 2)}; by the catalog {say(count)} cost {say(Fraction(cost, 100), 2)}.")


def check_cost(facts: Facts) -> Iterator[Found]:
    """The cost is what the lines add up to, and what the catalog makes of the units and connections."""
    kit = facts.kit
    if kit.currency and kit.currency != facts.site.scenario.currency:
        yield error("kit", f"Its currency is {kit.currency}; the scenario's is {facts.site.scenario.currency}.")
    yield from _answer(facts.kit)
    batteries_unknown = kit.lines is None and facts.rules.backup_minutes > 0
    if kit.cost is None or batteries_unknown:
        return
    due = sum(item.cost_cents for item in expected_bill(facts))
    if stated(kit.cost) * 100 != due:
        yield error("kit", f"Its cost is {say(stated(kit.cost), 2)}; by the catalog it is {say(Fraction(due, 100), 2)}.")
    if kit.lines is not None:
        added = sum((stated(line.cost) for line in kit.lines), Fraction(0))
        if added != stated(kit.cost):
            yield error("kit", f"Its cost is {say(stated(kit.cost), 2)}; its lines add up to {say(added, 2)}.")


def _answer(kit: Kit) -> Iterator[Found]:
    """A kit's status, bound and gap go together: a kit that has units is no refusal, and no kit costs less than the bound."""
    if kit.units and kit.status in (Status.INFEASIBLE, Status.STOPPED):
        yield error("kit", f"Its status is {kit.status}, and it has units.")
    if kit.cost is None or kit.lower_bound is None:
        return
    cost, bound = stated(kit.cost), stated(kit.lower_bound)
    if bound > cost:
        yield error("kit", f"Its lower bound is {say(bound, 2)}; its cost is {say(cost, 2)}.")
    elif kit.gap is not None and cost and abs(stated(kit.gap) - (cost - bound) / cost) > GAP_STEP:
        yield error("kit", f"Its gap is {kit.gap}; by its cost and bound it is {float((cost - bound) / cost):.6f}.")


def check_stated_units(facts: Facts) -> Iterator[Found]:
    """Budget, reserve, draw, heat, mains and traffic of a unit, where stated, are those recomputed."""
    for name, fact in facts.units.items():
        for field, watts in _unit_watts(fact):
            value = getattr(fact.node.unit, field)
            if value is not None and abs(round(stated(value) * 1000) - watts * 1000) >= 1:
                yield error(f"unit {name}", f"{field} is stated as {value} W; recomputed it is {say(watts)} W.")
        mbps = fact.node.unit.traffic_mbps
        if mbps is not None and fact.node.switch and abs(stated(mbps) - Fraction(fact.traffic_mbps)) > HALF_THOUSANDTH:
            yield error(f"unit {name}", f"traffic_mbps is stated as {mbps} Mb/s; recomputed it is {say(fact.traffic_mbps)} Mb/s.")


def _unit_watts(fact: UnitFact) -> Iterator[tuple[str, Fraction]]:
    yield "budget_w", Fraction(milliwatts_down(fact.budget_w), 1000)
    yield "reserved_w", Fraction(fact.reserved_mw, 1000)
    yield "draw_w", Fraction(fact.drawn_mw, 1000)
    yield "heat_w", fact.heat_w
    yield "mains_w", fact.mains_w


def check_stated_connections(facts: Facts) -> Iterator[Found]:
    """Port, reserve, draw, volts, amps and loss of a connection or feed, where stated, are those recomputed."""
    for link, power in facts.powered():
        figures = _connection_watts(power) if isinstance(link.plug, Connection) else _feed_watts(power)
        for field, watts in figures:
            value = getattr(link.plug, field)
            if value is not None and round(stated(value) * 1000) != round(watts * 1000):
                yield error(link.where, f"{field} is stated as {value} W; recomputed it is {say(watts)} W.")
        for field, figure in _line_figures(power):
            value = getattr(link.plug, field)
            digits, unit = NEAREST[field]
            half = Fraction(1, 2 * 10**digits) + Fraction(1, 10**RESOLUTION_DIGITS)
            if value is not None and abs(stated(value) - stated(figure)) > half:
                yield error(link.where, f"{field} is stated as {value} {unit}; recomputed it is {say(figure, digits)} {unit}.")


def _connection_watts(power: LinkPower) -> Iterator[tuple[str, Fraction]]:
    port = power.solved.link.port
    if port:
        yield "port_w", Fraction(port.port_w)
    yield "reserved_w", Fraction(power.reserved_mw, 1000)
    if power.solved.line:
        yield "pse_w", Fraction(power.solved.pse_mw, 1000)


def _feed_watts(power: LinkPower) -> Iterator[tuple[str, Fraction]]:
    yield "reserved_w", Fraction(power.reserved_mw, 1000)
    yield "pse_w", Fraction(power.drawn_mw, 1000)


def _line_figures(power: LinkPower) -> Iterator[tuple[str, float]]:
    """Watts and volts at the far end (a device's, a fed switch's input), amps at the head, what the line loses."""
    line, device = power.line, power.solved.link.device
    if line is None:
        return
    yield "pd_w", line.end.watts
    yield "amps", line.head_amps
    yield "loss_w", sum(span.loss_w for span in line.spans)
    if device is None or device.pd_w:
        yield "pd_volts", line.end.volts
