"""A kit for a large part of a site that holds together: block by block first, then windows of neighbouring blocks once more.

A block is a set of places whose switches may be fed from each other; devices with a choice of places tie blocks together. In a
window everything outside is as it is: its places serve the devices they serve, and the choice is among the rest.
"""

import time
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from equipsel.feeds.fed import FedBuild
from equipsel.feeds.ways import Group
from equipsel.program.adapter import Stop
from equipsel.program.answer import Answer, Taken, answer_of, joined
from equipsel.program.layout import Layout
from equipsel.program.model import Problem
from equipsel.program.parts import Part, Union, cut, places_of
from equipsel.program.search import Search, Ties

WINDOW_GAP = 0.001
"""The gap at which a window is good enough; it comes round again beside others (our own limit)."""

WINDOW_S = 8.0
"""Seconds for one window at most (our own limit)."""

Price = Callable[[Layout, dict[tuple[str, str], int]], int]
"""The bill of some units in cents."""


@dataclass(frozen=True)
class Blocks:
    """The blocks of a problem: the places of each, and which blocks share a group of devices."""

    places: tuple[frozenset[str], ...]
    near: tuple[frozenset[int], ...]


def blocks(problem: Problem) -> Blocks:
    """Places that switches may be fed across are one block; neighbours share devices with a choice."""
    together = Union()
    for build in problem.builds:
        if isinstance(build, FedBuild):
            together.join((build.place, build.fed[1].place))
    names: dict[str, list[str]] = {}
    for name in problem.site.scenario.place:
        names.setdefault(together.root(name), []).append(name)
    number = {name: at for at, held in enumerate(names.values()) for name in held}
    near: dict[int, set[int]] = defaultdict(set)
    for group in problem.groups:
        shared = {number[name] for name in places_of(group)}
        for at in shared:
            near[at] |= shared - {at}
    return Blocks(tuple(frozenset(held) for held in names.values()), tuple(frozenset(near[at]) for at in range(len(names))))


class Windows:
    """The best kit so far of a problem, block by block, and the clock."""

    def __init__(self, problem: Problem, found: Blocks, price: Price, deadline: float) -> None:
        """Know the blocks; there is no kit yet."""
        self.problem, self.blocks, self.price, self.deadline = problem, found, price, deadline
        self.block_of = {name: at for at, places in enumerate(found.places) for name in places}
        self.kept: dict[int, tuple[Part, Answer]] = {}

    def first(self) -> bool:
        """Every block alone with the devices whose first run leads there; whether that gives a kit."""
        home = {at: self.block_of[places_of(group)[0]] for at, group in enumerate(self.problem.groups)}
        for block in range(len(self.blocks.places)):
            counts = {at: self.problem.groups[at].count for at, where in home.items() if where == block}
            answer = self._search(self._part({block}, counts), 0.0)
            if answer is None:
                return False
        return True

    def improve(self, tell: Callable[[], None]) -> None:
        """Windows in turn until no block's has helped since the last round, or time is up."""
        waiting = dict.fromkeys(range(len(self.blocks.places)))
        while waiting and self._left_s() > 0:
            block = next(iter(waiting))
            del waiting[block]
            if self._window({block, *self.blocks.near[block]}):
                waiting |= dict.fromkeys([*sorted(self.blocks.near[block]), block])
                tell()

    def layout(self) -> tuple[Layout, dict[tuple[str, str], int]]:
        """The units of all blocks, and their batteries."""
        return joined(self.problem, self.kept.values())

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _window(self, window: set[int]) -> bool:
        """Choose again for some blocks, all else as it is; whether that is cheaper."""
        counts: dict[int, int] = defaultdict(int)
        for block in window:
            for group, number in self._served(block).items():
                counts[group] += number
        before = {block: self.kept[block] for block in window if block in self.kept}
        cost = self.price(*joined(self.problem, before.values()))
        part = self._part(window, counts)
        answer = self._search(part, WINDOW_GAP)
        if answer is None:
            return False
        if self.price(*joined(self.problem, [self.kept[block] for block in window if block in self.kept])) < cost:
            return True
        for block in window:
            self.kept.pop(block, None)
        self.kept |= before
        return False

    def _served(self, block: int) -> dict[int, int]:
        found: dict[int, int] = defaultdict(int)
        if block in self.kept:
            part, answer = self.kept[block]
            for _, taken in answer.units:
                for item in taken:
                    if item.way is not None:
                        found[part.groups[item.way[0]]] += 1
        return found

    def _part(self, window: set[int], counts: dict[int, int]) -> Part:
        places = frozenset(name for block in window for name in self.blocks.places[block])
        return cut(self.problem, places, {group: number for group, number in sorted(counts.items()) if number})

    def _search(self, part: Part, gap: float) -> Answer | None:
        """The answer to a part, kept block by block; None where none was found in time. Raises KeyboardInterrupt."""
        found = Search(part.problem, gap, min(WINDOW_S, self._left_s()), ties=Ties.NONE).run()
        if found.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
        if found.layout is None:
            return None
        answer = answer_of(found, part.problem)
        for block, own in self._by_block(part, answer):
            self.kept[block] = (part, own)
        return answer

    def _by_block(self, part: Part, answer: Answer) -> Iterator[tuple[int, Answer]]:
        """An answer's units and batteries by block: switches are fed within their block."""
        builds = [self.block_of[part.problem.builds[build].place] for build, _ in answer.units]
        names = [self.block_of[name] for name in part.problem.site.scenario.place]
        for block in sorted(set(names)):
            numbers = {old: new for new, old in enumerate(at for at, where in enumerate(builds) if where == block)}
            units = tuple((answer.units[old][0], tuple(_renumbered(item, numbers) for item in answer.units[old][1])) for old in numbers)
            batteries = tuple(row for row in answer.batteries if names[row[0]] == block)
            yield block, replace(answer, units=units, batteries=batteries)


def _renumbered(taken: Taken, numbers: dict[int, int]) -> Taken:
    return taken if taken.unit is None else replace(taken, unit=numbers[taken.unit])


def shared(group: Group) -> bool:
    """Whether its devices have a choice of places."""
    return len(set(places_of(group))) > 1
