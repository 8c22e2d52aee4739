"""Random sites for the laws, by the families of the oracles, and what is done to them. Costs are in cents, `inf` where there is no kit."""

import os
from collections.abc import Callable
from decimal import Decimal
from math import inf
from random import Random
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from random_sites import small, topology, with_extenders

from equipsel.columns import Row
from equipsel.kit import Kit
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit
from equipsel.variants import with_rules, with_tables, with_values

EXAMPLES = max(1, round(10 * float(os.environ.get("EQUIPSEL_CASES", "1"))))
"""Draws of each law by default ten; EQUIPSEL_CASES=100 makes it a thousand."""

FAMILIES = (small, with_extenders, topology, topology)
EQUIPMENT = ("switches", "supplies", "injectors", "extenders", "backups")
MONEY = ("price", "install_cost", "price_per_m", "install_cost_per_m", "open_cost")

Law = Callable[[Site, Random], None]


def law(check: Law) -> Callable[[], None]:
    """A law as a test: any site of the families, and a source of chance for what is done to it."""

    @given(st.integers(0, len(FAMILIES) - 1), st.integers(0, 10**9))
    @settings(max_examples=EXAMPLES, deadline=None, derandomize=True)
    def holds(family: int, number: int) -> None:
        check(Site(*FAMILIES[family](number)), Random(number))

    holds.__name__ = holds.__qualname__ = check.__name__
    return holds


def kit(site: Site) -> Kit:
    """The cheapest kit, proven, or that there is none."""
    found = cheapest_kit(site.scenario, site.catalog, Limits(reasons_s=0))
    assert found.status in ("optimal", "infeasible")
    return found


def cost(site: Site) -> float:
    """What its cheapest kit costs."""
    found = kit(site)
    return inf if found.cost is None else round(Decimal(str(found.cost)) * 100)


def some_row(site: Site, random: Random, tables: tuple[str, ...] = EQUIPMENT) -> tuple[str, int]:
    """A row of the catalog that there is."""
    return random.choice([(table, at) for table in tables for at in range(len(getattr(site.catalog, table)))])


def without_row(site: Site, table: str, at: int) -> Site:
    """The site without a row of its catalog, and without what only belongs to it."""
    rows = getattr(site.catalog, table)
    gone, left = rows[at], (*rows[:at], *rows[at + 1 :])
    tables: dict[str, tuple[Row, ...]] = {table: left}
    if table == "switches":
        tables["ports"] = tuple(group for group in site.catalog.ports if group.model != gone.model)
    tables["owned"] = tuple(row for row in site.scenario.owned if row.model != gone.model)
    return with_tables(site, **tables)


def without_device(site: Site, at: int) -> Site:
    """The site with one device less in a row."""
    row = site.scenario.devices[at]
    fewer = [with_values(row, count=row.count - 1)] if row.count > 1 else []
    devices = (*site.scenario.devices[:at], *fewer, *site.scenario.devices[at + 1 :])
    runs = tuple(run for run in site.scenario.runs if fewer or run.from_ != row.device)
    return with_tables(site, devices=devices, runs=runs)


def with_lengths(site: Site, factor: Decimal) -> Site:
    """All runs so much longer."""
    longer = {
        name: tuple(with_values(row, run_m=row.run_m * factor) for row in getattr(site.scenario, name)) for name in ("devices", "runs")
    }
    return with_tables(site, **longer)


def with_prices(site: Site, factor: int) -> Site:
    """Everything that costs anything costs so many times as much."""
    changed: dict[str, tuple[Row, ...]] = {"places": tuple(_dearer(row, factor) for row in site.scenario.places)}
    for table in (*EQUIPMENT, "cables", "extras"):
        changed[table] = tuple(_dearer(row, factor) for row in getattr(site.catalog, table))
    rules = {name: getattr(site.rules, name) * factor for name in ("piece_cost", "energy_price_kwh")}
    return with_rules(with_tables(site, **changed), **rules)


def _dearer(row: Row, factor: int) -> Row:
    return with_values(row, **{name: getattr(row, name) * factor for name in MONEY if name in type(row).model_fields})


def renamed(site: Site, mark: str) -> Scenario:
    """The scenario with every device and place under another name."""
    told = site.scenario
    names: dict[str, Any] = {row.device: f"{mark}{row.device}" for row in told.devices} | {name: f"{mark}{name}" for name in told.place}
    return Scenario(
        rules=told.rules,
        places=tuple(with_values(row, place=names[row.place]) for row in told.place.values()),
        devices=tuple(with_values(row, device=names[row.device], place=names[row.place]) for row in told.devices),
        runs=tuple(with_values(row, from_=names[row.from_], to=names[row.to]) for row in told.runs),
        owned=tuple(with_values(row, place=names[row.place]) for row in told.owned),
    )


def shuffled(site: Site, random: Random) -> Site:
    """The same rows in another order; the first cable stays first, since it is the default."""
    tables: dict[str, tuple[Row, ...]] = {}
    for name in ("devices", "runs", "owned", "places"):
        tables[name] = tuple(_mixed(getattr(site.scenario, name), random))
    for name in (*EQUIPMENT, "ports", "extras"):
        tables[name] = tuple(_mixed(getattr(site.catalog, name), random))
    cables = site.catalog.cables
    return with_tables(site, **tables, cables=(*cables[:1], *_mixed(cables[1:], random)))


def _mixed(rows: tuple[Row, ...], random: Random) -> list[Row]:
    return random.sample(rows, len(rows))
