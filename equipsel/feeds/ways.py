"""Every way to power each device, and the groups of devices that are alike in all of them."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from equipsel.feeds.builds import Build, mains_builds
from equipsel.feeds.chains import Chain, chains
from equipsel.feeds.dominance import worthwhile
from equipsel.feeds.fed import FedBuild, fed_builds
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


def all_builds(site: Site, *, beaten: bool = False) -> list[Build]:
    """Everything that may stand anywhere: mains-fed builds first, then switches fed through them, level by level.

    `beaten`: also sets of supplies that another beats.
    """
    places = site.scenario.place
    every = (mains_builds(place, site) for place in places.values())
    found: list[Build] = [build for builds in every for build in (builds if beaten else worthwhile(builds, site))]
    for level in range(1, site.rules.max_cascade + 1):
        hosts = [build for build in found if build.is_injector or build.level == level - 1]
        found += [build for place in places for build in fed_builds(place, hosts, level, site)]
    return found


def most_load_mw(ways: Iterable[DeviceWays], builds: Iterable[Build]) -> dict[str, int]:
    """The most mW that all devices together can have reserved in each place; places that may feed switches are left out."""
    found: dict[str, int] = defaultdict(int)
    for item in ways:
        for run in item.routes:
            heaviest = max((solved.reserved_mw for feeds in run.feeds.values() for solved in feeds), default=0)
            found[run.route.place] += heaviest * item.device.count
    for build in builds:
        if isinstance(build, FedBuild):
            found.pop(build.fed[1].place, None)
    return found


def device_ways(site: Site, builds: Iterable[Build], *, beaten: bool = False) -> list[DeviceWays]:
    """Every way to power each row of devices; `beaten`: also over extenders that others beat."""
    heads: dict[str, dict[Head, None]] = {}
    for build in builds:
        heads.setdefault(build.place, {}).update({ports.head: None for ports in build.ports})
    return [_ways(device, heads, site, beaten=beaten) for device in site.scenario.devices]


def _ways(device: Device, heads: dict[str, dict[Head, None]], site: Site, *, beaten: bool) -> DeviceWays:
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
            possible = [item for item in tried if isinstance(item, Feed)]
            feeds[head] = tuple(possible if beaten else _worth_having(possible, site, device.kind))
        found.append(RouteWays(route, feeds))
    return DeviceWays(device, tuple(found), tuple(refused))


def chain_price(chain: Chain, site: Site, kind: str) -> Decimal:
    """What a chain of extenders costs, with the extras each brings along, and those of a run with one of its models."""
    models = {extender.model for extender in chain}
    by_run = (row for row in site.catalog.extras if row.per == "run" and row.for_ in models)
    total = sum((row.price + row.install_cost for row in by_run), Decimal(0))
    for extender in chain:
        total += extender.price + extender.install_cost + site.rules.piece_cost
        extras = (row for row in site.catalog.extras if row.per == "extender" and row.for_ in (None, "", extender.model, kind))
        total += sum((row.price + row.install_cost for row in extras), Decimal(0))
    return total


def _worth_having(feeds: list[Feed], site: Site, kind: str) -> Iterator[Feed]:
    """The feeds that no other beats in price and watts reserved; one of other models stays where it could save a model."""
    burdens = [(chain_price(item.chain, site, kind), item.reserved_mw) for item in feeds]
    for index, item in enumerate(feeds):
        mine = burdens[index]
        rivals = [place for place, other in enumerate(burdens) if place != index and _no_worse(other, mine)]
        if not any(_saves_as_much(feeds, burdens, rival, index, site) for rival in rivals):
            yield item


def _saves_as_much(feeds: list[Feed], burdens: list[tuple[Decimal, int]], rival: int, index: int, site: Site) -> bool:
    """Whether a rival no worse in price and watts makes a feed needless: strictly cheaper, or of no other models."""
    models, others = ({item.model for item in feeds[place].chain} for place in (index, rival))
    if burdens[rival][0] < burdens[index][0] and site.rules.max_models is None:
        return True
    return others < models or (others == models and (burdens[rival] != burdens[index] or rival < index))


def _no_worse(one: tuple[Decimal, int], other: tuple[Decimal, int]) -> bool:
    return one[0] <= other[0] and one[1] <= other[1]


def groups(ways: Iterable[DeviceWays], site: Site, uplinks: bool, *, by_row: bool = False) -> list[Group]:
    """Gather devices that are alike, in the order of their first rows; `uplinks`: whether traffic bears on the choice.

    by_row: those of two rows stay apart where their runs bear on the choice, so that it is known on which run something was bought.
    """
    found: dict[tuple[object, ...], list[tuple[DeviceWays, str]]] = {}
    for item in ways:
        own = item.device.device if by_row and _run_bears(item) else None
        found.setdefault((own, *_likeness(item, site, uplinks)), []).extend((item, name) for name in item.device.names)
    return [Group(tuple(members)) for members in found.values()]


def uplinks_matter(site: Site, builds: Iterable[Build]) -> bool:
    """Whether any uplink could ever be too small: not where the smallest carries the traffic of all devices together."""
    traffic = sum(Fraction(row.mbps) * row.count for row in site.scenario.devices)
    return any(build.traffic_mbps is not None and build.traffic_mbps < traffic for build in builds)


def fast_enough(site: Site, link_mbps: Decimal) -> Decimal:
    """The slowest speed of any port in the catalog that is fast enough for a link, Mb/s: links are alike up to that."""
    speeds = {row.port_mbps for row in site.catalog.ports} | {row.port_mbps for row in site.catalog.injectors}
    return min((speed for speed in speeds if speed >= link_mbps), default=link_mbps)


def _run_bears(ways: DeviceWays) -> bool:
    """Whether something may be bought on one of its runs and not on another: a choice of runs, old cable, extenders."""
    extended = any(solved.chain for item in ways.routes for feeds in item.feeds.values() for solved in feeds)
    return len(ways.routes) > 1 or extended or any(item.route.existing for item in ways.routes)


CHOSEN_BY_KIND = frozenset({"port", "extender", "place"})
"""Extras of a device kind that depend on the choice; those by device or run are bought for each whatever is chosen."""


def _likeness(ways: DeviceWays, site: Site, uplinks: bool) -> tuple[object, ...]:
    """Everything of a device that bears on the choice. The length of a run bears on it only where there is another."""
    device, rules = ways.device, site.rules
    kinds = {row.for_ for row in site.catalog.extras if row.per in CHOSEN_BY_KIND}
    choice = len(ways.routes) > 1 or any(item.route.existing for item in ways.routes)
    return (
        device.number is None,
        fast_enough(site, device.link_mbps),
        device.mbps if uplinks else None,
        device.kind if device.kind in kinds else None,
        device.priority == "critical" and rules.max_critical_share_pct < 100,
        device.backup and rules.backup_minutes > 0,
        tuple((_run_likeness(item.route, choice), _feeds_likeness(item)) for item in ways.routes),
    )


def _run_likeness(route: Route, choice: bool) -> tuple[object, ...]:
    length = (route.run_m, route.cable.model, route.existing, route.row if route.existing else None) if choice else None
    return (route.place, length)


def _feeds_likeness(ways: RouteWays) -> tuple[object, ...]:
    return tuple(
        (head, tuple((tuple(item.model for item in solved.chain), solved.reserved_mw) for solved in feeds))
        for head, feeds in ways.feeds.items()
    )
