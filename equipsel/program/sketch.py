"""A sketch of some blocks: the best counts of units and devices served, and a true bound; plugs are possible in fractions."""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf

from equipsel.program.adapter import Answer, Progress, Stop
from equipsel.program.block_program import Cut, Prices, proven_bound
from equipsel.program.live import Live
from equipsel.program.plugs import Condition, Plugs
from equipsel.program.projection import Counts, Projection

TIMES = 20
"""How often a program of whole counts is solved again with what its counts did not meet (our own limit)."""


@dataclass(frozen=True, slots=True)
class Outline:
    """What is known of a block's counts: its projection, and conditions met by all counts that plugs are possible for."""

    projection: Projection
    conditions: tuple[Condition, ...] = ()


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked of some blocks: shared devices to be served between them, what others are worth, what was proven of them."""

    outlines: Mapping[int, Outline]
    wanted: Mapping[int, int]
    prices: Prices = field(default_factory=dict)
    cuts: tuple[Cut, ...] = ()
    starts: Mapping[int, Counts] = field(default_factory=dict)
    gap: float = 0.0
    within: int = 0


@dataclass(frozen=True, slots=True)
class Sketch:
    """Why it stopped, the bound, the counts of each block (none: nothing found), and what was learnt of the counts of each."""

    stop: Stop
    bound: int | None
    counts: Mapping[int, Counts] = field(default_factory=dict)
    conditions: Mapping[int, tuple[Condition, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Marginal:
    """What serving one device more of each group that is wanted costs in fractions of units, in cents; what was learnt of the counts."""

    prices: Mapping[int, float]
    conditions: Mapping[int, tuple[Condition, ...]]


def marginal(asked: Asked, seconds: float) -> Marginal:
    """The duals of what is wanted; none where it cannot be had, or time ran out. Raises KeyboardInterrupt."""
    return _Sketching(asked, time.monotonic() + seconds).marginal()


def sketched(asked: Asked, seconds: float, progress: Progress | None = None) -> Sketch:
    """The best counts for what is asked, and a bound that is true however it ends; Ctrl-C leaves what is known by then."""
    return _Sketching(asked, time.monotonic() + seconds).run(progress)


class _Sketching:
    """The work of `sketched`, with its clock."""

    def __init__(self, asked: Asked, deadline: float) -> None:
        self.asked, self.deadline = asked, deadline
        self.first: dict[int, int] = {}
        self.wanted: dict[int, int] = {}
        self.bound: int | None = None
        self.values: Counts | None = None
        self.learnt: dict[int, list[Condition]] = {at: [] for at in asked.outlines}
        cost: list[float] = []
        high: list[float] = []
        for at, outline in asked.outlines.items():
            self.first[at] = len(cost)
            cost += self._cost(outline.projection)
            high += outline.projection.high
        self.live = Live(cost, high)
        self.plugs = [
            (at, Plugs(rows, outline.projection.most)) for at, outline in asked.outlines.items() for rows in outline.projection.parts
        ]
        self._add_rows()

    def _cost(self, projection: Projection) -> list[float]:
        found = [float(cents) for cents in projection.cost]
        for group, columns in projection.served.items():
            for at in columns:
                found[at] -= self.asked.prices.get(group, 0)
        return found

    def _add_rows(self) -> None:
        for at, outline in self.asked.outlines.items():
            for row in outline.projection.rows:
                self._add(at, [column for column, _ in row.kept], [factor for _, factor in row.kept], row.limit, equal=row.equal)
            for condition in outline.conditions:
                self._add(at, condition.columns, condition.factors, condition.limit)
        for group, number in self.asked.wanted.items():
            served = [column for at in self.first for column in self._served(at, group)]
            if served or number:
                self.wanted[group] = self.live.rows
                self.live.add(served, [1.0] * len(served), float(number), float(number))
        for cut in self.asked.cuts:
            self._add_cut(cut)

    def _add(self, block: int, columns: Sequence[int], factors: Sequence[float], limit: float, *, equal: bool = False) -> None:
        self.live.add([self.first[block] + at for at in columns], factors, limit if equal else -inf, limit)

    def _served(self, block: int, group: int) -> list[int]:
        return [self.first[block] + at for at in self.asked.outlines[block].projection.served.get(group, ())]

    def _add_cut(self, cut: Cut) -> None:
        """Cost less what is served at some prices is no less than was proven, in euros: small factors keep the solver accurate."""
        terms: dict[int, float] = {}
        for block in sorted(cut.blocks):
            projection = self.asked.outlines[block].projection
            terms |= {self.first[block] + at: float(cents) for at, cents in enumerate(projection.cost) if cents}
            for group, price in cut.prices.items():
                for at in self._served(block, group):
                    terms[at] = terms.get(at, 0.0) - price
        self.live.add(list(terms), [factor / 100 for factor in terms.values()], cut.least / 100)

    def run(self, progress: Progress | None) -> Sketch:
        try:
            stop = self._search(progress)
        except KeyboardInterrupt:
            stop = Stop.INTERRUPTED
        return Sketch(stop, self.bound, {} if self.values is None else self._apart(self.values), self._learnt())

    def _search(self, progress: Progress | None) -> Stop:
        """Whole counts until plugs are possible for them; why it stopped."""
        self._meet_in_fractions()
        for _ in range(TIMES):
            answer = self._solve(progress)
            proven = proven_bound(answer, self.asked.gap or self.asked.within)
            self.bound = max((known for known in (self.bound, proven) if known is not None), default=None)
            self.values = self.live.values() if answer.found else None
            if self.values is None or self._met(self.values) or answer.stop is not Stop.PROVEN:
                break
        return answer.stop

    def _apart(self, values: Counts) -> dict[int, Counts]:
        """The counts of each block."""
        return {at: values[first : first + self._size(at)] for at, first in self.first.items()}

    def marginal(self) -> Marginal:
        self._meet_in_fractions()
        found = self.live.relax(self._left_s())
        prices = {} if found is None else {group: found.duals[row] for group, row in self.wanted.items()}
        return Marginal(prices, self._learnt())

    def _solve(self, progress: Progress | None) -> Answer:
        return self.live.solve(self.asked.gap, self.asked.within, self._left_s(), self._start(), progress)

    def _start(self) -> list[int] | None:
        """The counts known, where those of every block are."""
        if not self.asked.starts.keys() >= self.first.keys():
            return None
        return [count for at in self.first for count in self.asked.starts[at]]

    def _size(self, block: int) -> int:
        return len(self.asked.outlines[block].projection.cost)

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _meet_in_fractions(self) -> None:
        """What counts in fractions do not meet is learnt first: that costs a linear program each time."""
        while self._left_s() > 0:
            found = self.live.relax(self._left_s())
            if found is None or self._met(found.columns):
                return

    def _met(self, counts: Sequence[float]) -> bool:
        """Whether plugs are possible for counts; what they do not meet is added."""
        before = self.live.rows
        for at, plugs in self.plugs:
            condition = plugs.lacking(counts[self.first[at] : self.first[at] + self._size(at)], self._left_s())
            if condition is not None:
                self.learnt[at].append(condition)
                self._add(at, condition.columns, condition.factors, condition.limit)
        return self.live.rows == before

    def _learnt(self) -> dict[int, tuple[Condition, ...]]:
        return {at: tuple(found) for at, found in self.learnt.items() if found}
