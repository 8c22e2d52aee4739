"""Dropping switches fed through a port that no cheapest kit needs: they can power nothing, or would do as well in a lower class."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from equipsel.feeds.builds import Build, Ports
from equipsel.feeds.fed import FedBuild, accepts
from equipsel.feeds.lines import Feed, Head
from equipsel.feeds.ways import DeviceWays
from equipsel.site import Site


def needed(builds: Iterable[Build], ways: Iterable[DeviceWays], site: Site) -> list[Build]:
    """The builds without fed switches that can power nothing, are beaten by a lower class of the same, or that nothing feeds.

    Where ports are to spare, and beside injectors, whose data it may carry, a switch that powers nothing may be needed all the same.
    """
    return _Sifting(list(builds), list(ways), site).run()


@dataclass(frozen=True, slots=True)
class _Below:
    """Something to be powered from a port: where it is, over what, and the least mW that is set aside for it."""

    what: tuple[object, ...]
    least_mw: int


class _Sifting:
    """The work of `needed`: the furthest from the mains first, since a switch is needed for what it feeds."""

    def __init__(self, builds: list[Build], ways: list[DeviceWays], site: Site) -> None:
        self.builds, self.ways, self.rules = builds, ways, site.rules
        self.hosts: dict[str, list[Build]] = defaultdict(list)
        for build in builds:
            self.hosts[build.place].append(build)
        self.fed: dict[tuple[Build, str], list[FedBuild]] = defaultdict(list)
        self.devices: dict[tuple[str, Head], list[_Below]] = {}

    def run(self) -> list[Build]:
        kept: set[Build] = set()
        fed = [build for build in self.builds if isinstance(build, FedBuild)]
        for level in sorted({build.level for build in fed}, reverse=True):
            rivals: dict[object, list[FedBuild]] = defaultdict(list)
            for build in (one for one in fed if one.level == level and self._powers(one)):
                rivals[_kind(build)].append(build)
            for some in rivals.values():
                kept |= {one for one in some if not any(self._beats(other, one) for other in some)}
            self._look(build for build in kept if isinstance(build, FedBuild) and build.level == level)
        standing = [build for build in self.builds if build in kept or not isinstance(build, FedBuild)]
        return self._reached(standing)

    def _look(self, fed: Iterable[FedBuild]) -> None:
        """Remember what may feed these."""
        for build in fed:
            for host, ports in self._hosts(build):
                self.fed[host, ports.group].append(build)

    def _hosts(self, fed: FedBuild) -> Iterator[tuple[Build, Ports]]:
        for host in self.hosts[fed.fed[1].place]:
            if host.is_injector or host.level == fed.level - 1:
                yield from ((host, ports) for ports in host.ports if accepts(ports, host, fed))

    def _powers(self, build: FedBuild) -> bool:
        """Whether it can power anything, or may be wanted all the same."""
        if self.rules.spare_ports_pct or any(host.is_injector for host in self.hosts[build.place]):
            return True
        return any(below.least_mw <= build.most_mw(ports) for ports in build.ports for below in self._below(build, ports))

    def _below(self, build: FedBuild, ports: Ports) -> list[_Below]:
        """What some ports may power."""
        return [*self._devices(build.place, ports.head), *(_Below((fed,), _least_mw(fed)) for fed in self.fed[build, ports.group])]

    def _devices(self, place: str, head: Head) -> list[_Below]:
        if (place, head) not in self.devices:
            self.devices[place, head] = [
                _Below((at, number, solved.chain, solved.number), solved.reserved_mw)
                for at, item in enumerate(self.ways)
                for number, run in enumerate(item.routes)
                if run.route.place == place
                for solved in run.feeds.get(head, ())
            ]
        return self.devices[place, head]

    def _beats(self, one: FedBuild, other: FedBuild) -> bool:
        """Whether a lower class does for all that a switch may power: it sets aside less above, and every port that feeds it does."""
        if self.rules.budget_basis != "class" or one.fed[0].reserved_mw >= other.fed[0].reserved_mw:
            return False
        if any(self.fed[other, ports.group] for ports in other.ports):
            return False
        enough = one.limit_mw >= min(other.limit_mw, self._most_mw(other.place))
        ports = enough and all(self._as_good(one, mine, other, theirs) for mine, theirs in zip(one.ports, other.ports, strict=True))
        return ports and all(accepts(above, host, one) for host, above in self._hosts(other))

    def _as_good(self, one: FedBuild, mine: Ports, other: FedBuild, theirs: Ports) -> bool:
        """Whether ports power all that others do, and set aside no more for it."""
        found = {below.what: below.least_mw for below in self._below(one, mine) if below.least_mw <= one.most_mw(mine)}
        wanted = (below for below in self._below(other, theirs) if below.least_mw <= other.most_mw(theirs))
        return all(below.what in found and found[below.what] <= below.least_mw for below in wanted)

    def _most_mw(self, place: str) -> int:
        """The most mW that all devices that may be cabled to a place can have set aside there."""
        found = 0
        for item in self.ways:
            feeds: list[Feed] = [
                solved for run in item.routes if run.route.place == place for every in run.feeds.values() for solved in every
            ]
            found += item.device.count * max((solved.reserved_mw for solved in feeds), default=0)
        return found

    def _reached(self, builds: list[Build]) -> list[Build]:
        """Those that others which are reached may feed, level by level."""
        reached = {build for build in builds if not isinstance(build, FedBuild)}
        for build in sorted((build for build in builds if isinstance(build, FedBuild)), key=lambda fed: fed.level):
            if any(host in reached for host, _ in self._hosts(build)):
                reached.add(build)
        return [build for build in builds if build in reached]


def _kind(build: FedBuild) -> object:
    """Equal for builds that differ in their class alone."""
    solved, route = build.fed
    return build.place, build.model.model, route, solved.chain, build.through_injector, build.volts, build.port_pairs


def _least_mw(fed: FedBuild) -> int:
    """The least mW that the port above a fed switch sets aside."""
    return fed.upstream_mw(0)
