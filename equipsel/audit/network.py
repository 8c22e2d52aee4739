"""What the kit says plugs in where: units as nodes, device lines and feeds of fed switches as links between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from equipsel.audit.site import Route, Site
from equipsel.catalog import Extender, Injector, PortGroup, Supply, Switch
from equipsel.kit import Connection, FedBy, Kit, Unit
from equipsel.scenario import Device, Place

FASTEST_UPLINK = Decimal(1000)
"""A fed switch's link upstream is never asked to be faster than this, Mb/s."""

LENGTH_RESOLUTION = Decimal("0.0005")
"""Half the last decimal of a stated length, m."""


@dataclass(frozen=True, slots=True)
class Node:
    """A unit of the kit with its row of the catalog; what is not known there is None. groups: a switch's ports."""

    unit: Unit
    switch: Switch | None
    groups: tuple[PortGroup, ...]
    injector: Injector | None
    supplies: tuple[Supply, ...]
    place: Place | None

    @property
    def name(self) -> str:
        """The unit's name."""
        return self.unit.unit

    @property
    def model(self) -> Switch | Injector | None:
        """Its row of the catalog."""
        return self.switch or self.injector

    @property
    def powered_ports(self) -> int:
        """How many of its ports give power."""
        if self.injector and not self.switch:
            return self.injector.ports
        return sum(group.count for group in self.groups if group.port_w > 0)

    @property
    def is_fed(self) -> bool:
        """Whether it takes its power from an Ethernet port."""
        return self.switch is not None and self.switch.feed == "port"


@dataclass(frozen=True, slots=True)
class Link:
    """One used run: a device's line, or the feed of a fed switch. What the kit names wrongly is None.

    name: the device, or the unit that is fed. data, group: the switch and its ports that carry the data. injector: the
    injector that carries the power, if any. candidates: every run to the place it goes to; route: the one it takes.
    """

    index: int
    name: str
    plug: Connection | FedBy
    device: Device | None
    fed: Node | None
    data: Node | None
    group: PortGroup | None
    injector: Node | None
    chain: tuple[Extender, ...]
    candidates: tuple[Route, ...]
    route: Route | None

    @property
    def where(self) -> str:
        """How findings name it."""
        return f"device {self.name}" if isinstance(self.plug, Connection) else f"feed of {self.name}"

    @property
    def head(self) -> Node | None:
        """The unit that powers it."""
        return self.injector if self.plug.injector else self.data

    @property
    def place(self) -> str | None:
        """The place its run leads to."""
        if isinstance(self.plug, Connection):
            return self.plug.place
        return self.head.unit.place if self.head else None

    @property
    def port(self) -> PortGroup | Injector | None:
        """The row of the catalog that describes the port that powers it."""
        if self.plug.injector:
            return self.injector.injector if self.injector else None
        return self.group

    @property
    def link_mbps(self) -> Decimal:
        """Link speed it needs all the way, Mb/s."""
        if self.device:
            return self.device.link_mbps
        return min(self.fed.switch.uplink_mbps, FASTEST_UPLINK) if self.fed and self.fed.switch else Decimal(0)


@dataclass(frozen=True)
class Network:
    """Every unit (the first of a name counts) and every link of a kit."""

    nodes: dict[str, Node]
    links: tuple[Link, ...]

    @cached_property
    def powered_by(self) -> dict[str, list[Link]]:
        """Links by the unit that powers them."""
        found: dict[str, list[Link]] = {name: [] for name in self.nodes}
        for link in self.links:
            if link.head:
                found[link.head.name].append(link)
        return found

    @cached_property
    def feed(self) -> dict[str, Link]:
        """The feed of each fed switch that has one."""
        return {link.fed.name: link for link in self.links if link.fed}

    def upstream(self, node: Node) -> tuple[list[Node], bool]:
        """The switches that pass its data on, nearest first, and whether they feed each other in a circle."""
        path: list[Node] = []
        seen = {node.name}
        while (link := self.feed.get(node.name)) and link.data:
            if link.data.name in seen:
                return path, True
            path.append(link.data)
            seen.add(link.data.name)
            node = link.data
        return path, False


def build_network(kit: Kit, site: Site) -> Network:
    """Look up everything the kit names."""
    nodes: dict[str, Node] = {}
    for unit in kit.units:
        nodes.setdefault(unit.unit, _node(unit, site))
    links = [_device_link(at, row, nodes, site) for at, row in enumerate(kit.connections)]
    fed = [node for node in nodes.values() if node.unit.fed_by]
    links += [_feed_link(len(links) + at, node, nodes, site) for at, node in enumerate(fed)]
    return Network(nodes, tuple(links))


def _node(unit: Unit, site: Site) -> Node:
    catalog = site.catalog
    supplies = tuple(catalog.supply[model] for model in unit.supplies if model in catalog.supply)
    switch, injector = catalog.switch.get(unit.model), catalog.injector.get(unit.model)
    return Node(unit, switch, catalog.groups.get(unit.model, ()), injector, supplies, site.places.get(unit.place))


def _device_link(index: int, row: Connection, nodes: dict[str, Node], site: Site) -> Link:
    device = site.devices.get(row.device)
    routes = [route for route in site.device_routes(device) if route.to == row.place] if device else []
    return Link(index, row.device, row, device, None, *_plugged(row, nodes, site), tuple(routes), _taken(row, routes))


def _feed_link(index: int, node: Node, nodes: dict[str, Node], site: Site) -> Link:
    plug = node.unit.fed_by
    assert plug is not None, "only units that are fed come here"
    plugged = _plugged(plug, nodes, site)
    head = plugged[2] if plug.injector else plugged[0]
    routes = [route for route in site.feed_routes(node.unit.place) if head and route.to == head.unit.place]
    return Link(index, node.name, plug, None, node if node.is_fed else None, *plugged, tuple(routes), _taken(plug, routes))


Plugged = tuple[Node | None, PortGroup | None, Node | None, tuple[Extender, ...]]


def _plugged(plug: Connection | FedBy, nodes: dict[str, Node], site: Site) -> Plugged:
    data = nodes.get(plug.unit)
    group = next((row for row in data.groups if row.group == plug.group), None) if data else None
    injector = nodes.get(plug.injector.unit) if plug.injector else None
    known = site.catalog.extender
    return data, group, injector, tuple(known[item.model] for item in plug.extenders if item.model in known)


def fits_route(plug: Connection | FedBy, route: Route) -> bool:
    """Whether the length and cable a kit states, if any, are those of a run."""
    if plug.cable is not None and plug.cable != route.cable.model:
        return False
    return plug.run_m is None or abs(Decimal(repr(plug.run_m)) - route.run_m) <= LENGTH_RESOLUTION


def _taken(plug: Connection | FedBy, routes: Sequence[Route]) -> Route | None:
    fitting = [route for route in routes if fits_route(plug, route)]
    return next(iter([*fitting, *routes]), None)
