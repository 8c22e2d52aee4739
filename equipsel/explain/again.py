"""Asking again: the cheapest kit of a changed site, or of one that must do without something, beside a kit that is known."""

import time
from dataclasses import dataclass
from decimal import Decimal

from equipsel.compare.ask import Question, cost_cents, is_proven
from equipsel.explain.verdict import Tell
from equipsel.kit import Kit, Status
from equipsel.program.of_site import powered
from equipsel.program.parts import parts
from equipsel.program.restriction import FREE, Restriction
from equipsel.quantities import cents, money
from equipsel.site import Site

LEAST_S = 0.5
"""Seconds below which a question is not begun (our own limit)."""

STOPPED_EARLY = 0.5
"""A search that ends unproven before this share of its time was ended by Ctrl-C."""


@dataclass(frozen=True)
class Difference:
    """What a kit costs more than the known one, cents. None: there is none. `exact`: both are proven; else it is the least it can be."""

    more_cents: int | None
    exact: bool = True

    @property
    def money(self) -> Decimal:
        """What it costs more; where there is a kit."""
        assert self.more_cents is not None, "there is a kit"
        return money(self.more_cents)


class Again:
    """Asks until its time is up. Parts of a site that have nothing to do with each other are asked about alone: costs add up."""

    def __init__(self, site: Site, kit: Kit, seconds: float, tell: Tell | None = None) -> None:
        """Know the site and its kit; start the clock."""
        self.site, self.kit, self.tell = site, kit, tell
        self.deadline, self.asked = time.monotonic() + seconds, 0
        self.pieces = [part.problem.site for part in parts(powered(site).problem())] or [site]
        self.known: dict[int, Kit] = {0: kit} if len(self.pieces) == 1 else {}
        self.complete = True

    def piece(self, place: str) -> int:
        """Which part of the site a place belongs to."""
        return next((at for at, site in enumerate(self.pieces) if place in site.scenario.place), 0)

    def without(self, place: str, restriction: Restriction) -> Difference | None:
        """What the part of a place costs more under a restriction; None where time is too short to say."""
        at = self.piece(place)
        return self.difference(at, self.pieces[at], restriction)

    def changed(self, site: Site) -> Difference | None:
        """What the whole site costs more when it is changed; None where time is too short to say."""
        return self._beside(self.kit, site, FREE)

    def difference(self, at: int, site: Site, restriction: Restriction = FREE) -> Difference | None:
        """What a changed part of the site costs more than it does; None where time is too short to say."""
        if at not in self.known:
            found = self._kit(self.pieces[at], FREE)
            if found is None or found.cost is None:
                return None
            self.known[at] = found
        return self._beside(self.known[at], site, restriction)

    def _beside(self, base: Kit, site: Site, restriction: Restriction) -> Difference | None:
        found = self._kit(site, restriction)
        if found is None:
            return None
        if found.status is Status.INFEASIBLE:
            return Difference(None)
        before, cost = cost_cents(base), cost_cents(found)
        if before is None or found.lower_bound is None or cost is None:
            return None
        if is_proven(found) and is_proven(base):
            return Difference(cost - before)
        return Difference(cents(Decimal(str(found.lower_bound))) - before, exact=False)

    def _kit(self, site: Site, restriction: Restriction) -> Kit | None:
        """The cheapest kit of a site; None where there is no time for it. Raises KeyboardInterrupt where Ctrl-C ended the search."""
        left_s = self.deadline - time.monotonic()
        if left_s < LEAST_S:
            self.complete = False
            return None
        started = time.monotonic()
        kit = Question(site, restriction, Decimal(0), left_s, reasons_s=0).kit()
        if not is_proven(kit):
            self.complete = False
            if time.monotonic() - started < STOPPED_EARLY * left_s:
                raise KeyboardInterrupt
        self.asked += 1
        if self.tell:
            self.tell(self.asked)
        return kit if kit.status is not Status.STOPPED else None
