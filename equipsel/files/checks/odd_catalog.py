"""What is legal in a catalog and odd all the same: prices of nothing, and rows that no site can ever use."""

from collections.abc import Iterable, Iterator
from decimal import Decimal

from equipsel.catalog import Cable, Catalog, Equipment, Extra
from equipsel.columns import Row
from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, quoted
from equipsel.standard import CLASSES, highest_class

NAMED = 3
"""How many rows of one oddity are named (our own limit)."""


def prices_of_nothing(draft: Draft) -> Iterator[Problem]:
    """A price of 0 makes a row the first choice everywhere."""
    catalog = draft.catalog
    tables: list[tuple[str, tuple[Equipment | Cable | Extra, ...]]] = [
        ("price", catalog.switches),
        ("price", catalog.supplies),
        ("price", catalog.injectors),
        ("price", catalog.extenders),
        ("price_per_m", catalog.cables),
        ("price", catalog.backups),
        ("price", catalog.extras),
    ]
    for column, rows in tables:
        free = [row for row in rows if not getattr(row, column)]
        if free:
            names = some_of(row.item if isinstance(row, Extra) else row.model for row in free)
            yield draft.problem(free[0], column, f"{names} cost nothing" if len(free) > 1 else f"{names} costs nothing", "check the price")


def some_of(names: Iterable[str]) -> str:
    """Names in words, not more than a few of them."""
    listed = [quoted(name) for name in names]
    more = f" and {len(listed) - NAMED} more" if len(listed) > NAMED else ""
    return ", ".join(listed[:NAMED]) + more


def ports_too_weak_for_any_class(draft: Draft) -> Iterator[Problem]:
    """A port between 0 and 4 W is neither data only nor strong enough for class 1."""
    for row, port_w in _ports(draft.catalog):
        if port_w and highest_class(port_w) is None:
            wrong = f"a port of {port_w} W powers nothing: the lowest class takes {CLASSES[1].pse_w} W"
            yield draft.problem(row, "port_w", wrong, "check the watts, or write 0 for data only")


def supplies_without_a_switch(draft: Draft) -> Iterator[Problem]:
    """A supply that fits no switch is never bought."""
    taken = {row.supply_fit for row in draft.catalog.switches if row.feed == "supply"}
    for row in draft.catalog.supplies:
        if row.fit not in taken:
            wrong = f"no switch of feed = supply takes {quoted(row.fit)}, so {quoted(row.model)} is never used"
            yield draft.problem(row, "fit", wrong, "write the supply_fit of a switch, or drop the row")


def switches_that_draw_more_than_their_supplies(draft: Draft) -> Iterator[Problem]:
    """A switch whose own draw is more than all its slots can give never starts."""
    for row in (one for one in draft.catalog.switches if one.feed == "supply"):
        most = max((one.watts for one in draft.catalog.supplies if one.fit == row.supply_fit), default=Decimal(0)) * row.supply_slots
        if row.own_w > most:
            wrong = f"{quoted(row.model)} draws {row.own_w} W itself, and the supplies that fit it give {most} W at most: it is never used"
            yield draft.problem(row, "own_w", wrong, "check own_w, supply_slots and the watts of its supplies")


def fed_things_that_no_port_can_feed(draft: Draft) -> Iterator[Problem]:
    """A fed switch or an extender that draws more itself than the highest class it can get lets it take is never used."""
    catalog = draft.catalog
    best_w = max((port_w for _, port_w in _ports(catalog)), default=Decimal(0))
    best = highest_class(best_w) or 0
    fed = [(row, row.in_class or 0, row.own_w / row.efficiency) for row in catalog.switches if row.feed == "port"]
    rows: list[tuple[Equipment, int, Decimal]] = [*fed, *((row, row.in_class, row.own_w) for row in catalog.extenders)]
    for row, in_class, needed_w in rows:
        got = min(in_class, best)
        most = CLASSES[got].pd_w if got else 0
        if needed_w > most:
            why = f"in_class {in_class}, best port {best_w} W"
            wrong = f"{quoted(row.model)} needs {needed_w:.4g} W itself, and gets {most} W at most ({why}): it is never used"
            yield draft.problem(row, "own_w", wrong, "check own_w and in_class, or add a stronger port")


def _ports(catalog: Catalog) -> list[tuple[Row, Decimal]]:
    """Whatever has ports, with the watts of one."""
    groups: list[tuple[Row, Decimal]] = [(row, row.port_w) for row in catalog.ports]
    injectors = [(row, row.port_w) for row in catalog.injectors]
    return [*groups, *injectors, *((row, row.port_w) for row in catalog.extenders)]


def bundle_limits_of_no_cable(draft: Draft) -> Iterator[Problem]:
    """A limit for a gauge that no cable has holds for nothing."""
    gauges = {row.awg for row in draft.catalog.cables}
    for row in draft.catalog.bundles:
        if gauges and None not in gauges and row.awg not in gauges:
            yield draft.problem(row, "awg", f"no cable is of {row.awg} AWG, so the limit holds for nothing", "check the gauge")
