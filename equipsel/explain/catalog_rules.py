"""What the catalog offers as named rules: watts of units and supplies, watts of ports, speed of links."""

from collections.abc import Iterator
from decimal import Decimal
from functools import partial
from typing import Any

from equipsel.catalog import Catalog, PortGroup, Supply, Switch
from equipsel.explain.rules import Change, Ease, Rule, Step, changed_rows, one, then
from equipsel.explain.site_rules import FAST_MBPS
from equipsel.site import Site
from equipsel.standard import CLASSES
from equipsel.variants import with_tables, with_values

PLENTY_W = Decimal(100_000)
"""More watts than any unit needs."""

WATT_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""Steps in which the watts of units are tried, W: the finest that keeps a scale short (our own)."""

MOST_STEPS = 200

PORT_W = tuple(sorted({row.pse_w for row in CLASSES.values()}))
"""What ports give at most, by class (IEEE 802.3 clauses 33 and 145)."""


def catalog_rules(site: Site) -> Iterator[Rule]:
    """What the catalog offers at most."""
    yield from _unit_watts(site)
    yield from _port_watts(site)
    yield from _speeds(site)


def _unit_watts(site: Site) -> Iterator[Rule]:
    """Budgets: of mains switches, of supplies; lifted, of everything."""
    eases = (*_budgets(site.catalog), *_supplies(site.catalog), *_groups(site.catalog))
    yield Rule("the watts that units and supplies of the catalog hand out", _plenty, eases)


def _plenty(site: Site) -> Site:
    """Everything hands out as much as its ports may give."""
    catalog = site.catalog
    return with_tables(
        site,
        switches=tuple(with_values(row, budget_w=PLENTY_W) if row.feed == "mains" else row for row in catalog.switches),
        ports=tuple(with_values(row, group_w=None) for row in catalog.ports),
        supplies=tuple(with_values(row, watts=PLENTY_W) for row in catalog.supplies),
        injectors=tuple(with_values(row, budget_w=None) for row in catalog.injectors),
    )


def _budgets(catalog: Catalog) -> Iterator[Ease]:
    switches = [row for row in catalog.switches if row.feed == "mains"]
    rooms = {row.model: sum((group.count * group.port_w for group in catalog.groups[row.model]), Decimal(0)) for row in switches}
    for row in switches:
        steps = [
            Step(f"{watts} W from {row.model} instead of {row.budget_w:f} W", _budget_of(row, watts))
            for watts in _scale(row.budget_w or Decimal(0), rooms[row.model])
        ]
        if steps:
            yield Ease(steps)


def _budget_of(switch: Switch, watts: int) -> Change:
    more = changed_rows("switches", lambda row: row.model == switch.model, lambda _: {"budget_w": watts})
    whole = changed_rows("ports", lambda row: row.model == switch.model, lambda _: {"group_w": None})
    return then(more, whole)


def _supplies(catalog: Catalog) -> Iterator[Ease]:
    """A larger supply of each fit, beside those there are."""
    for fit in dict.fromkeys(row.supply_fit for row in catalog.switches if row.feed == "supply"):
        fitting = [row for row in catalog.supplies if row.fit == fit]
        if not fitting:
            continue
        largest = max(fitting, key=lambda row: row.watts)
        rooms = [_room(row, catalog) for row in catalog.switches if row.supply_fit == fit]
        steps = [
            Step(f"a {watts} W supply of fit {fit} in the catalog (the largest has {largest.watts:f} W)", _supply_of(largest, watts))
            for watts in _scale(largest.watts, max(rooms))
        ]
        if steps:
            yield Ease(steps)


def _groups(catalog: Catalog) -> Iterator[Ease]:
    for row in catalog.ports:
        if row.group_w is not None and row.group_w < row.count * row.port_w:
            words = f"{row.count * row.port_w:f} W from group {row.group} of {row.model} instead of {row.group_w:f} W"
            yield one(words, changed_rows("ports", partial(_is_group, row.model, row.group), lambda _: {"group_w": None}))


def _is_group(model: str, group: str, row: PortGroup) -> bool:
    return (row.model, row.group) == (model, group)


def _room(switch: Switch, catalog: Catalog) -> Decimal:
    most = sum((group.count * group.port_w for group in catalog.groups[switch.model]), Decimal(0))
    return (most if switch.budget_w is None else min(most, switch.budget_w)) + switch.own_w


def _supply_of(like: Supply, watts: int) -> Change:
    def change(site: Site) -> Site:
        values: dict[str, Any] = {"model": f"{like.model} of {watts} W", "watts": watts}
        return with_tables(site, supplies=(*site.catalog.supplies, with_values(like, **values)))

    return change


def _scale(have: Decimal, most: Decimal) -> list[int]:
    """Whole watts above what is there, up to the most that is of use, in steps as fine as keeps them few."""
    step = next((step for step in WATT_STEPS if (most - have) / step <= MOST_STEPS), WATT_STEPS[-1])
    first = int(have // step + 1) * step
    return [*range(first, int(most) + step, step)] if most > have else []


def _port_watts(site: Site) -> Iterator[Rule]:
    catalog = site.catalog
    have = max((*(row.port_w for row in catalog.ports), *(row.port_w for row in catalog.injectors)), default=Decimal(0))
    stronger, words = [watts for watts in PORT_W if watts > have], f"W in the catalog (the strongest has {have:f} W)"
    steps = [Step(f"ports of {watts:f} {words}", then(_ports_of(watts), _budgets_of(watts))) for watts in stronger]
    if steps:
        yield Rule(f"ports of at most {have:f} W in the catalog", _ports_of(stronger[-1]), (Ease(steps),))


def _ports_of(watts: Decimal) -> Change:
    """Every port of the catalog that gives power gives so much."""
    return changed_rows("ports", lambda row: 0 < row.port_w < watts, lambda _: {"port_w": watts})


def _budgets_of(watts: Decimal) -> Change:
    """Every mains switch, and every group of ports, hands out at least so much."""
    groups = changed_rows("ports", lambda row: row.group_w is not None and row.group_w < watts, lambda _: {"group_w": watts})
    return then(groups, changed_rows("switches", lambda row: row.feed == "mains" and row.budget_w < watts, lambda _: {"budget_w": watts}))


def _speeds(site: Site) -> Iterator[Rule]:
    needed = max((row.link_mbps for row in site.scenario.devices), default=Decimal(0))
    catalog = site.catalog
    speeds = [row.port_mbps for row in catalog.ports] + [row.port_mbps for row in catalog.injectors]
    speeds += [row.port_mbps for row in catalog.extenders] + [row.mbps for row in catalog.cables]
    slow = [mbps for mbps in speeds if mbps < needed]
    if slow:
        steps = [Step(f"links of {mbps} Mb/s all the way", _links_of(mbps)) for mbps in FAST_MBPS if mbps > min(slow)]
        yield Rule("the speed of ports and cables in the catalog", _links_of(max(int(needed) + 1, FAST_MBPS[-1])), (Ease(steps),))


def _links_of(mbps: int) -> Change:
    tables = ("ports", "injectors", "extenders")
    faster = [changed_rows(table, lambda row: row.port_mbps < mbps, lambda _: {"port_mbps": mbps}) for table in tables]
    return then(*faster, changed_rows("cables", lambda row: row.mbps < mbps, lambda _: {"mbps": mbps}))
