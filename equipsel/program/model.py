"""The program's variables: bins of like units, and the plugs that take their ports."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from math import ceil, lcm

from equipsel.feeds.builds import Build, Ports
from equipsel.feeds.fed import FedBuild
from equipsel.feeds.lines import Feed
from equipsel.feeds.ways import Group, fast_enough
from equipsel.program.bins import Bin, Hosts
from equipsel.program.paid import Paid
from equipsel.program.restriction import FREE, Restriction
from equipsel.program.rows import Rows, Terms, Variable
from equipsel.scenario import Device
from equipsel.site import Site


@dataclass(frozen=True, slots=True)
class Lead:
    """A data lead between a switch port and an injector: link speed, traffic, whose it is, whether it must be held on battery."""

    place: str
    link_mbps: Decimal
    mbps: Decimal
    critical: bool
    fed: Bin | None = None
    backup: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """Devices of a group on a route by a feed."""

    group: int
    route: int
    feed: Feed


Payload = Way | Lead | Bin


@dataclass(frozen=True, eq=False)
class Plug:
    """How many of something are plugged into a group of ports of a bin, and what they take from it altogether.

    load: mW reserved; traffic: Mb/s. Each is a list of terms: a fed switch's load is a variable of its own.
    """

    bin: Bin
    ports: Ports
    count: Variable
    payload: Payload
    load: Terms
    traffic: Terms
    critical: bool = False


@dataclass(frozen=True)
class Refinement:
    """What the search has learnt, by index of the build.

    split: how many units of their own come before the pool; points: handed-out mW at which a fed switch's draw is exact;
    short: fed switches whose draw was one milliwatt short there all the same; only: where set, the builds that may be used,
    so many units of each, all of their own; among: the same, but pooled.
    """

    split: dict[int, int] = field(default_factory=dict)
    points: dict[int, tuple[int, ...]] = field(default_factory=dict)
    short: frozenset[int] = frozenset()
    only: dict[int, int] | None = None
    among: dict[int, int] | None = None


@dataclass(frozen=True)
class Problem:
    """What is to be solved: a site, its groups of devices, what may stand anywhere, whether traffic can be too much.

    optional: groups (by position) that need not be served in full, since other places may serve the rest.
    paid: what an earlier stage has bought (None: there is none); then devices of one group are of one row, unless it has one run.
    alike: the builds that each stands for, itself among them (those left out: for itself alone).
    """

    site: Site
    groups: list[Group]
    builds: list[Build]
    uplinks: bool
    optional: frozenset[int] = frozenset()
    restriction: Restriction = FREE
    paid: Paid | None = None
    alike: Mapping[Build, tuple[Build, ...]] = field(default_factory=dict)


class Model:
    """All variables of a site's program. Rules add rows to `rows`; nothing here limits anything."""

    def __init__(self, problem: Problem, refinement: Refinement, rows: Rows | None = None) -> None:
        """Make the variables for every group on every build, with what the search has learnt; `rows`: of a program that holds more."""
        site = problem.site
        self.site, self.groups, self.builds, self.uplinks = site, problem.groups, problem.builds, problem.uplinks
        self.refinement, self.optional = refinement, problem.optional
        self.index = {build: number for number, build in enumerate(problem.builds)}
        self.restriction, self.paid = problem.restriction, problem.paid
        self.rows = Rows("kit") if rows is None else rows
        self.traffic_step = Fraction(1, lcm(*(Fraction(row.mbps).denominator for row in site.scenario.devices)))
        self.demand = _demand(site, problem.groups)
        self.local = {place: _devices_at(problem.groups, {place}) for place in site.scenario.place}
        self.bins = list(self._bins())
        self.at: dict[str, list[Bin]] = defaultdict(list)
        for item in self.bins:
            self.at[item.build.place].append(item)
        self.hosts = Hosts(self.at, site.rules, problem.alike)
        self.plugs: list[Plug] = []
        self._plug_devices()
        self._plug_fed()
        self._plug_leads()
        self.in_bin: dict[int, list[Plug]] = defaultdict(list)
        for plug in self.plugs:
            self.in_bin[plug.bin.position].append(plug)
        self._least_upstream: dict[int, int] = {}
        self._least_passed: dict[int, Fraction] = {}
        self._batteries()

    def of(self, item: Bin) -> list[Plug]:
        """The plugs in a bin."""
        return self.in_bin[item.position]

    def _batteries(self) -> None:
        """Battery units in each place with mains, whether the place holds, and whether a fed switch carries what is held."""
        self.batteries: dict[str, dict[str, Variable]] = defaultdict(dict)
        self.holds: dict[str, Variable] = {}
        self.carries: dict[int, Variable] = {}
        if not self.site.rules.backup_minutes or not any(row.backup for row in self.site.scenario.devices):
            return
        for place in self.at:
            if self.site.scenario.place[place].mains:
                self.holds[place] = self.rows.variable(f"holds_{place}", 0, 1)
                for battery in self.site.catalog.backups:
                    self.batteries[place][battery.model] = self.rows.variable(f"battery_{place}_{battery.model}")
        for item in self.bins:
            if isinstance(item.build, FedBuild):
                self.carries[item.position] = self.rows.variable(f"carries_{item.position}", 0, 1)

    def _bins(self) -> Iterator[Bin]:
        position = 0
        for index, build in enumerate(self.builds):
            most, split = self.demand[build.place], self.refinement.split.get(index, 0)
            if self.refinement.among is not None:
                most = self.refinement.among.get(index, 0)
            if self.refinement.only is not None:
                most = split = self.refinement.only.get(index, 0)
            for high in [*([1] * min(split, most)), *([most - split] if most > split else [])]:
                count = self.rows.variable(f"n{position}_{build.place}_{build.model.model}", 0, high)
                yield Bin(build, count, high, position)
                position += 1

    def _plug_devices(self) -> None:
        for index, group in enumerate(self.groups):
            for route_index, ways in enumerate(group.first.routes):
                for item in self.at.get(ways.route.place, ()):
                    for ports in item.build.ports:
                        for solved in ways.feeds.get(ports.head, ()):
                            fits = solved.reserved_mw <= min(item.build.most_mw(ports), self.hosts.most_handed_mw(item))
                            if fits and (not item.build.is_injector or solved.number is not None):
                                self._plug_device(index, route_index, item, ports, solved)

    def _plug_device(self, index: int, route_index: int, item: Bin, ports: Ports, solved: Feed) -> None:
        group = self.groups[index]
        device = group.first.device
        count = self.rows.variable(f"x_{index}_{route_index}_{item.position}_{ports.group}", 0, group.count)
        traffic: Terms = _times(Fraction(device.mbps), count) if self.carries_data(item) else []
        self.plugs.append(
            Plug(
                item,
                ports,
                count,
                Way(index, route_index, solved),
                _times(solved.reserved_mw, count),
                traffic,
                device.priority == "critical",
            )
        )

    def _plug_fed(self) -> None:
        for fed in self.bins:
            if isinstance(fed.build, FedBuild):
                for host, ports in self.hosts.of(fed):
                    self._plug_fed_bin(fed, fed.build, host, ports)

    def _plug_fed_bin(self, fed: Bin, build: FedBuild, host: Bin, ports: Ports) -> None:
        name = f"{fed.position}_{host.position}_{ports.group}"
        count = self.rows.variable(f"f_{name}", 0, fed.most)
        by_class = self.site.rules.budget_basis == "class"
        load: Terms = _times(build.fed[0].reserved_mw, count) if by_class else [(1, self.rows.variable(f"load_{name}"))]
        traffic: Terms = [(self.traffic_step, self.rows.variable(f"traffic_{name}"))] if self.carries_data(host) else []
        self.plugs.append(Plug(host, ports, count, fed, load, traffic))

    def _plug_leads(self) -> None:
        """Every data lead an injector may need, on every port of a switch in its place that is fast enough."""
        for lead, most in self._leads().items():
            for item in self.at[lead.place]:
                wrong_level = lead.fed is not None and item.build.level != lead.fed.build.level - 1
                if item.build.is_injector or wrong_level:
                    continue
                for ports in item.build.ports:
                    if ports.head.mbps >= lead.link_mbps:
                        self._plug_lead(lead, most, item, ports)

    def _plug_lead(self, lead: Lead, most: int, item: Bin, ports: Ports) -> None:
        name = f"{len(self.plugs)}_{item.position}_{ports.group}"
        count = self.rows.variable(f"lead_{name}", 0, most)
        traffic: Terms = _times(Fraction(lead.mbps), count)
        if lead.fed and self.uplinks:
            traffic = [(self.traffic_step, self.rows.variable(f"traffic_{name}"))]
        self.plugs.append(Plug(item, ports, count, lead, [], traffic, lead.critical))

    def _leads(self) -> dict[Lead, int]:
        found: dict[Lead, int] = {}
        for plug in self.plugs:
            if plug.bin.build.is_injector:
                lead = self.lead(plug)
                found[lead] = self.demand[lead.place]
        return found

    def least_mw(self, plug: Plug) -> int:
        """The least that one of a plug reserves, mW."""
        if isinstance(plug.payload, Bin):
            return self.least_upstream_mw(plug.payload)
        return int(plug.load[0][0]) if plug.load else 0

    def least_mbps(self, plug: Plug) -> Fraction:
        """The least traffic of one of a plug where traffic is reckoned with, Mb/s."""
        fed = self._fed_of(plug)
        if fed is None or not plug.traffic:
            return Fraction(plug.traffic[0][0]) if plug.traffic else Fraction(0)
        if fed.position not in self._least_passed:
            self._least_passed[fed.position] = min((self.least_mbps(one) for one in self._carried(fed)), default=Fraction(0))
        return self._least_passed[fed.position]

    def least_upstream_mw(self, fed: Bin) -> int:
        """What the port above a fed switch reserves at the least, mW: it is there for a device at least, or to have ports to spare."""
        if fed.position not in self._least_upstream:
            handed = min((self.least_mw(plug) for plug in self._carried(fed)), default=0)
            self._least_upstream[fed.position] = fed.fed_build.upstream_mw(min(handed, fed.build.limit_mw))
        return self._least_upstream[fed.position]

    def _carried(self, fed: Bin) -> list[Plug]:
        """What a fed switch may carry of which it carries one at least: nothing where it may be there for its spare ports alone."""
        if self.site.rules.spare_ports_pct:
            return []
        return [plug for plug in self.of(fed) if not isinstance(plug.payload, Bin) or self.of(plug.payload)]

    def most_plugs(self, item: Bin, plugs: list[Plug]) -> int:
        """The most that plugs can put into a unit: each device once (by its own port or its data lead), each fed switch once."""
        groups = {plug.payload.group for plug in plugs if isinstance(plug.payload, Way)}
        devices = sum(self.groups[index].count for index in groups)
        if any(isinstance(plug.payload, Lead) for plug in plugs):
            devices = self.local[item.build.place]
        above = {fed.position: fed.most for plug in plugs if (fed := self._fed_of(plug))}
        return devices + sum(above.values())

    def _fed_of(self, plug: Plug) -> Bin | None:
        return plug.payload if isinstance(plug.payload, Bin) else plug.payload.fed if isinstance(plug.payload, Lead) else None

    def most_load(self, item: Bin) -> int:
        """The most mW that all plugs together can reserve on a unit; its limit where a fed switch's load is not fixed."""
        heaviest: dict[int, int] = {}
        for plug in self.of(item):
            if isinstance(plug.payload, Way):
                index, load = plug.payload.group, plug.payload.feed.reserved_mw
                heaviest[index] = max(load, heaviest.get(index, 0))
            elif isinstance(plug.payload, Bin):
                return item.build.limit_mw
        return sum(load * self.groups[index].count for index, load in heaviest.items())

    def carries_data(self, item: Bin) -> bool:
        """Whether traffic through a bin is reckoned with: a switch's, where any uplink could be too small."""
        return self.uplinks and not item.build.is_injector

    def lead(self, plug: Plug) -> Lead:
        """The data lead that something plugged into an injector needs."""
        if isinstance(plug.payload, Way):
            return device_lead(self.site, self.groups[plug.payload.group].first.device, plug.bin.build.place, self.uplinks)
        assert isinstance(plug.payload, Bin), "a data lead needs no data lead"
        return Lead(plug.bin.build.place, plug.payload.fed_build.link_mbps, Decimal(0), False, plug.payload)


def device_lead(site: Site, device: Device, place: str, uplinks: bool) -> Lead:
    """The data lead of a device fed by an injector in a place."""
    critical = device.priority == "critical" and site.rules.max_critical_share_pct < 100
    backup = device.backup and site.rules.backup_minutes > 0
    return Lead(place, fast_enough(site, device.link_mbps), device.mbps if uplinks else Decimal(0), critical, backup=backup)


def _times(factor: int | Fraction, variable: Variable) -> Terms:
    return [(factor, variable)] if factor else []


def _devices_at(groups: list[Group], places: set[str]) -> int:
    """How many devices can be cabled to any of some places."""
    return sum(group.count for group in groups if any(ways.route.place in places for ways in group.first.routes))


def _demand(site: Site, groups: list[Group]) -> dict[str, int]:
    """The most units that can be of use in each place: one for every device that can reach it, and ports to spare."""
    feeds_into = defaultdict(set)
    for row in site.scenario.runs:
        if row.from_ in site.scenario.place:
            feeds_into[row.to].add(row.from_)
    found = {}
    for place in site.scenario.place:
        reached, frontier = {place}, {place}
        for _ in range(site.rules.max_cascade):
            frontier = {source for spot in frontier for source in feeds_into[spot]} - reached
            reached |= frontier
        devices = _devices_at(groups, reached)
        used = 2 * devices if site.rules.spare_ports_pct else devices
        found[place] = ceil(used * 100 / (100 - site.rules.spare_ports_pct))
    return found
