"""Every way to power each device, and the groups of devices that are alike in all of them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal

from equipsel.feeds.builds import Build, mains_builds
from equipsel.feeds.chains import Chain, chains
from equipsel.feeds.fed import fed_builds
from equipsel.feeds.lines import Feed, Head, Load, Refusal, Route, feed
from equipsel.feeds.routes import device_routes
from equipsel.scenario import Device
from equipsel.site import Site


@dataclass(frozen=True, eq=False)
class RouteWays:
    """A route of a device and, for each kind of head at its place, the feeds worth having there."""

    route: Route
    feeds: dict[Head, tuple[Feed, ...]]


@dataclass(frozen=True, eq=False)
class DeviceWays:
    """All the ways of one row of devices, and why the others were refused."""

    device: Device
    routes: tuple[RouteWays, ...]
    refusals: tuple[Refusal, ...]

    @property
    def possible(self) -> bool:
        """Whether the catalog can power it at all."""
        return any(feeds for ways in self.routes for feeds in ways.feeds.values())


@dataclass(frozen=True, eq=False)
class Group:
    """Devices alike in every way that bears on the choice; `first` stands for them all."""

    members: tuple[tuple[DeviceWays, str], ...]
    first: DeviceWays = field(init=False)

    def __post_init__(self) -> None:
        """Derive the device that stands for the group."""
        object.__setattr__(self, "first", self.members[0][0])

    @property
    def count(self) -> int:
        """How many devices."""
        return len(self.members)


def device_load(device: Device) -> Load:
    """A device as a load on a line."""
    return Load(device.number, float(device.pd_w), device.pd_min_v, device.link_mbps)


def all_builds(site: Site) -> list[Build]:
    """Everything that may stand anywhere: mains-fed builds first, then switches fed through them, level by level."""
    places = site.scenario.place
    found: list[Build] = [build for place in places.values() for build in mains_builds(place, site)]
    for level in range(1, site.rules.max_cascade + 1):
        hosts = [build for build in found if build.is_injector or build.level == level - 1]
        found += [build for place in places for build in fed_builds(place, hosts, level, site)]
    return found


def device_ways(site: Site, builds: Iterable[Build]) -> list[DeviceWays]:
    """Every way to power each row of devices."""
    heads: dict[str, dict[Head, None]] = {}
    for build in builds:
        heads.setdefault(build.place, {}).update({ports.head: None for ports in build.ports})
    return [_ways(device, heads, site) for device in site.scenario.devices]


def _ways(device: Device, heads: dict[str, dict[Head, None]], site: Site) -> DeviceWays:
    load, found, refused = device_load(device), [], []
    for route in device_routes(device, site):
        if isinstance(route, Refusal):
            refused.append(route)
            continue
        reachable = chains(route, site)
        if isinstance(reachable, Refusal):
            refused.append(reachable)
            continue
        feeds: dict[Head, tuple[Feed, ...]] = {}
        for head in heads.get(route.place, {}):
            tried = [feed(load, route, head, chain, site.rules) for chain in reachable]
            refused += [item for item in tried if isinstance(item, Refusal)]
            feeds[head] = tuple(_worth_having([item for item in tried if isinstance(item, Feed)], site, device.kind))
        if not feeds:
            refused.append(Refusal("place", f"nothing in the catalog may stand in {route.place}"))
        found.append(RouteWays(route, feeds))
    return DeviceWays(device, tuple(found), tuple(refused))


def chain_price(chain: Chain, site: Site, kind: str) -> Decimal:
    """What a chain of extenders costs, with the extras each brings along."""
    total = Decimal(0)
    for extender in chain:
        total += extender.price + extender.install_cost + site.rules.piece_cost
        extras = (row for row in site.catalog.extras if row.per == "extender" and row.for_ in (None, "", extender.model, kind))
        total += sum((row.price + row.install_cost for row in extras), Decimal(0))
    return total


def _worth_having(feeds: list[Feed], site: Site, kind: str) -> Iterator[Feed]:
    """The feeds that no other beats in price, watts reserved and watts drawn; with a limit of models, all of them."""
    burdens = [(chain_price(item.chain, site, kind), item.reserved_mw, item.pse_mw) for item in feeds]
    for index, item in enumerate(feeds):
        mine = burdens[index]
        beaten = any(_no_worse(other, mine) and (other != mine or place < index) for place, other in enumerate(burdens) if place != index)
        if site.rules.max_models is not None or not beaten:
            yield item


def _no_worse(one: tuple[Decimal, int, int], other: tuple[Decimal, int, int]) -> bool:
    return one[0] <= other[0] and one[1] <= other[1] and one[2] <= other[2]


def groups(ways: Iterable[DeviceWays], site: Site) -> list[Group]:
    """Gather devices that are alike, in the order of their first rows."""
    found: dict[tuple[object, ...], list[tuple[DeviceWays, str]]] = {}
    for item in ways:
        found.setdefault(_likeness(item, site), []).extend((item, name) for name in item.device.names)
    return [Group(tuple(members)) for members in found.values()]


def _likeness(ways: DeviceWays, site: Site) -> tuple[object, ...]:
    """Everything of a device that bears on the choice. The length of a run bears on it only where there is another."""
    device, rules = ways.device, site.rules
    kinds = {row.for_ for row in site.catalog.extras}
    choice = len(ways.routes) > 1
    return (
        device.number is None,
        device.link_mbps,
        device.mbps,
        device.kind if device.kind in kinds else None,
        device.priority == "critical" and rules.max_critical_share_pct < 100,
        device.backup and rules.backup_minutes > 0,
        tuple((_run_likeness(item.route, choice), _feeds_likeness(item, site)) for item in ways.routes),
    )


def _run_likeness(route: Route, choice: bool) -> tuple[object, ...]:
    length = (route.run_m, route.cable.model, route.existing, route.row if route.existing else None) if choice else None
    return (route.place, length)


def _feeds_likeness(ways: RouteWays, site: Site) -> tuple[object, ...]:
    energy = site.rules.energy_price_kwh * site.rules.years > 0
    return tuple(
        (head, tuple((tuple(item.model for item in solved.chain), solved.reserved_mw, solved.pse_mw if energy else 0) for solved in feeds))
        for head, feeds in ways.feeds.items()
    )
