"""What a unit may hand out, what of it must stay free, and what goes in for what comes out. Exact fractions of W."""

from fractions import Fraction

from equipsel.audit.network import Node
from equipsel.quantities import milliwatts_down, milliwatts_up
from equipsel.scenario import Rules
from equipsel.standard import CLASSES


def budget_w(node: Node, number: int | None, rules: Rules) -> Fraction:
    """A unit's budget: an injector's and a mains switch's own, else by its supplies or the class it is fed with."""
    if node.injector and not node.switch:
        return Fraction(node.injector.total_w)
    if node.switch is None:
        return Fraction(0)
    if node.switch.feed == "mains":
        return Fraction(node.switch.budget_w or 0)
    if node.switch.feed == "port":
        return fed_budget_w(node, number) if number is not None else Fraction(0)
    return _limited(counted_w(node, rules) - Fraction(node.switch.own_w), node)


def counted_w(node: Node, rules: Rules) -> Fraction:
    """Watts of its supplies that count: all, or all but the largest where they must be redundant."""
    watts = sorted(Fraction(supply.watts) for supply in node.supplies)
    return sum(watts[:-1] if rules.redundant_supplies else watts, Fraction(0))


def fed_budget_w(node: Node, number: int) -> Fraction:
    """Budget of a fed switch: the class's device watts through its converter, less its own draw."""
    assert node.switch is not None, "only switches are fed"
    inside = Fraction(CLASSES[number].pd_w) * Fraction(node.switch.efficiency)
    return _limited(inside - Fraction(node.switch.own_w), node)


def _limited(watts: Fraction, node: Node) -> Fraction:
    limit = node.switch.budget_w if node.switch else None
    return watts if limit is None else min(watts, Fraction(limit))


def room_mw(budget: Fraction, powered_ports: int, rules: Rules) -> int:
    """What a unit's ports may reserve: its budget less the spare share, mW, rounded down; one powered port needs no spare."""
    share = Fraction(1) if powered_ports == 1 else 1 - Fraction(rules.spare_watts_pct) / 100
    return milliwatts_down(budget * share)


def efficiency(node: Node) -> Fraction:
    """Output over input: the lowest of a unit's supplies', else its own."""
    if node.switch and node.switch.feed == "supply" and node.supplies:
        return min(Fraction(supply.efficiency) for supply in node.supplies)
    return Fraction(node.model.efficiency) if node.model else Fraction(1)


def input_w(node: Node, out_mw: int) -> Fraction:
    """What a unit takes in for out_mw handed out, W; its own draw rounded up to the milliwatt as every load is."""
    own_mw = milliwatts_up(node.model.own_w) if node.model else 0
    return Fraction(own_mw + out_mw, 1000) / efficiency(node)


def through_w(node: Node, out_w: Fraction) -> Fraction:
    """What goes into a fed switch that hands out so much: its own draw and its ports' through its efficiency, W, exact."""
    own = Fraction(node.model.own_w) if node.model else Fraction(0)
    return (own + out_w) / efficiency(node)
