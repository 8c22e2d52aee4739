"""The points of a cost curve: what is known of each, and what one says of another."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal

from equipsel.growth.own import own_cents
from equipsel.growth.plans import Terms
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown
from equipsel.site import Site


@dataclass(frozen=True)
class CurveQuestion:
    """What is asked: the devices that grow and their counts today, up to how many more, on which site, when a search may stop.

    prove: whether every point is searched until it is proven, or for the seconds that the terms give each search.
    """

    what: str
    counts: Mapping[str, int]
    most: int
    site: Site
    terms: Terms
    prove: bool = False

    @property
    def gap(self) -> Decimal | None:
        """The gap at which a search may stop: none where every point is to be proven."""
        return Decimal(0) if self.prove else self.terms.gap

    def grown(self, number: int) -> Site:
        """The site with so many devices more."""
        return grown(self.site, spread(self.counts, number))

    def own(self, low: int, high: int) -> tuple[int, int]:
        """Cents that the devices from one point to another cost at least, and what rounding may hide."""
        before, after = spread(self.counts, low), spread(self.counts, high)
        return own_cents(self.site, {name: count - before.get(name, 0) for name, count in after.items()})


@dataclass(frozen=True)
class Point:
    """So many devices more: cents that the best kit known costs and that none costs less than; its equipment; how it was settled."""

    number: int
    cost: int
    least: int
    equipment: dict[tuple[str, ...], int] = field(default_factory=dict)
    how: str = "solved"
    slack: int = 0

    @property
    def proven(self) -> bool:
        """Whether it is the least cost; `slack` cents may be the rounding of lines that end in broken cents."""
        return self.cost - self.least <= self.slack


@dataclass
class Curve:
    """The points known, by number; why there is no kit from a number on; the points that were searched, beside today's."""

    question: CurveQuestion
    points: dict[int, Point] = field(default_factory=dict)
    ends: int | None = None
    reasons: tuple[str, ...] = ()
    searched: frozenset[int] = frozenset()

    @property
    def last(self) -> int:
        """The last point that may have a kit."""
        return self.question.most if self.ends is None else self.ends - 1

    def open(self, number: int) -> bool:
        """Whether a point is not yet known, or not yet proven."""
        return number not in self.points or not self.points[number].proven

    def complete(self) -> bool:
        """Whether every point up to the end is proven."""
        return not any(self.open(number) for number in range(self.last + 1))

    def keep(self, point: Point) -> None:
        """Keep what was found of a point, unless as much is known."""
        known = self.points.get(point.number)
        if known is None or point.cost < known.cost or (point.cost == known.cost and point.least > known.least):
            self.points[point.number] = point

    def least(self, number: int) -> int:
        """What a point costs at least, after the points before it."""
        before = ((point.least, self.question.own(at, number)[0]) for at, point in self.points.items() if at <= number)
        return max((least + own for least, own in before), default=0)

    def raise_bounds(self) -> None:
        """Let every point bound those after it."""
        for at, point in sorted(self.points.items()):
            self.points[at] = replace(point, least=min(point.cost, max(point.least, self.least(at))))


def joined(first: Curve, second: Curve) -> Curve:
    """What two searches tell of a curve together: of each point the best that either knows; the first where it lacks nothing."""
    if first.complete():
        return first
    ending = min((one for one in (first, second) if one.ends is not None), key=lambda one: one.ends or 0, default=first)
    numbers = (number for number in sorted({*first.points, *second.points}) if ending.ends is None or number < ending.ends)
    points = {number: _best(first, second, number) for number in numbers}
    found = Curve(first.question, points, ending.ends, ending.reasons, first.searched | second.searched)
    found.raise_bounds()
    return found


def _best(first: Curve, second: Curve, number: int) -> Point:
    """The first where it is proven; else what is proven before what is cheaper (by cents that rounding hides), with the higher bound."""
    known = [one.points[number] for one in (first, second) if number in one.points]
    best = known[0] if known[0].proven else min(known, key=lambda one: (not one.proven, one.cost, one.slack))
    return replace(best, least=min(best.cost, max(one.least for one in known)))
