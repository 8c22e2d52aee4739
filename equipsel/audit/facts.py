"""Everything recomputed about a kit, ready for the checks: per link its solved line, per unit its loads, per place its units."""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from equipsel.audit.budgets import input_w, room_mw
from equipsel.audit.lines import Solved
from equipsel.audit.network import Link, Network, Node, build_network
from equipsel.audit.numbers import without_bad_numbers
from equipsel.audit.power import Follower, LinkPower, Power
from equipsel.audit.site import Site
from equipsel.audit.words import Found
from equipsel.catalog import Battery, Catalog
from equipsel.kit import Kit
from equipsel.scenario import Device, Rules, Scenario

HOURS_A_YEAR = 8760


@dataclass(frozen=True, slots=True)
class UnitFact:
    """A unit's figures: exact budget in W, what its ports reserve and what is drawn from them in mW, traffic in Mb/s."""

    node: Node
    number: int | None
    budget_w: Fraction
    room_mw: int
    reserved_mw: int
    drawn_mw: int
    traffic_mbps: Decimal

    @property
    def mains_w(self) -> Fraction:
        """What it takes from the mains for what it reserves, W: nothing where an Ethernet port feeds it."""
        return Fraction(0) if self.node.is_fed else input_w(self.node, self.reserved_mw)

    @property
    def heat_w(self) -> Fraction:
        """Its own draw and conversion loss at what it reserves, W: what goes in and does not leave on its cables."""
        return input_w(self.node, self.reserved_mw) - Fraction(self.reserved_mw, 1000)


@dataclass(frozen=True)
class Facts:
    """A kit with everything that follows from its units and connections."""

    kit: Kit
    site: Site
    network: Network
    power: Power
    bad_numbers: tuple[Found, ...]

    @property
    def rules(self) -> Rules:
        """The scenario's rules."""
        return self.site.rules

    @property
    def catalog(self) -> Catalog:
        """What can be bought."""
        return self.site.catalog

    @cached_property
    def device_links(self) -> list[tuple[Link, Device]]:
        """Every line of a device that the scenario knows."""
        return [(link, link.device) for link in self.network.links if link.device]

    def solved(self) -> Iterator[Solved]:
        """Every line that could be solved, in the order of the kit."""
        return (power.solved for _, power in self.powered())

    def powered(self) -> Iterator[tuple[Link, LinkPower]]:
        """Every link whose power is known."""
        return ((link, self.power.links[link.index]) for link in self.network.links if link.index in self.power.links)

    @cached_property
    def units(self) -> dict[str, UnitFact]:
        """The figures of each unit whose model is known."""
        return {name: self._unit(node) for name, node in self.network.nodes.items() if node.model}

    def _unit(self, node: Node) -> UnitFact:
        power = self.power.nodes[node.name]
        return UnitFact(
            node,
            power.number,
            power.budget_w,
            room_mw(power.budget_w, node.powered_ports, self.rules),
            power.reserved_mw,
            power.drawn_mw,
            self._traffic.get(node.name, Decimal(0)),
        )

    @cached_property
    def _traffic(self) -> dict[str, Decimal]:
        """Traffic by switch: of the devices on its ports and on those of every switch it feeds."""
        found: dict[str, Decimal] = {}
        for link, device in self.device_links:
            if link.data:
                for node in [link.data, *self.network.upstream(link.data)[0]]:
                    found[node.name] = found.get(node.name, Decimal(0)) + device.mbps
        return found

    @cached_property
    def by_place(self) -> dict[str, list[UnitFact]]:
        """Units of a known model by the place they stand in."""
        found: dict[str, list[UnitFact]] = {}
        for fact in self.units.values():
            found.setdefault(fact.node.unit.place, []).append(fact)
        return found

    @cached_property
    def batteries(self) -> dict[str, list[Battery]]:
        """Battery units by place, as the lines list them."""
        found: dict[str, list[Battery]] = {}
        for line in self.kit.lines or ():
            battery = self.catalog.battery.get(line.model)
            if line.kind == "backup" and battery and line.place is not None and 1 <= line.count <= MOST_BATTERIES:
                found.setdefault(line.place, []).extend([battery] * int(line.count))
        return found

    @property
    def energy_kwh(self) -> Fraction:
        """Energy that becomes heat in the units over the years the cost looks at, kWh, rounded up to a Wh."""
        heat = sum((fact.heat_w for fact in self.units.values()), Fraction(0))
        exact = heat * HOURS_A_YEAR * Fraction(self.rules.years)
        return Fraction(-(-exact.numerator // exact.denominator), 1000)


MOST_BATTERIES = 100_000
"""A line with more battery units than this is not counted (our own limit)."""


def build_facts(kit: Kit, scenario: Scenario, catalog: Catalog) -> Facts:
    """Recompute everything about a kit from the tables."""
    site = Site(scenario, catalog)
    sane, bad_numbers = without_bad_numbers(kit)
    network = build_network(sane, site)
    return Facts(sane, site, network, Follower(network, site.rules).everything(), tuple(bad_numbers))
