"""How far a kit reaches: the most devices that can be added before any equipment must be bought, and what comes next.

A device's own cable, cords and mounts come with it. Each number of devices is tried by a program in which nothing but what is there
may stand; so the answer is proven from both sides.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from equipsel.growth.ledger import Bought, bought, cost_cents, equipment, paid, together
from equipsel.growth.plans import Terms, next_kit
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown
from equipsel.kit import Kit, Status
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

MOST_TRIED = 1000
"""Reach beyond so many devices is not sought (our own limit)."""

ANY = Decimal("0.99")
"""The gap with which any kit will do."""


@dataclass(frozen=True)
class ReachTask:
    """What is asked: the devices that grow and their counts today; the site, its kit, when a search may stop."""

    what: str
    counts: Mapping[str, int]
    site: Site
    kit: Kit
    terms: Terms


@dataclass(frozen=True)
class Reach:
    """How many more fit, whether that is proven, and what the next one makes necessary.

    buys: equipment by model and place; extra_cents: what it costs. Where no kit takes the next one, `reasons` say why.
    """

    what: str
    most: int
    proven: bool
    buys: dict[tuple[str, str], int]
    extra_cents: int | None = None
    reasons: tuple[str, ...] = ()


def reach_tasks(site: Site, kit: Kit, terms: Terms) -> list[ReachTask]:
    """One for each kind of device (a row without a kind is its own), and one for all of them as they are mixed today."""
    kinds: dict[str, dict[str, int]] = {}
    for row in site.scenario.devices:
        kinds.setdefault(row.kind or row.device, {})[row.device] = row.count
    tasks = [ReachTask(kind, counts, site, kit, terms) for kind, counts in kinds.items()]
    if len(kinds) > 1:
        tasks.append(ReachTask(MIX, {row.device: row.count for row in site.scenario.devices}, site, kit, terms))
    return tasks


MIX = "all kinds in today's mix"


def reach(task: ReachTask) -> Reach:
    """The reach of a kit for some devices."""
    there = bought(task.kit, task.site)
    most, proven = _most(lambda number: fits(task, there, number), gaps=_may_have_gaps(task))
    if most >= MOST_TRIED:
        return Reach(task.what, most, False, {})
    return _next(task, there, most, proven)


def fits(task: ReachTask, there: Bought, number: int) -> bool | None:
    """Whether so many more need no more equipment; None where that was not found out in time."""
    site = grown(task.site, spread(task.counts, number))
    limits = Limits(ANY, task.terms.time_limit_s, ties=False)
    kit = cheapest_kit(site.scenario, site.catalog, limits, paid=paid(equipment(there), frozen=True))
    return None if kit.status is Status.STOPPED else kit.cost is not None


def _may_have_gaps(task: ReachTask) -> bool:
    """Whether one more may fit where one less does not: a share of the critical devices grows with their number."""
    critical = {row.device for row in task.site.scenario.devices if row.priority == "critical"}
    return task.site.rules.max_critical_share_pct < 100 and bool(critical & set(task.counts))


def _most(fit: Callable[[int], bool | None], *, gaps: bool) -> tuple[int, bool]:
    """The most that fits, below the first that does not: by doubling, then halving (one by one where there may be gaps)."""
    low, high, proven, step = 0, MOST_TRIED + 1, True, 1
    while high - low > 1 and low < MOST_TRIED:
        middle = low + 1 if gaps else low + step if high > MOST_TRIED else (low + high) // 2
        found = fit(min(middle, MOST_TRIED))
        proven = proven and found is not None
        if found:
            low, step = min(middle, MOST_TRIED), 2 * step
        else:
            high = middle
            if gaps:
                break
    return low, proven


def _next(task: ReachTask, there: Bought, most: int, proven: bool) -> Reach:
    """What one device more makes necessary."""
    site = grown(task.site, spread(task.counts, most + 1))
    kit = next_kit(site, there, task.terms)
    if kit.cost is None:
        return Reach(task.what, most, proven, {}, None, kit.reasons or ("no kit was found in the time allowed",))
    before, after = equipment(there), equipment(together(there, bought(kit, site)))
    buys = {(key[1], key[2]): count - before.get(key, 0) for key, count in after.items() if count > before.get(key, 0)}
    spent = cost_cents(after, site) - cost_cents(before, site)
    return Reach(task.what, most, proven, buys, spent)
