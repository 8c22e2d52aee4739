"""The points of a cost curve: what is known of each, and what one says of another."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from equipsel.growth.own import own_cents
from equipsel.growth.plans import Terms
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown
from equipsel.kit import Kit
from equipsel.site import Site


@dataclass(frozen=True)
class CurveTask:
    """What is asked: the devices that grow and their counts today, up to how many more, on which site; today's kit once it is known.

    down: whether the last point is searched first and then the middle ones, since another process begins with the nearest.
    """

    what: str
    counts: Mapping[str, int]
    most: int
    site: Site
    terms: Terms
    today: Kit | None = None
    down: bool = False

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

    task: CurveTask
    points: dict[int, Point] = field(default_factory=dict)
    ends: int | None = None
    reasons: tuple[str, ...] = ()
    searched: frozenset[int] = frozenset()

    def complete(self) -> bool:
        """Whether every point up to the end is proven."""
        last = self.task.most if self.ends is None else self.ends - 1
        return all(number in self.points and self.points[number].proven for number in range(last + 1))

    def least(self, number: int) -> int:
        """What a point costs at least, after the points before it."""
        before = ((point.least, self.task.own(at, number)[0]) for at, point in self.points.items() if at <= number)
        return max((least + own for least, own in before), default=0)

    def raise_bounds(self) -> None:
        """Let every point bound those after it."""
        for at, point in sorted(self.points.items()):
            self.points[at] = replace(point, least=min(point.cost, max(point.least, self.least(at))))


def joined(first: Curve, second: Curve) -> Curve:
    """A curve traced twice at once, in part from its end: of each point the best that either knows; the first where it lacks nothing."""
    if first.complete():
        return first
    ending = min((one for one in (first, second) if one.ends is not None), key=lambda one: one.ends or 0, default=first)
    numbers = (number for number in sorted({*first.points, *second.points}) if ending.ends is None or number < ending.ends)
    points = {number: _best(first, second, number) for number in numbers}
    found = Curve(first.task, points, ending.ends, ending.reasons, first.searched | second.searched)
    found.raise_bounds()
    return found


def _best(first: Curve, second: Curve, number: int) -> Point:
    """What is proven before what is cheaper (by cents that rounding hides), with the higher bound of both."""
    known = [one.points[number] for one in (first, second) if number in one.points]
    best = min(known, key=lambda one: (not one.proven, one.cost))
    return replace(best, least=min(best.cost, max(one.least for one in known)))
