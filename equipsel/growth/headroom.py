"""What is left of watts, ports, uplink, rack and circuit where a kit is in use, and which of them is nearest to its end."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from equipsel.audit.check_places import mains_w, powered_ports_used
from equipsel.audit.facts import Facts, build_facts
from equipsel.kit import Kit
from equipsel.quantities import share_up
from equipsel.site import Site

WATTS, PORTS, UPLINK, RACK, CIRCUIT = "watts", "powered ports", "uplink", "rack", "circuit"
UNITS = {WATTS: "W", PORTS: "", UPLINK: "Mb/s", RACK: "U", CIRCUIT: "W"}


@dataclass(frozen=True, slots=True)
class Room:
    """How much of something is used where, of how much the rules allow."""

    where: str
    what: str
    used: Fraction
    limit: Fraction

    @property
    def left(self) -> Fraction:
        """What is left."""
        return self.limit - self.used

    @property
    def share(self) -> Fraction:
        """Used over limit; full where the limit is nothing."""
        return self.used / self.limit if self.limit else Fraction(1)


def headroom(kit: Kit, site: Site) -> list[Room]:
    """Of each resource every place (every switch, for the uplink) with its limit, spare that the rules demand not counted."""
    facts = build_facts(kit, site.scenario, site.catalog)
    return [*_watts(facts), *_ports(facts), *_uplinks(facts), *_rack(facts, kit), *_circuits(facts)]


def tightest(rooms: list[Room]) -> dict[str, Room]:
    """Of each resource the one that is used the most."""
    found: dict[str, Room] = {}
    for room in rooms:
        if room.what not in found or room.share > found[room.what].share:
            found[room.what] = room
    return found


def first_out(rooms: list[Room]) -> Room | None:
    """What runs out first: the resource of which the largest share is used."""
    return max(rooms, key=lambda room: room.share, default=None)


def _watts(facts: Facts) -> Iterator[Room]:
    for place, units in facts.by_place.items():
        budget = sum(unit.room_mw for unit in units)
        yield Room(place, WATTS, Fraction(sum(unit.reserved_mw for unit in units), 1000), Fraction(budget, 1000))


def _ports(facts: Facts) -> Iterator[Room]:
    used = powered_ports_used(facts)
    for place, units in facts.by_place.items():
        total = sum(unit.node.powered_ports for unit in units)
        if total:
            spare = share_up(facts.rules.spare_ports_pct, total)
            yield Room(place, PORTS, Fraction(used.get(place, 0)), Fraction(total - spare))


def _uplinks(facts: Facts) -> Iterator[Room]:
    for name, unit in facts.units.items():
        if unit.node.switch is not None:
            limit = Fraction(unit.node.switch.uplink_mbps) * Fraction(facts.rules.uplink_share_pct) / 100
            yield Room(name, UPLINK, Fraction(unit.traffic_mbps), limit)


def _rack(facts: Facts, kit: Kit) -> Iterator[Room]:
    for name, place in facts.site.places.items():
        if place.rack_u is not None and name in facts.by_place:
            nodes = [unit.node for unit in facts.by_place[name]]
            rows = [row for node in nodes for row in (node.model, *node.supplies) if row is not None]
            batteries = facts.batteries.get(name, []) if kit.lines else []
            yield Room(name, RACK, sum((Fraction(row.rack_u) for row in (*rows, *batteries)), Fraction(0)), Fraction(place.rack_u))


def _circuits(facts: Facts) -> Iterator[Room]:
    for name, place in facts.site.places.items():
        if place.circuit_a is not None and place.circuit_v is not None and name in facts.by_place:
            limit = Fraction(place.circuit_a) * Fraction(place.circuit_v) * Fraction(facts.rules.circuit_load_pct) / 100
            yield Room(name, CIRCUIT, mains_w(facts.by_place[name]), limit)
