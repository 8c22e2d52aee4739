"""Rules about what is named and plugged in: every device once, known units, ports that exist and are free, runs that exist."""

from collections import Counter
from collections.abc import Iterator

from equipsel.audit.facts import Facts
from equipsel.audit.network import Link, Node, fits_route
from equipsel.audit.words import Found, error, listed
from equipsel.kit import Connection


def check_numbers(facts: Facts) -> Iterator[Found]:
    """Every figure of the kit is a finite number."""
    yield from facts.bad_numbers


def check_devices(facts: Facts) -> Iterator[Found]:
    """Every device of the scenario has exactly one connection, and nothing else has one."""
    counted = Counter(row.device for row in facts.kit.connections)
    for name in facts.site.devices:
        if name not in counted:
            yield error(f"device {name}", "It has no connection; every device gets exactly one port.")
    for name, count in counted.items():
        if name not in facts.site.devices:
            yield error(f"device {name}", "The scenario has no such device.")
        elif count > 1:
            yield error(f"device {name}", f"It has {count} connections; every device gets exactly one port.")


def check_units(facts: Facts) -> Iterator[Found]:
    """Unit names are unique; models and supplies are in the catalog; connections and feeds name units of the kit."""
    for name, count in Counter(unit.unit for unit in facts.kit.units).items():
        if count > 1:
            yield error(f"unit {name}", f"{count} units have this name; only the first was counted.")
    for unit in facts.kit.units:
        if unit.model not in facts.catalog.switch and unit.model not in facts.catalog.injector:
            yield error(f"unit {unit.unit}", f"The catalog has no switch or injector {unit.model}.")
        unknown = [model for model in unit.supplies if model not in facts.catalog.supply]
        if unknown:
            yield error(f"unit {unit.unit}", f"The catalog has no supply {listed(unknown)}.")
    for link in facts.network.links:
        named = [link.plug.unit] + ([link.plug.injector.unit] if link.plug.injector else [])
        for name in named:
            if name not in facts.network.nodes:
                yield error(link.where, f"It is plugged into unit {name}, which the kit does not have.")


def check_ports(facts: Facts) -> Iterator[Found]:
    """Every port named exists, and no port is used twice: by devices, feeds of switches or data leads of injectors."""
    used: dict[tuple[str, str, int], list[str]] = {}
    for link in facts.network.links:
        plug = link.plug
        used.setdefault((plug.unit, f"group {plug.group}", plug.port), []).append(link.where)
        if plug.injector:
            used.setdefault((plug.injector.unit, "injector", plug.injector.port), []).append(link.where)
        yield from _missing_port(link)
    for (unit, kind, port), users in used.items():
        if len(users) > 1:
            yield error(f"unit {unit}", f"Port {port} ({kind}) is used {len(users)} times: {listed(users)}.")


def _missing_port(link: Link) -> Iterator[Found]:
    plug = link.plug
    if link.data and link.data.switch:
        if link.group is None:
            groups = listed(group.group for group in link.data.groups)
            yield error(link.where, f"Unit {plug.unit} has no port group {plug.group}; it has {groups}.")
        elif not 1 <= plug.port <= link.group.count:
            yield error(link.where, f"Group {plug.group} of unit {plug.unit} has ports 1 to {link.group.count}, no port {plug.port}.")
    if plug.injector and link.injector and link.injector.injector:
        ports = link.injector.injector.ports
        if not 1 <= plug.injector.port <= ports:
            yield error(link.where, f"Injector {plug.injector.unit} has ports 1 to {ports}, no port {plug.injector.port}.")


def check_injectors(facts: Facts) -> Iterator[Found]:
    """Data comes from a switch, an injector's power from an injector that stands in the same place."""
    for link in facts.network.links:
        if link.data and link.data.injector and not link.data.switch:
            yield error(link.where, f"Unit {link.plug.unit} is an injector; the data needs a port of a switch.")
        injector = link.injector
        if injector is None:
            continue
        if injector.model and not injector.injector:
            yield error(link.where, f"Unit {injector.name} is no injector.")
        if link.data and link.data.unit.place != injector.unit.place:
            places = f"{injector.unit.place}, its data port in {link.data.unit.place}"
            yield error(link.where, f"Injector {injector.name} stands in {places}; both must be in the same place.")


def check_places_of_lines(facts: Facts) -> Iterator[Found]:
    """A line goes to the place its unit stands in, and a run leads there."""
    for link in facts.network.links:
        head = link.head
        if isinstance(link.plug, Connection) and head and head.unit.place != link.plug.place:
            yield error(link.where, f"It is cabled to {link.plug.place}, but unit {head.name} stands in {head.unit.place}.")
        if link.candidates or link.place is None:
            continue
        if link.device:
            places = listed(dict.fromkeys(route.to for route in facts.site.device_routes(link.device)))
            yield error(link.where, f"It cannot be cabled to {link.place}; it can be to {places}.")
        elif link.fed:
            start = link.fed.unit.place
            places = listed(dict.fromkeys(route.to for route in facts.site.feed_routes(start)))
            yield error(link.where, f"No row of runs leads from {start} to {link.place}; rows lead to {places}.")


def check_routes(facts: Facts) -> Iterator[Found]:
    """A stated length and cable are those of a run to that place."""
    for link in facts.network.links:
        if link.candidates and not any(fits_route(link.plug, route) for route in link.candidates):
            stated = [f"{link.plug.run_m} m"] if link.plug.run_m is not None else []
            stated += [link.plug.cable] if link.plug.cable is not None else []
            runs = listed(route.words for route in link.candidates)
            yield error(link.where, f"No run to {link.place} is {' of '.join(stated)}; there is {runs}.")


def check_feeds(facts: Facts) -> Iterator[Found]:
    """A port-fed switch is fed by a port; nothing else is."""
    for node in facts.network.nodes.values():
        where = f"unit {node.name}"
        if node.is_fed and node.unit.fed_by is None:
            yield error(where, f"Switch {node.unit.model} takes its power from an Ethernet port, but no port feeds it.")
        if node.model and not node.is_fed and node.unit.fed_by:
            yield error(where, f"{node.unit.model} is not fed through an Ethernet port, but fed_by names one.")


def check_cascade(facts: Facts) -> Iterator[Found]:
    """No more switches are fed through switches in a row than allowed, and none in a circle."""
    most = facts.rules.max_cascade
    for node in facts.network.nodes.values():
        path, circle = facts.network.upstream(node)
        if circle:
            yield error(f"unit {node.name}", f"It is fed in a circle: {_chain(node, path)}.")
        elif len(path) > most:
            yield error(f"unit {node.name}", f"It is {len(path)} feeds away from the mains; {most} allowed: {_chain(node, path)}.")


def _chain(node: Node, path: list[Node]) -> str:
    return " from ".join(step.name for step in [node, *path[:8]])
