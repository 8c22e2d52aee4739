"""Rules about a place: known, with mains, rack space, outlets, circuit, spare ports, ingress and ambient, backup."""

from collections.abc import Iterator
from fractions import Fraction

from equipsel.audit.facts import Facts, UnitFact
from equipsel.audit.fits import ambient_faults, ip_faults
from equipsel.audit.network import Node
from equipsel.audit.words import Found, error, listed, say, warning
from equipsel.catalog import Injector, Supply, Switch
from equipsel.quantities import share_up
from equipsel.scenario import Place

AGEING = Fraction(125, 100)
"""A battery unit is sized for what it holds when it has aged: a quarter more (IEEE 485 practice, secondary source)."""


def check_known_places(facts: Facts) -> Iterator[Found]:
    """Units and battery units stand in places the scenario knows."""
    for unit in facts.kit.units:
        if unit.place not in facts.site.places:
            yield error(f"unit {unit.unit}", f"The scenario has no place {unit.place}; it has {listed(facts.site.places)}.")
    for line in facts.kit.lines or ():
        if line.kind == "backup" and line.place not in facts.site.places:
            yield error(f"line backup {line.model}", f"The scenario has no place {line.place}; it has {listed(facts.site.places)}.")


def check_mains(facts: Facts) -> Iterator[Found]:
    """A place without mains takes only switches fed through an Ethernet port."""
    for name, fact in facts.units.items():
        if fact.node.place and not fact.node.place.mains and not fact.node.is_fed:
            yield error(f"unit {name}", f"{fact.node.unit.model} needs mains; place {fact.node.unit.place} has none.")
    for name, batteries in facts.batteries.items():
        place = facts.site.places.get(name)
        if place and not place.mains:
            yield error(f"place {name}", f"Battery unit {batteries[0].model} needs mains; the place has none.")


def check_rack(facts: Facts) -> Iterator[Found]:
    """Switches, supplies, injectors and battery units fit the rack."""
    for place in facts.site.places.values():
        if place.rack_u is None:
            continue
        used = sum((Fraction(row.rack_u) for fact in facts.by_place.get(place.place, ()) for row in _rows(fact.node)), Fraction(0))
        used += sum((Fraction(battery.rack_u) for battery in facts.batteries.get(place.place, ())), Fraction(0))
        if used > place.rack_u:
            yield error(f"place {place.place}", f"Its equipment takes {say(used)} U of rack; there are {say(place.rack_u)} U.")


def _rows(node: Node) -> list[Switch | Injector | Supply]:
    return [*([node.model] if node.model else []), *node.supplies]


def check_outlets(facts: Facts) -> Iterator[Found]:
    """Mains switches, supplies and injectors find an outlet each."""
    for place in facts.site.places.values():
        used = sum(_outlets(fact.node) for fact in facts.by_place.get(place.place, ()))
        if place.outlets is not None and used > place.outlets:
            yield error(f"place {place.place}", f"Its equipment takes {used} outlets; there are {place.outlets}.")


def _outlets(node: Node) -> int:
    if node.switch is None or node.switch.feed == "mains":
        return 1
    return len(node.unit.supplies) if node.switch.feed == "supply" else 0


def mains_w(units: list[UnitFact]) -> Fraction:
    """What units take from the mains together, exact W."""
    return sum((fact.mains_w for fact in units), Fraction(0))


def check_circuit(facts: Facts) -> Iterator[Found]:
    """The mains draw of a place stays within the share of its circuit."""
    for place in facts.site.places.values():
        if place.circuit_a is None or place.circuit_v is None:
            continue
        most = Fraction(place.circuit_a) * Fraction(place.circuit_v) * Fraction(facts.rules.circuit_load_pct) / 100
        used = mains_w(facts.by_place.get(place.place, []))
        if used > most:
            circuit = f"{say(place.circuit_a)} A at {say(place.circuit_v)} V, loaded to {say(facts.rules.circuit_load_pct)} %"
            yield error(f"place {place.place}", f"Its units take {say(used)} W of mains; its circuit of {circuit} gives {say(most)} W.")


def powered_ports_used(facts: Facts) -> dict[str, int]:
    """How many powered ports are in use, by place; an injector's count where it stands."""
    used: dict[str, set[tuple[str, str, int]]] = {}
    for link in facts.network.links:
        plug = link.plug
        if link.data and link.group and link.group.port_w > 0:
            used.setdefault(link.data.unit.place, set()).add((plug.unit, plug.group, plug.port))
        if plug.injector and link.injector:
            used.setdefault(link.injector.unit.place, set()).add((plug.injector.unit, "", plug.injector.port))
    return {place: len(ports) for place, ports in used.items()}


def check_spare_ports(facts: Facts) -> Iterator[Found]:
    """Enough powered ports of a place stay free."""
    used = powered_ports_used(facts)
    for place, units in facts.by_place.items():
        total = sum(fact.node.powered_ports for fact in units)
        free = share_up(facts.rules.spare_ports_pct, total)
        count = used.get(place, 0)
        if free and count > total - free:
            yield error(f"place {place}", f"{count} of {total} powered ports are used; {free} must stay free.")


def check_ip(facts: Facts) -> Iterator[Found]:
    """Equipment has the ingress protection its place needs."""
    for node, place in _standing(facts):
        for row in dict.fromkeys(_rows(node)):
            for fault in ip_faults(row, place.ip):
                yield error(f"unit {node.name}", f"{row.model} {fault} in {place.place}.")


def check_ambient(facts: Facts) -> Iterator[Found]:
    """Equipment is rated for the ambient of its place; an unstated range does not fit a stated one."""
    for node, place in _standing(facts):
        for row in dict.fromkeys(_rows(node)):
            for fault in ambient_faults(row, place.low_c, place.high_c):
                yield error(f"unit {node.name}", f"{row.model} {fault} in {place.place}.")


def _standing(facts: Facts) -> Iterator[tuple[Node, Place]]:
    return ((node, node.place) for node in facts.network.nodes.values() if node.place)


def check_backup(facts: Facts) -> Iterator[Found]:
    """Battery units hold every mains place on the power path of a device with backup.

    They are told by the lines of a kit only: where it has none, what they must hold is a warning.
    """
    told = warning if facts.kit.lines is None else error
    minutes = Fraction(facts.rules.backup_minutes)
    if not minutes:
        return
    for name in _held_places(facts):
        place, load = facts.site.places.get(name), mains_w(facts.by_place.get(name, []))
        batteries = facts.batteries.get(name, [])
        if place is None or not place.mains:
            continue
        power = sum((Fraction(row.watts) for row in batteries), Fraction(0))
        energy = sum((Fraction(row.watt_hours) * Fraction(row.efficiency) for row in batteries), Fraction(0))
        needed = load * minutes * AGEING / 60
        if power < load:
            yield told(f"place {name}", f"Its battery units carry {say(power)} W; its mains load is {say(load)} W.")
        if energy < needed:
            held = f"{say(minutes)} min of {say(load)} W with ageing"
            yield told(f"place {name}", f"Its battery units give {say(energy)} Wh; {held} take {say(needed)} Wh.")


def _held_places(facts: Facts) -> list[str]:
    places: dict[str, None] = {}
    for link, device in facts.device_links:
        if not device.backup:
            continue
        for node in [link.injector, link.data]:
            for step in [node, *facts.network.upstream(node)[0]] if node else []:
                places[step.unit.place] = None
    return list(places)
