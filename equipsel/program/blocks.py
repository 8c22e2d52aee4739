"""Blocks of a problem: places whose switches may be fed across, tied to other blocks by devices with a choice of places alone."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from equipsel.feeds.fed import FedBuild
from equipsel.program.model import Problem
from equipsel.program.parts import Part, Union, cut, places_of


@dataclass(frozen=True)
class Block:
    """A block: every group of the whole that can reach it; `shared`: those that can reach another one too, and their positions here."""

    part: Part
    shared: Mapping[int, int]

    @cached_property
    def problem(self) -> Problem:
        """The block alone; of shared groups it may serve as many as it likes."""
        return replace(self.part.problem, optional=frozenset(self.shared.values()))


@dataclass(frozen=True)
class Blocks:
    """All blocks of a problem; which share devices; how many devices of each shared group there are, and who can serve them."""

    problem: Problem
    all: tuple[Block, ...]
    near: tuple[frozenset[int], ...]
    counts: Mapping[int, int]
    holders: Mapping[int, frozenset[int]]

    def some(self, numbers: Iterable[int]) -> dict[int, Block]:
        """Some of them, by number."""
        return {at: self.all[at] for at in sorted(numbers)}

    def inner(self, numbers: frozenset[int]) -> dict[int, int]:
        """Shared groups that only some blocks can serve, and how many devices each has."""
        return {group: count for group, count in self.counts.items() if self.holders[group] <= numbers}

    def pairs(self) -> list[frozenset[int]]:
        """Blocks that share devices, two by two."""
        return sorted({frozenset({at, other}) for at, near in enumerate(self.near) for other in near}, key=sorted)


def blocks(problem: Problem) -> Blocks:
    """The blocks of a problem that any device can reach, in the order of their first places."""
    reached = {name for group in problem.groups for name in places_of(group)}
    places = [names for names in _places(problem) if names & reached]
    number = {name: at for at, held in enumerate(places) for name in held}
    reach = [sorted({number[name] for name in places_of(group)}) for group in problem.groups]
    shared = [at for at, found in enumerate(reach) if len(found) > 1]
    near: dict[int, set[int]] = defaultdict(set)
    held: dict[int, dict[int, int]] = defaultdict(dict)
    for at, found in enumerate(reach):
        for block in found:
            near[block] |= {*found} - {block}
            held[block][at] = problem.groups[at].count
    cuts = (cut(problem, names, held[at]) for at, names in enumerate(places))
    all_ = tuple(Block(part, {at: part.groups.index(at) for at in shared if at in part.groups}) for part in cuts)
    counts = {at: problem.groups[at].count for at in shared}
    holders = {at: frozenset(reach[at]) for at in shared}
    return Blocks(problem, all_, tuple(frozenset(near[at]) for at in range(len(all_))), counts, holders)


def _places(problem: Problem) -> list[frozenset[str]]:
    together = Union()
    for build in problem.builds:
        if isinstance(build, FedBuild):
            together.join((build.place, build.fed[1].place))
    names: dict[str, list[str]] = {}
    for name in problem.site.scenario.place:
        names.setdefault(together.root(name), []).append(name)
    return [frozenset(held) for held in names.values()]
