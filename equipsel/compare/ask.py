"""Asking for kits to compare: a site with what it must keep to, solved to the end; what a kit buys; its cost in cents."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from equipsel.kit import Kit, Status
from equipsel.program.restriction import FREE, Restriction
from equipsel.quantities import cents
from equipsel.site import Site
from equipsel.solve import REASONS_LIMIT_S, Limits, cheapest_kit
from equipsel.variants import with_tables

BOUGHT = ("switch", "supply", "injector", "extender")
"""Kinds of lines that tell kits apart: what an installer picks from stock."""

PRICED = ("switches", "supplies", "injectors", "extenders", "backups")
"""Catalog tables the program chooses from (cables are as the scenario says)."""

CHOSEN = PRICED[:-1]


@dataclass(frozen=True)
class Question:
    """A site, what its kits must keep to beside the rules, and when a search may stop and the search for reasons."""

    site: Site
    restriction: Restriction = FREE
    gap: Decimal | None = None
    time_limit_s: float | None = None
    reasons_s: float = REASONS_LIMIT_S

    def kit(self) -> Kit:
        """The cheapest kit."""
        return cheapest_kit(self.site.scenario, self.site.catalog, self.limits(), self.restriction)

    def limits(self) -> Limits:
        """When the search may stop."""
        return Limits(self.gap, self.time_limit_s, reasons_s=self.reasons_s)


class Unproven(Exception):  # noqa: N818 (the name says what happened)
    """A search ended before its kit, or that there is none, was proven."""


def is_proven(kit: Kit) -> bool:
    """Whether it is proven to the cent that no kit is cheaper, or that there is none."""
    return kit.status is Status.INFEASIBLE or (kit.cost is not None and kit.cost == kit.lower_bound)


def cost_cents(kit: Kit) -> int | None:
    """Cost in cents; None where there is no kit."""
    return None if kit.cost is None else cents(Decimal(str(kit.cost)))


def bought(kit: Kit, site: Site, kinds: tuple[str, ...] = BOUGHT) -> dict[str, int]:
    """How many of each model a kit buys, all places together: what it uses beyond what is already there."""
    used: Counter[tuple[str, str]] = Counter()
    for line in kit.lines or ():
        if line.kind in kinds:
            used[line.place or "", line.model] += int(line.count)
    found: Counter[str] = Counter()
    for (_place, model), count in (used - site.owned()).items():
        found[model] += count
    return dict(sorted(found.items()))


def without(site: Site, models: frozenset[str]) -> tuple[Site, Restriction]:
    """The site with models that cannot be bought: gone from the catalog, but for those already there, which stay usable."""
    owned = {row.model for row in site.scenario.owned} & models
    gone = models - owned
    catalog = site.catalog
    tables: dict[str, Any] = {name: tuple(row for row in getattr(catalog, name) if row.model not in gone) for name in PRICED}
    tables["ports"] = tuple(row for row in catalog.ports if row.model not in gone)
    return with_tables(site, **tables), Restriction(unbought=frozenset(owned))
