"""Three ways to buy for all stages: once for the end, stage by stage, and planned over all stages together."""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction
from itertools import pairwise

from equipsel.growth.ledger import Bought, bought, cost_cents, paid, together
from equipsel.kit import Kit, Status
from equipsel.program.stages import Aim
from equipsel.quantities import cents
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit, cheapest_stages


class How(StrEnum):
    """How a plan was made."""

    ONCE = "once for the end"
    BY_STAGE = "stage by stage"
    TOGETHER = "all stages together"


@dataclass(frozen=True)
class Plan:
    """A way to buy: for each stage its kit, and all that has been bought by its end. proven: nothing better of its kind exists."""

    how: How
    sites: tuple[Site, ...]
    kits: tuple[Kit, ...]
    holds: tuple[dict[tuple[str, ...], int], ...]
    proven: bool

    @property
    def paid_cents(self) -> tuple[int, ...]:
        """What has been paid by the end of each stage, in cents."""
        return tuple(cost_cents(held, site) for held, site in zip(self.holds, self.sites, strict=True))

    @property
    def payments_cents(self) -> tuple[int, ...]:
        """What is paid at each stage, in cents."""
        return tuple(after - before for before, after in pairwise((0, *self.paid_cents)))

    @property
    def total(self) -> Fraction:
        """All payments in today's money, in cents: those of later stages less the discount."""
        weights = discounts(self.sites[0], len(self.sites))
        return sum((weight * payment for weight, payment in zip(weights, self.payments_cents, strict=True)), Fraction(0))

    @property
    def total_cents(self) -> int:
        """The same to the cent."""
        return cents(self.total / 100)

    @property
    def rank(self) -> tuple[Fraction, int]:
        """Cheaper first; of those that cost the same, the one that pays later."""
        return self.total, sum(self.paid_cents)


def discounts(site: Site, number: int) -> list[Fraction]:
    """What a payment at each stage weighs today: 1, 1 / (1 + d), 1 / (1 + d)^2 ... with d = discount_pct a stage."""
    return [(100 / (100 + Fraction(site.rules.discount_pct))) ** stage for stage in range(number)]


@dataclass(frozen=True)
class Terms:
    """When a search may stop: relative gap, and seconds for each."""

    gap: Decimal | None = None
    time_limit_s: float | None = None

    def seconds(self, site: Site) -> float:
        """Seconds for one search."""
        return float(site.rules.time_limit_s) if self.time_limit_s is None else self.time_limit_s


def next_kit(site: Site, before: Bought, terms: Terms) -> Kit:
    """The kit of a site for which least is to be paid beyond what was bought before; proven, or stopped by its time."""
    return cheapest_kit(site.scenario, site.catalog, Limits(Decimal(0), terms.time_limit_s), paid=paid(before))


def plan(how: How, sites: Sequence[Site], kits: Sequence[Kit | None], proven: bool, start: Bought | None = None) -> Plan | None:
    """A plan of these kits, with what was bought at the start of all; None where a stage has no kit."""
    held, holds = dict(start or {}), []
    known = [kit for kit in kits if kit is not None and kit.cost is not None]
    if len(known) < len(sites):
        return None
    for kit, site in zip(known, sites, strict=True):
        held = together(held, bought(kit, site))
        holds.append(held)
    return Plan(how, tuple(sites), tuple(known), tuple(holds), proven)


def once(sites: Sequence[Site], last: Kit, terms: Terms) -> Plan | None:
    """The cheapest kit of the last stage, bought at once; each stage uses what it needs of it."""
    start = bought(last, sites[-1])
    kits = [*(next_kit(site, start, terms) for site in sites[:-1]), last]
    return plan(How.ONCE, sites, kits, _proven([last]), start)


def by_stage(sites: Sequence[Site], first: Kit, terms: Terms) -> Plan | None:
    """The cheapest kit now; at each stage the least that must then be bought, everything before kept."""
    held, kits = bought(first, sites[0]), [first]
    for site in sites[1:]:
        kit = next_kit(site, held, terms)
        kits.append(kit)
        if kit.cost is None:
            break
        held = together(held, bought(kit, site))
    return plan(How.BY_STAGE, sites, kits, _proven(kits))


def planned(sites: Sequence[Site], cheapest: Sequence[Kit], known: Sequence[Plan], terms: Terms) -> Plan | None:
    """The best plan over all stages: what one program over all of them finds, or a plan known before where nothing beats that.

    cheapest: the cheapest kit of each stage alone. Without a discount every plan costs at least the last of them, which buying
    once for the end attains: then what is sought is the plan of that cost that has paid least by the end of the stages before.
    """
    best = min(known, key=lambda one: one.rank, default=None)
    if best is None:
        return None
    least = tuple(cents(Decimal(str(kit.lower_bound or 0))) for kit in cheapest)
    weights = discounts(sites[0], len(sites))
    later = [*weights[1:], Fraction(0)]
    aim = Aim(tuple(now - then for now, then in zip(weights, later, strict=True)), least, {}, best.total)
    exact = True
    if not sites[0].rules.discount_pct:
        exact = best.paid_cents[-1] == least[-1]
        earlier = (*(Fraction(1) for _ in sites[1:]), Fraction(0))
        aim = Aim(earlier, least, {len(sites) - 1: best.paid_cents[-1]}, Fraction(sum(best.paid_cents[:-1])))
    started = time.monotonic()
    proven, kits = cheapest_stages(sites, aim, terms.seconds(sites[0]) - (time.monotonic() - started))
    found = plan(How.TOGETHER, sites, kits, proven and exact) if kits else None
    if found is None or found.rank >= best.rank:
        found = replace(best, how=How.TOGETHER, proven=proven and exact)
    return found


def _proven(kits: Sequence[Kit]) -> bool:
    return all(kit.status is Status.OPTIMAL and not kit.gap for kit in kits)
