"""A better kit for blocks that devices with a choice tie together: windows of neighbouring blocks, all else as it is."""

import time
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from equipsel.program.adapter import Stop
from equipsel.program.block_program import Cut
from equipsel.program.blocks import Blocks
from equipsel.program.columns import Columns, Key, key_of
from equipsel.program.joint import Settled, Task, Together, settle
from equipsel.program.model import Refinement
from equipsel.program.outlines import Outlines
from equipsel.program.projection import Counts
from equipsel.sweep import in_order, sweep
from equipsel.workers import Workers, waiting

WINDOW_GAP = 0.001
"""The gap at which a window is good enough; it comes round again beside others (our own limit)."""

ALONE_S, BLOCK_S = 8.0, 3.0
"""Seconds for a block alone at most, and for each block of a window (our own limits)."""


@dataclass
class Standing:
    """The best kit so far block by block (empty: none), what each block was seen to do, what was learnt and proven of each."""

    blocks: Blocks
    columns: Columns
    outlines: Outlines
    executor: Workers | None
    cuts: list[Cut]
    slack: Callable[[int, Settled], int]
    kept: dict[int, Settled] = field(default_factory=dict)
    seen: dict[tuple[int, Key], Settled] = field(default_factory=dict)
    learnt: dict[int, Refinement] = field(default_factory=dict)

    def cost(self) -> int:
        """What the best kit costs, without what is paid whatever is chosen, in cents."""
        return sum(item.cost for item in self.kept.values())

    def choose(self, served: Mapping[int, Mapping[int, int]], gap: float, deadline: float) -> bool:
        """Settle every block with what it is to serve, to a gap; whether that is a kit, and the best so far.

        What was laid out before, or cannot be, is not laid out again.
        """
        keys = {at: (at, key_of(numbers)) for at, numbers in served.items()}
        if not self.columns.impossible.isdisjoint(keys.values()):
            return False
        asked = [at for at in keys if keys[at] not in self.seen]
        tasks = (self._alone(at, served[at], gap, deadline) for at in asked if deadline > time.monotonic())
        for number, found in in_order(sweep(settle, tasks, self.executor)):
            self._take(found)
            if not found.settled:
                if found.stop is Stop.INFEASIBLE:
                    self.columns.impossible.add(keys[asked[number]])
                return False
        if any(key not in self.seen for key in keys.values()):
            return False
        chosen = {at: self.seen[key] for at, key in keys.items()}
        if self.kept and sum(item.cost for item in chosen.values()) >= self.cost():
            return False
        self.kept = chosen
        return True

    def narrow(self, deadline: float, tell: Callable[[], None]) -> None:
        """Windows of two blocks, until none helps or time is up."""
        self._each(self.blocks.pairs(), deadline, tell)

    def widen(self, deadline: float, tell: Callable[[], None]) -> None:
        """Windows of a block and its neighbours, then of those and theirs, until none helps or time is up; the whole is none."""
        windows = [frozenset({at}) for at in range(len(self.blocks.all))]
        while deadline > time.monotonic():
            wider = [window.union(*(self.blocks.near[at] for at in window)) for window in windows]
            if wider == windows or max(map(len, wider)) == len(wider):
                return
            windows = wider
            self._each(windows, deadline, tell)

    def _each(self, windows: list[frozenset[int]], deadline: float, tell: Callable[[], None]) -> None:
        """Windows until none helps or time is up, those that share no block at the same time."""
        waiting = set(range(len(windows)))
        while deadline > time.monotonic():
            chosen = self._apart(windows, waiting)
            if not chosen:
                return
            waiting.difference_update(chosen)
            tasks = (self._window(windows[at], deadline) for at in chosen if deadline > time.monotonic())
            for number, found in in_order(sweep(settle, tasks, self.executor)):
                if found.settled:
                    self.kept |= found.settled
                    waiting |= {at for at, window in enumerate(windows) if window & windows[chosen[number]]}
                    tell()
                self._take(found)

    def _apart(self, windows: list[frozenset[int]], waiting: set[int]) -> list[int]:
        """Windows that share no block, of those that wait and may gain anything; those that may gain most first."""
        gains = {at: sum(self.slack(block, self.kept[block]) for block in windows[at]) for at in sorted(waiting)}
        least = {at: WINDOW_GAP * sum(self.kept[block].cost for block in windows[at]) for at in gains}
        taken: set[int] = set()
        found = []
        for at in sorted(gains, key=lambda one: -gains[one]):
            if gains[at] > least[at] and not windows[at] & taken:
                taken |= windows[at]
                found.append(at)
        return found

    def _window(self, window: frozenset[int], deadline: float) -> Task:
        served: Counter[int] = Counter()
        for at in window:
            served.update(self.kept[at].served)
        before = sum(self.kept[at].cost for at in window)
        return self.task(window, served, WINDOW_GAP, self._until(deadline, BLOCK_S * len(window)), self.starts(window), before)

    def starts(self, blocks: Iterable[int]) -> dict[int, Counts]:
        """The counts of the best kit so far, where they are known."""
        return {at: counts for at in sorted(blocks) if (counts := self.kept[at].counts) is not None}

    def _alone(self, block: int, served: Mapping[int, int], gap: float, deadline: float) -> Task:
        start = self.columns.counts_of.get((block, key_of(served)))
        return self.task([block], served, gap, self._until(deadline, ALONE_S), {} if start is None else {block: start})

    def _until(self, deadline: float, seconds: float) -> float:
        """When a task of so many seconds is to end: another may be before it with the process that it is given to."""
        now = time.monotonic()
        return min(now + (deadline - now) / waiting(self.executor), now + seconds)

    def task(
        self,
        blocks: Iterable[int],
        wanted: Mapping[int, int],
        gap: float,
        deadline: float,
        starts: Mapping[int, Counts],
        beat: int | None = None,
    ) -> Task:
        """What to ask of some blocks, with all that is known of them."""
        asked = self.blocks.some(blocks)
        cuts = tuple(cut for cut in self.cuts if cut.blocks <= asked.keys())
        learnt = {at: self.learnt[at] for at in asked if at in self.learnt}
        standing = {} if beat is None else {at: self.kept[at] for at in asked}
        seconds = max(deadline - time.monotonic(), 0.0)
        return Task(asked, self.outlines.some(asked), dict(wanted), cuts, learnt, gap, seconds, beat, starts=starts, standing=standing)

    def _take(self, found: Together) -> None:
        """Keep what was learnt, and what each block was seen to do at the least. Raises KeyboardInterrupt where Ctrl-C ended it."""
        self.learnt |= found.learnt
        self.outlines.learn(found.conditions)
        for at, item in found.settled.items():
            self.columns.add(at, item.served, item.cost, item.counts)
            key = (at, key_of(item.served))
            if key not in self.seen or item.cost < self.seen[key].cost:
                self.seen[key], self.columns.laid[key] = item, item.cost
        if found.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
