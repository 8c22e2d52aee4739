"""Devices that the catalog cannot power at all: each option that was tried and the number that stopped it, the nearest miss first."""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from equipsel.catalog import Injector, Switch
from equipsel.feeds.builds import Build
from equipsel.feeds.fed import FedBuild, fed_refusals
from equipsel.feeds.fits import fits
from equipsel.feeds.lines import Refusal
from equipsel.feeds.ways import DeviceWays
from equipsel.program.of_site import Powered
from equipsel.site import Site

MOST_REASONS = 3
"""Refusals named for one device, the nearest to working of each rule (our own limit)."""

NEAREST_FIRST = (
    "budget", "uplink", "data port", "volts", "current", "bundle", "port watts", "extender", "class", "collapse", "pairs", "speed",
)  # fmt: skip
"""Rules in the order in which a refusal by them is near to working: a line that was solved before one that was not."""


def stopped(asked: Powered) -> list[DeviceWays]:
    """The rows of devices that cannot be powered even alone, as far as that is seen without a search."""
    hosts = Hosts(asked)
    return [item for item in asked.ways if not (item.possible and hosts.can_serve(item))]


def told(ways: DeviceWays, asked: Powered) -> str:
    """What a device needs, what was tried, and the number that stopped each."""
    device = ways.device
    needs = f"needs {device.pd_w:f} W" if device.pd_w else "needs a data port"
    refusals = list(Hosts(asked).refusals(ways)) if ways.possible else list(ways.refusals)
    tried = [refusal.message for refusal in nearest(refusals)]
    standing = {build.place for build in asked.builds}
    empty = [item.route.place for item in ways.routes if item.route.place not in standing]
    tried += [why_empty(place, asked.site, asked.builds) for place in dict.fromkeys(empty)]
    runs = " or ".join(f"{item.route.run_m:f} m to {item.route.place}" for item in ways.routes) or f"{device.run_m:f} m to {device.place}"
    return f"{device.device}: {needs} at {runs}; " + "; ".join(tried or ["nothing in the catalog may stand there"])


class Hosts:
    """The units that may stand in each place, for whether any of them can serve a device alone."""

    def __init__(self, asked: Powered) -> None:
        """Sort them by place."""
        self.site = asked.site
        self.at: dict[str, list[Build]] = defaultdict(list)
        for build in asked.builds:
            self.at[build.place].append(build)
        self.known: dict[tuple[object, ...], tuple[Refusal, ...] | None] = {}

    def can_serve(self, ways: DeviceWays) -> bool:
        """Whether some unit can."""
        return self._seen(ways) is None

    def refusals(self, ways: DeviceWays) -> Iterable[Refusal]:
        """Why none can."""
        return self._seen(ways) or ()

    def _seen(self, ways: DeviceWays) -> tuple[Refusal, ...] | None:
        """Refusals of every unit, None where one can serve it; devices alike are looked at once."""
        key = (
            ways.device.link_mbps, ways.device.mbps,
            *((item.route.place, head, min((one.reserved_mw for one in feeds), default=None))
              for item in ways.routes for head, feeds in item.feeds.items()),
        )  # fmt: skip
        if key not in self.known:
            found = []
            for refusal in self._tried(ways):
                if refusal is None:
                    self.known[key] = None
                    return None
                found.append(refusal)
            self.known[key] = tuple(found)
        return self.known[key]

    def _tried(self, ways: DeviceWays) -> Iterator[Refusal | None]:
        """Each unit on each route: why it cannot serve the device, None where it can."""
        for item in ways.routes:
            for build in self.at[item.route.place]:
                for ports in build.ports:
                    reserved = [one.reserved_mw for one in item.feeds.get(ports.head, ())]
                    if reserved:
                        limit = build.limit_mw if ports.limit_mw is None else min(build.limit_mw, ports.limit_mw)
                        yield self._refused(ways, build, min(reserved), limit)

    def _refused(self, ways: DeviceWays, build: Build, reserved_mw: int, limit_mw: int) -> Refusal | None:
        device, model, place = ways.device, build.model.model, build.place
        if reserved_mw > limit_mw:
            spare = self.site.rules.spare_watts_pct
            kept = f" ({spare:f} % of {build.budget_mw / 1000:g} W kept spare)" if build.limit_mw < build.budget_mw else ""
            text = f"{reserved_mw / 1000:g} W reserved, {model} in {place} hands out {limit_mw / 1000:g} W{kept}"
            return Refusal("budget", text, float(limit_mw - reserved_mw))
        if build.is_injector:
            return self._without_data(ways, place)
        if build.traffic_mbps is not None and build.traffic_mbps < device.mbps:
            text = f"it sends {device.mbps:f} Mb/s, the uplink of {model} may carry {float(build.traffic_mbps):g} Mb/s"
            return Refusal("uplink", text, float(build.traffic_mbps))
        return None

    def _without_data(self, ways: DeviceWays, place: str) -> Refusal | None:
        """An injector's port needs one of a switch beside it for the data, fast enough."""
        switches = [build for build in self.at[place] if not build.is_injector]
        speeds = [ports.head.mbps for build in switches for ports in build.ports]
        if any(speed >= ways.device.link_mbps for speed in speeds):
            return None
        if not speeds:
            return Refusal("data port", f"an injector could power it, but no switch may stand in {place} for its data")
        text = f"an injector could power it, but the ports of switches in {place} have {max(speeds):f} Mb/s of {ways.device.link_mbps:f}"
        return Refusal("data port", text)


def nearest(refusals: Iterable[Refusal]) -> list[Refusal]:
    """The refusal nearest to working of each rule, the nearest rules first."""
    found: dict[str, Refusal] = {}
    for refusal in refusals:
        if refusal.nearness > found.setdefault(refusal.rule, refusal).nearness:
            found[refusal.rule] = refusal
    order = [*NEAREST_FIRST, *(rule for rule in found if rule not in NEAREST_FIRST)]
    return [found[rule] for rule in order if rule in found][:MOST_REASONS]


def why_empty(place: str, site: Site, builds: list[Build]) -> str:
    """Why nothing of the catalog may stand in a place."""
    if site.scenario.place[place].mains:
        return _why_nothing_stands(place, site)
    text = f"{place} has no mains, so only a switch fed through a port may stand there"
    if site.rules.max_cascade == 0:
        return f"{text}, and max_cascade is 0"
    refused = nearest(fed_refusals(place, [build for build in builds if not isinstance(build, FedBuild)], site))
    return f"{text}: " + "; ".join(refusal.message for refusal in refused) if refused else text


def _why_nothing_stands(place: str, site: Site) -> str:
    spot = site.scenario.place[place]
    rows: list[Switch | Injector] = [*(row for row in site.catalog.switches if row.feed != "port"), *site.catalog.injectors]
    bear = [row.model for row in rows if fits(row, spot.ip, spot.low_c, spot.high_c)]
    if not bear:
        return f"nothing in the catalog bears the ingress and ambient of {place}"
    least = "two or more (redundant_supplies)" if site.rules.redundant_supplies else "one or more"
    return f"of what bears {place} ({', '.join(bear)}) each needs {least} supplies that fit it, bear the place and give more than it draws"
