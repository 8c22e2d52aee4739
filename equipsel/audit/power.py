"""Power through the whole kit: down the feeds for voltages, up them for what every port reserves."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from equipsel.audit.budgets import budget_w, fed_budget_w, room_mw, through_w
from equipsel.audit.limits import breaches
from equipsel.audit.lines import Solved, reserve_mw, solve_again, solve_link
from equipsel.audit.network import Link, Network, Node
from equipsel.catalog import Injector, PortGroup
from equipsel.circuit import Line
from equipsel.quantities import milliwatts_down
from equipsel.scenario import Rules
from equipsel.standard import CLASSES, head_volts

DEEPEST = 16
"""Feeds are followed so far in a row; a kit that goes deeper breaks the cascade rule anyway (our own limit)."""


@dataclass(frozen=True, slots=True)
class LinkPower:
    """A link's power. solved: at the most its far end may draw. reserved_mw, drawn_mw: set aside and drawn at the port; line: so drawn."""

    solved: Solved
    reserved_mw: int
    drawn_mw: int
    line: Line | None


@dataclass(frozen=True, slots=True)
class NodePower:
    """A unit's power: the class it takes (fed switches), its exact budget in W, what its ports reserve and give in mW."""

    number: int | None
    budget_w: Fraction
    reserved_mw: int
    drawn_mw: int


@dataclass
class Power:
    """The power of a unit and everything fed through it; broken: how many limits are broken in it."""

    links: dict[int, LinkPower] = field(default_factory=dict)
    nodes: dict[str, NodePower] = field(default_factory=dict)
    broken: int = 0

    def take(self, other: "Power") -> None:
        """Add what hangs below."""
        self.links.update(other.links)
        self.nodes.update(other.nodes)
        self.broken += other.broken


@dataclass(frozen=True)
class Follower:
    """Follows power through a network."""

    network: Network
    rules: Rules

    def everything(self) -> Power:
        """The power of every unit: from every unit that nothing feeds, or that is fed in a circle or too deep."""
        total = Power()
        for node in self.network.nodes.values():
            if not self._hangs_on_another(node):
                number = self._classes(node)[-1] if node.is_fed else None
                total.take(self.unit(node, number, None, 0))
        return total

    def unit(self, node: Node, number: int | None, volts: float | None, depth: int) -> Power:
        """A unit with class number and volts at its input, and all that hangs on it."""
        power = Power()
        for link in self.network.powered_by[node.name]:
            if link.port is not None:
                power.take(self._link(link, _port_volts(node, link.port, volts), depth))
        own = [power.links[link.index] for link in self.network.powered_by[node.name] if link.index in power.links]
        reserved, drawn = sum(link.reserved_mw for link in own), sum(link.drawn_mw for link in own)
        budget = budget_w(node, number, self.rules)
        power.nodes[node.name] = NodePower(number, budget, reserved, drawn)
        power.broken += reserved > room_mw(budget, node.powered_ports, self.rules)
        return power

    def _link(self, link: Link, volts: float, depth: int) -> Power:
        if link.fed is None:
            return self._device(link, volts)
        if not self._hangs_on_another(link.fed):
            return Power()
        tries = self._classes(link.fed) if depth < self.rules.max_cascade else self._classes(link.fed)[-1:]
        best: Power | None = None
        for number in tries:
            power = self._feed(link, link.fed, number, volts, depth)
            if best is None or power.broken < best.broken:
                best = power
            if not best.broken:
                break
        return best or Power()

    def _device(self, link: Link, volts: float) -> Power:
        if link.device is None:
            return Power()
        solved = solve_link(link, volts, link.device.number, float(link.device.pd_w), self.rules)
        if solved is None:
            return Power()
        reserved = reserve_mw(solved, solved.line, self.rules)
        return Power({link.index: LinkPower(solved, reserved, solved.pse_mw, solved.line)}, {}, breaches(solved))

    def _feed(self, link: Link, fed: Node, number: int, volts: float, depth: int) -> Power:
        """A fed switch on a class: its line at the most it may draw, what hangs on it, its line at what that takes."""
        budget = Fraction(max(0, milliwatts_down(fed_budget_w(fed, number))), 1000)
        most = min(Fraction(CLASSES[number].pd_w), through_w(fed, budget))
        solved = solve_link(link, volts, number, float(most), self.rules)
        power = self.unit(fed, number, solved.line.end.volts if solved and solved.line else None, depth + 1)
        if solved is None:
            return power
        own = power.nodes[fed.name]
        taken = [min(most, through_w(fed, Fraction(each, 1000))) for each in (own.reserved_mw, own.drawn_mw)]
        reserving, drawing = (solve_again(solved, volts, float(watts), self.rules) for watts in taken)
        power.links[link.index] = LinkPower(solved, reserve_mw(solved, reserving.line, self.rules), drawing.pse_mw, drawing.line)
        power.broken += breaches(solved)
        return power

    def _classes(self, fed: Node) -> list[int]:
        """The class the kit states, else every class the switch may take, smallest first."""
        stated = fed.unit.fed_by.class_ if fed.unit.fed_by else None
        if stated is not None and stated in CLASSES:
            return [stated]
        most = (fed.switch.in_class if fed.switch else None) or 3
        return list(range(1, most + 1))

    def _hangs_on_another(self, node: Node) -> bool:
        """Whether its power is followed from another unit of the kit: not where feeds run in a circle or too deep."""
        steps = sum(1 for _ in self._heads(node))
        return 0 < steps <= DEEPEST

    def _heads(self, node: Node) -> Iterator[Node]:
        for _ in range(DEEPEST + 1):
            link = self.network.feed.get(node.name)
            if link is None or link.head is None or link.port is None:
                return
            yield link.head
            node = link.head


def _port_volts(node: Node, port: PortGroup | Injector, input_volts: float | None) -> float:
    """Volts at a port: stated, else what reaches a fed switch, else the worst case by the port's watts."""
    if node.model and node.model.volts is not None:
        return float(node.model.volts)
    return head_volts(port.port_w) if input_volts is None else input_volts
