"""Switches fed through an Ethernet port: every class they may take, over every run, from every kind of port."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, fields
from decimal import Decimal

from equipsel.catalog import Extender, Switch
from equipsel.circuit import Line, Span, at_temperature, loop_ohm, solve_line
from equipsel.feeds.builds import Build, Ports, switch_build
from equipsel.feeds.chains import chains
from equipsel.feeds.fits import fits
from equipsel.feeds.lines import Feed, Head, Load, Refusal, Route, feed, reserved_mw, span_lengths
from equipsel.feeds.routes import feed_routes
from equipsel.quantities import milliwatts_up
from equipsel.scenario import Rules
from equipsel.site import Site
from equipsel.standard import CLASSES


@dataclass(frozen=True, eq=False)
class FedBuild(Build):
    """A switch fed through a port: the class it takes, and the feed solved at the most it may draw.

    `through_injector`: whether the port above is an injector's; `volts`, `port_pairs`: what that port gives; `carried_by`: whether each
    kind of port carries it, as far as that was asked.
    """

    feed: Feed | None = None
    route: Route | None = None
    class_: int = 0
    volts: float = 0.0
    port_pairs: int = 2
    through_injector: bool = False
    rules: Rules = field(default_factory=Rules)
    carried_by: dict[Head, bool] = field(default_factory=dict, init=False, repr=False)

    @property
    def switch(self) -> Switch:
        """Its model, which is a switch."""
        assert isinstance(self.model, Switch), "only switches are fed through a port"
        return self.model

    @property
    def fed(self) -> tuple[Feed, Route]:
        """Its feed and route, which every fed build has."""
        assert self.feed is not None, "a fed build has a feed"
        assert self.route is not None, "a fed build has a route"
        return self.feed, self.route

    @property
    def link_mbps(self) -> Decimal:
        """Link speed it needs upstream, Mb/s."""
        return link_mbps(self.switch)

    def load(self) -> Load:
        """What it is to the port above, at the most it may draw."""
        return fed_load(self.switch, self.class_, most_w(self.switch, self.class_, self.budget_mw))

    def spans_at(self, handed_mw: int) -> list[Span]:
        """The spans of its line and what loads them when it hands out handed_mw."""
        solved, route = self.fed
        lengths = span_lengths(route, solved.chain, self.rules)
        ohm = at_temperature(route.cable.conductor_ohm_per_100m, float(self.rules.cable_c))
        loads = [*(float(item.own_w) for item in solved.chain), input_w(self.switch, handed_mw)]
        return [Span(loop_ohm(ohm, float(length), solved.pairs), load) for length, load in zip(lengths, loads, strict=True)]

    def line_at(self, handed_mw: int) -> Line:
        """Its line when it hands out handed_mw."""
        line = solve_line(self.volts, self.spans_at(handed_mw))
        assert line is not None, "a line that stands the most it may carry stands less"
        return line

    def upstream_mw(self, handed_mw: int) -> int:
        """What the port above reserves, mW, when it reserves handed_mw itself."""
        solved, _ = self.fed
        if self.rules.budget_basis == "class":
            return solved.reserved_mw
        line = self.line_at(handed_mw)
        return reserved_mw(solved.number, line.head_w, line.spans[0].watts, self.rules)

    def drawn_mw(self, drawn_below_mw: int) -> int:
        """What it draws from the port above, mW, when its own ports draw drawn_below_mw."""
        return milliwatts_up(self.line_at(drawn_below_mw).head_w)


def input_w(switch: Switch, handed_mw: int) -> float:
    """Watts at the input of a fed switch that hands out handed_mw."""
    return float((switch.own_w + Decimal(handed_mw) / 1000) / switch.efficiency)


def fed_budget_w(switch: Switch, number: int) -> Decimal:
    """What a fed switch may hand out, W: what its class leaves after conversion and its own draw, at most its budget_w."""
    left = CLASSES[number].pd_w * switch.efficiency - switch.own_w
    return left if switch.budget_w is None else min(left, switch.budget_w)


def most_w(switch: Switch, number: int, budget_mw: int) -> float:
    """The most a fed switch may draw at its input, W: never above its class."""
    return min(input_w(switch, budget_mw), float(CLASSES[number].pd_w))


def link_mbps(switch: Switch) -> Decimal:
    """Link speed a fed switch needs from the port above: its uplink's, at most 1000 Mb/s."""
    return min(switch.uplink_mbps, Decimal(1000))


def fed_load(switch: Switch, number: int, watts: float) -> Load:
    """A fed switch as a load on a line."""
    return Load(number, watts, float(switch.min_volts), link_mbps(switch))


def fed_builds(place: str, hosts: Iterable[Build], level: int, site: Site) -> Iterator[FedBuild]:
    """Every switch that may stand in a place fed by a port of `hosts` (builds anywhere), in table order."""
    return (found for found in _tried(place, hosts, level, site) if isinstance(found, FedBuild))


def fed_refusals(place: str, hosts: Iterable[Build], site: Site) -> Iterator[Refusal]:
    """Why switches fed from `hosts` may not stand in a place."""
    return (found for found in _tried(place, hosts, 1, site) if isinstance(found, Refusal))


def _tried(place: str, hosts: Iterable[Build], level: int, site: Site) -> Iterator[FedBuild | Refusal]:
    spot, above, routes = site.scenario.place[place], list(hosts), list(feed_routes(place, site))
    switches = [row for row in site.catalog.switches if row.feed == "port" and fits(row, spot.ip, spot.low_c, spot.high_c)]
    if not switches:
        yield Refusal("place", f"no switch of the catalog that is fed through a port suits {place}")
    elif not routes:
        yield Refusal("place", f"no row of `runs` leads from {place} to where a switch there could be fed from")
    for switch in switches:
        for route in routes:
            found = chains(route, site)
            if isinstance(found, Refusal):
                yield found
                continue
            for chain in found:
                for heads in _kinds_of_head(above, route.place):
                    yield from _classes(switch, place, route, chain, heads, level, site)


@dataclass(frozen=True)
class _HeadKind:
    """Ports that look alike to a line: through an injector or not, volts, pairs; `best` is the strongest of them."""

    through_injector: bool
    volts: float
    pairs: int
    best: Head


def _kinds_of_head(hosts: list[Build], place: str) -> list[_HeadKind]:
    """Kinds of powered ports in a place; an injector's only where a switch can stand beside it to carry the data."""
    found: dict[tuple[bool, float, int], list[Head]] = {}
    here = [build for build in hosts if build.place == place]
    carried = any(not build.is_injector for build in here)
    for build in here:
        if carried or not build.is_injector:
            for ports in build.ports:
                if ports.powered:
                    found.setdefault((build.is_injector, ports.head.volts, ports.head.pairs), []).append(ports.head)
    return [
        _HeadKind(*key, Head(key[1], max(head.port_w for head in heads), key[2], max(head.mbps for head in heads)))
        for key, heads in found.items()
    ]


def _classes(
    switch: Switch,
    place: str,
    route: Route,
    chain: tuple[Extender, ...],
    kind: _HeadKind,
    level: int,
    site: Site,
) -> Iterator[FedBuild | Refusal]:
    """A fed switch in each class that leaves it more to hand out, or more pairs, than a lower one that works."""
    seen: set[tuple[int, int]] = set()
    for number in range(1, (switch.in_class or 0) + 1):
        budget_w = fed_budget_w(switch, number)
        if budget_w < 0:
            continue
        plain = switch_build(place, switch, budget_w, (), site)
        load = fed_load(switch, number, most_w(switch, number, plain.budget_mw))
        solved = feed(load, route, kind.best, chain, site.rules)
        if isinstance(solved, Refusal):
            yield solved
            continue
        if (plain.budget_mw, solved.pairs) in seen:
            continue
        seen.add((plain.budget_mw, solved.pairs))
        standing = switch_build(place, switch, budget_w, (), site, solved.line.end.volts)
        yield FedBuild(
            **{item.name: getattr(standing, item.name) for item in fields(Build) if item.init and item.name != "level"},
            level=level,
            feed=solved,
            route=route,
            class_=number,
            volts=kind.volts,
            port_pairs=kind.pairs,
            through_injector=kind.through_injector,
            rules=site.rules,
        )


def accepts(ports: Ports, host: Build, fed: FedBuild) -> bool:
    """Whether a port of a host can feed a fed build: like in kind to what its line was solved on, and strong enough."""
    solved, route = fed.fed
    if host.place != route.place or host.is_injector != fed.through_injector or not ports.powered:
        return False
    if (ports.head.volts, ports.head.pairs) != (fed.volts, fed.port_pairs):
        return False
    if ports.head not in fed.carried_by:
        fed.carried_by[ports.head] = isinstance(feed(fed.load(), route, ports.head, solved.chain, fed.rules), Feed)
    return fed.carried_by[ports.head]
