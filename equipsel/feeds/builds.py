"""Builds: what can stand in a place. A switch with its supplies, an injector, or a switch fed through a port."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from itertools import combinations_with_replacement

from equipsel.catalog import Injector, PortGroup, Supply, Switch
from equipsel.feeds.fits import fits
from equipsel.feeds.lines import Head
from equipsel.quantities import milliwatts_down, milliwatts_up
from equipsel.scenario import Place, Rules
from equipsel.site import Site
from equipsel.standard import head_volts


@dataclass(frozen=True, slots=True)
class Ports:
    """A group of like ports of a build: name, how many, what each offers, the group's own limit in mW (None: none)."""

    group: str
    count: int
    head: Head
    limit_mw: int | None

    @property
    def powered(self) -> bool:
        """Whether its ports give power."""
        return self.head.port_w > 0


@dataclass(frozen=True, eq=False)
class Build:
    """One kind of unit in one place, with everything the program must know of it.

    budget_mw: what it hands out; limit_mw: the same less the spare; traffic_mbps: what its uplink may carry (None: an
    injector has none); level: how many switches feed it in a row.
    """

    place: str
    model: Switch | Injector
    ports: tuple[Ports, ...]
    budget_mw: int
    limit_mw: int
    efficiency: Fraction
    traffic_mbps: Fraction | None
    supplies: tuple[Supply, ...] = ()
    level: int = 0
    own_mw: int = field(init=False)

    def __post_init__(self) -> None:
        """Derive the own draw in mW."""
        object.__setattr__(self, "own_mw", milliwatts_up(self.model.own_w))

    @property
    def is_injector(self) -> bool:
        """Whether it is an injector."""
        return isinstance(self.model, Injector)

    @property
    def outlets(self) -> int:
        """Mains outlets it takes: one each supply, one for a built-in supply or an injector, none when fed by a port."""
        if isinstance(self.model, Switch) and self.model.feed != "mains":
            return len(self.supplies)
        return 1

    @property
    def rack_u(self) -> Decimal:
        """Rack space it takes, supplies included."""
        return self.model.rack_u + sum((supply.rack_u for supply in self.supplies), Decimal(0))

    @property
    def powered_ports(self) -> int:
        """How many of its ports give power."""
        return sum(group.count for group in self.ports if group.powered)

    def most_mw(self, ports: Ports) -> int:
        """The most mW that a group of its ports may reserve at once: the group's own limit, and the unit's."""
        return self.limit_mw if ports.limit_mw is None else min(self.limit_mw, ports.limit_mw)


def mains_builds(place: Place, site: Site) -> list[Build]:
    """Every switch with its supplies and every injector that may stand in a place with mains, in table order."""
    if not place.mains:
        return []
    found: list[Build] = []
    for switch in site.catalog.switches:
        if switch.feed == "port" or not fits(switch, place.ip, place.low_c, place.high_c):
            continue
        if switch.feed == "mains":
            found.append(switch_build(place.place, switch, switch.budget_w or Decimal(0), (), site))
        else:
            found.extend(_supplied(place, switch, site))
    injectors = (item for item in site.catalog.injectors if fits(item, place.ip, place.low_c, place.high_c))
    found += [_injector_build(place.place, item, site.rules) for item in injectors]
    return found


def switch_build(
    place: str, switch: Switch, budget_w: Decimal, supplies: tuple[Supply, ...], site: Site, volts: float | None = None
) -> Build:
    """A build of a switch that hands out budget_w; `volts` is what reaches its ports where the switch states none."""
    ports = tuple(_ports(switch, group, volts) for group in site.catalog.groups[switch.model])
    efficiency = min((supply.efficiency for supply in supplies), default=switch.efficiency)
    traffic = Fraction(switch.uplink_mbps) * Fraction(site.rules.uplink_share_pct) / 100
    budget_mw = milliwatts_down(budget_w)
    return Build(place, switch, ports, budget_mw, spared(budget_mw, ports, site.rules), Fraction(efficiency), traffic, supplies)


def spared(budget_mw: int, ports: tuple[Ports, ...], rules: Rules) -> int:
    """A budget less the spare watts, mW, rounded down; a unit with one powered port keeps its all."""
    if sum(group.count for group in ports if group.powered) == 1:
        return budget_mw
    return int(Fraction(budget_mw) * (100 - Fraction(rules.spare_watts_pct)) / 100)


def _ports(switch: Switch, group: PortGroup, volts: float | None) -> Ports:
    stated = float(switch.volts) if switch.volts is not None else volts
    head = Head(head_volts(group.port_w) if stated is None else stated, group.port_w, group.pairs, group.port_mbps)
    limit = None if group.group_w is None else milliwatts_down(group.group_w)
    return Ports(group.group, group.count, head, limit)


def _injector_build(place: str, item: Injector, rules: Rules) -> Build:
    ports = (Ports("out", item.ports, Head(item.head_v, item.port_w, item.pairs, item.port_mbps), None),)
    budget_mw = milliwatts_down(item.total_w)
    return Build(place, item, ports, budget_mw, spared(budget_mw, ports, rules), Fraction(item.efficiency), None)


def _supplied(place: Place, switch: Switch, site: Site) -> Iterator[Build]:
    """A supply-fed switch with every set of supplies that leaves it something to hand out."""
    fitting = [item for item in site.catalog.supplies if item.fit == switch.supply_fit and fits(item, place.ip, place.low_c, place.high_c)]
    for size in range(2 if site.rules.redundant_supplies else 1, switch.supply_slots + 1):
        for supplies in combinations_with_replacement(fitting, size):
            budget_w = supplied_w(switch, supplies, site.rules)
            if budget_w >= 0:
                yield switch_build(place.place, switch, budget_w, supplies, site)


def supplied_w(switch: Switch, supplies: tuple[Supply, ...], rules: Rules) -> Decimal:
    """Budget of a supply-fed switch, W: its counted supplies (all but the largest when N+1) less its own draw."""
    counted = sum((supply.watts for supply in supplies), Decimal(0))
    if rules.redundant_supplies:
        counted -= max(supply.watts for supply in supplies)
    budget = counted - switch.own_w
    return budget if switch.budget_w is None else min(budget, switch.budget_w)
