"""Some blocks together: so many devices of each shared group served between them, every unit packed exactly.

They are sketched in counts first, and each block is then laid out as sketched; where that cannot be, one program looks on. Costs here
are without what is paid whatever is chosen. Everything that goes in and comes out is plain, so that it may be done in another process.
"""

import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from math import inf

import pulp

from equipsel.program.adapter import Answer as Solved
from equipsel.program.adapter import Stop, solve
from equipsel.program.answer import Answer, answer_of
from equipsel.program.block_program import Cut, Program, money_of, program, programs, proven_bound
from equipsel.program.blocks import Block
from equipsel.program.layout import Unpacked, lay_out
from equipsel.program.model import Refinement
from equipsel.program.plugs import Condition
from equipsel.program.projection import Counts
from equipsel.program.rows import Terms
from equipsel.program.rules import batteries_of, chosen_units
from equipsel.program.search import MENDING_EFFORT, MENDING_ROUNDS, Found
from equipsel.program.sketch import Asked, Outline, Sketch, sketched

LAYING_S, LAYING_SHARE = 0.3, 0.5
"""Seconds kept for laying out each block that is sketched, and the most of the time allowed that is kept for it (our own limits)."""


@dataclass(frozen=True, slots=True)
class Settled:
    """A block as it stands: its cost in cents, how many of each shared group it serves, its units, its counts (None: not known)."""

    cost: int
    served: Mapping[int, int]
    answer: Answer
    counts: Counts | None


@dataclass(frozen=True, slots=True)
class Task:
    """What is asked of some blocks: how many of each shared group they serve between them; when the search may stop.

    outlines: what is known of the counts of each; cuts: what is known of some of them; learnt: what the search has learnt of each;
    beat: only what costs less is of use, in cents; effort: steps of the search at most; starts: counts known of each block, that
    together serve what is asked; standing: blocks that stand, to be left alone where their counts stay as they are; exact: whether it is
    looked for on where what is laid out is dearer than its sketch.
    """

    blocks: Mapping[int, Block]
    outlines: Mapping[int, Outline]
    wanted: Mapping[int, int]
    cuts: tuple[Cut, ...]
    learnt: Mapping[int, Refinement]
    gap: float
    seconds: float
    beat: int | None = None
    effort: int | None = None
    starts: Mapping[int, Counts] = field(default_factory=dict)
    standing: Mapping[int, Settled] = field(default_factory=dict)
    exact: bool = False


@dataclass(frozen=True, slots=True)
class Together:
    """What was found: why it stopped, each block as it stands (none: nothing found), the bound on their cost, what was learnt."""

    stop: Stop
    settled: Mapping[int, Settled] = field(default_factory=dict)
    bound: int | None = None
    learnt: Mapping[int, Refinement] = field(default_factory=dict)
    conditions: Mapping[int, tuple[Condition, ...]] = field(default_factory=dict)

    @property
    def cost(self) -> int:
        """What the blocks cost, in cents."""
        return sum(item.cost for item in self.settled.values())


def settle(task: Task, progress: Callable[[float, float], None] | None = None) -> Together:
    """The cheapest way for some blocks to serve what they are asked to, and its bound; Ctrl-C gives what is known by then.

    Raises KeyboardInterrupt where it comes while units are packed.
    """
    return _Joint(task, progress).run()


class _Joint:
    """The work of `settle`, with its clock."""

    def __init__(self, task: Task, progress: Callable[[float, float], None] | None) -> None:
        self.task, self.progress = task, progress
        self.deadline = time.monotonic() + task.seconds
        self.learnt = dict(task.learnt)
        self.conditions: Mapping[int, tuple[Condition, ...]] = {}
        self.best: Mapping[int, Settled] = {}
        self.bound: int | None = None

    def run(self) -> Together:
        sketch = self._sketched()
        if sketch.counts:
            self._lay_out(sketch)
        if sketch.stop is not Stop.PROVEN:
            return self._together(sketch.stop)
        if self._good_enough():
            return self._together(Stop.PROVEN)
        return self._packed_exactly() if self.task.exact or not self.best else self._together(Stop.LIMIT)

    def _sketched(self) -> Sketch:
        """The best counts, and the bound they give."""
        task = self.task
        shared = {group: 0 for block in task.blocks.values() for group in block.shared}
        asked = Asked(task.outlines, {**shared, **task.wanted}, cuts=task.cuts, starts=task.starts, gap=task.gap)
        kept = min(LAYING_S * len(task.blocks), LAYING_SHARE * self._left_s())
        tell = self.progress
        found = sketched(asked, self._left_s() - kept, None if tell is None else lambda _, bound: tell(inf, bound))
        self.conditions, self.bound = found.conditions, found.bound
        return found

    def _lay_out(self, sketch: Sketch) -> None:
        """Every block as it is sketched, where that is cheaper than what is known."""
        outlines, beaten = self.task.outlines, self._beaten()
        cost = sum(outlines[at].projection.cost_of(counts) for at, counts in sketch.counts.items())
        if beaten is not None and cost >= beaten:
            return
        found: dict[int, Settled] = {}
        for at, counts in sketch.counts.items():
            standing = self.task.standing.get(at)
            laid = standing if standing is not None and standing.counts == counts else self._laid(at, counts)
            if laid is None:
                return
            found[at] = laid
        self._keep(found)

    def _laid(self, at: int, counts: Counts) -> Settled | None:
        """A block as sketched, packed exactly; if need be with one more of each unit. None where that is not found soon."""
        projection = self.task.outlines[at].projection
        units = {index: counts[column] for index, column in projection.units.items()}
        served = projection.served_by(counts)
        among = projection.stand_ins.may_be(units)
        item = self._fixed(at, units, among, served)
        answer = self._solve({at: item})
        if answer.stop is Stop.INTERRUPTED:
            raise KeyboardInterrupt
        if answer.found:
            try:
                return self._settled(at, item)
            except Unpacked as lesson:
                self.learnt[at] = replace(lesson.refinement, among=None)
        return self._mended(at, {index: number + 1 for index, number in among.items()}, served)

    def _fixed(self, at: int, units: Mapping[int, int], among: dict[int, int], served: Mapping[int, int]) -> Program:
        """The program of a block with so many units of each build and of those it stands for, and so many shared devices served."""
        item = program(self.task.blocks[at], replace(self.learnt.get(at, Refinement()), among=among))
        one_for = self.task.outlines[at].projection.stand_ins.one_for
        terms: dict[int, Terms] = {}
        for one in item.model.bins:
            terms.setdefault(one_for(item.model.index[one.build]), []).append((1, one.count))
        for index, of_build in terms.items():
            item.model.rows.equal(f"units{index}", of_build, units.get(index, 0))
        for group, plugged in item.served.items():
            item.model.rows.equal(f"shared{group}-served", plugged, served.get(group, 0))
        return item

    def _packed_exactly(self) -> Together:
        """One program that packs every unit, and learns from what it cannot pack."""
        while True:
            items = self._programs()
            answer = self._solve(items, self.progress)
            if answer.stop is Stop.INTERRUPTED:
                return self._interrupted(items, answer)
            if answer.stop is Stop.INFEASIBLE and self._beaten() is not None:
                self.bound = self._beaten()
                return self._together(Stop.PROVEN)
            self._raise_bound(answer)
            if not answer.found:
                return self._together(answer.stop)
            if self._packed(items) or self._good_enough():
                return self._together(answer.stop)
            if answer.stop is not Stop.PROVEN or self._left_s() <= 0:
                return self._together(Stop.LIMIT if answer.stop is Stop.PROVEN else answer.stop)

    def _interrupted(self, items: Mapping[int, Program], answer: Solved) -> Together:
        """What Ctrl-C leaves: what the solver holds, where it can be packed as it is, else the best before."""
        self._raise_bound(answer)
        if answer.found:
            with suppress(Unpacked):
                self._keep({at: self._settled(at, item) for at, item in items.items()})
        return self._together(Stop.INTERRUPTED)

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _together(self, stop: Stop) -> Together:
        return Together(stop, self.best, self.bound, self.learnt, self.conditions)

    def _beaten(self) -> int | None:
        """What only less than is of use."""
        return _cost(self.best) if self.best else self.task.beat

    def _good_enough(self) -> bool:
        """Whether nothing is cheaper than the best known by more than the gap."""
        beaten = self._beaten()
        return beaten is not None and self.bound is not None and beaten - self.bound <= self.task.gap * beaten

    def _programs(self) -> dict[int, Program]:
        """The programs of all blocks; where something is known, only what costs less is of use."""
        shared = {group: 0 for block in self.task.blocks.values() for group in block.shared}
        found = programs(self.task.blocks, {**shared, **self.task.wanted}, self.task.cuts, self.learnt)
        beaten = self._beaten()
        if beaten is not None:
            rows = next(iter(found.values())).model.rows
            rows.at_most("beat-the-best", money_of(found.values()), beaten - 1)
        return found

    def _solve(self, items: Mapping[int, Program], progress: Callable[[float, float], None] | None = None) -> Solved:
        problem = next(iter(items.values())).model.rows.problem
        problem.setObjective(pulp.lpSum(factor * variable for factor, variable in money_of(items.values())))
        return solve(problem, self.task.gap, self._left_s(), self.task.effort, progress)

    def _raise_bound(self, answer: Solved) -> None:
        bound = proven_bound(answer, self.task.gap)
        if bound is not None:
            self.bound = bound if self.bound is None else max(self.bound, bound)
            if self.best:
                self.bound = min(self.bound, _cost(self.best))

    def _packed(self, items: Mapping[int, Program]) -> bool:
        """Whether every unit could be packed; else what that teaches is kept, and the units chosen are packed exactly."""
        found, unpacked = {}, []
        for at, item in items.items():
            try:
                found[at] = self._settled(at, item)
            except Unpacked as lesson:
                unpacked.append(at)
                self.learnt[at] = lesson.refinement
        for at in unpacked:
            mended = self._mended(at, chosen_units(items[at].model, 1), items[at].numbers())
            if mended is None:
                return False
            found[at] = mended
        self._keep(found)
        return not unpacked

    def _keep(self, found: Mapping[int, Settled]) -> None:
        beaten = self._beaten()
        if beaten is None or _cost(found) < beaten:
            self.best = dict(sorted(found.items()))

    def _mended(self, at: int, units: dict[int, int], served: Mapping[int, int]) -> Settled | None:
        """The cheapest exact packing of up to so many units of each build; None where none is found soon."""
        known = replace(self.learnt.get(at, Refinement()), only=units)
        for _ in range(MENDING_ROUNDS):
            task = replace(
                self.task, blocks={at: self.task.blocks[at]}, wanted=served, cuts=(), learnt={at: known}, gap=0.0,
                seconds=self._left_s(), beat=None, effort=MENDING_EFFORT,
            )  # fmt: skip
            exact = _Joint(task, None)
            items = exact._programs()
            answer = exact._solve(items)
            if answer.stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt
            if not answer.found:
                return None
            try:
                return self._settled(at, items[at])
            except Unpacked as lesson:
                known = replace(lesson.refinement, only=known.only)
        return None

    def _settled(self, at: int, item: Program) -> Settled:
        """A solved block, packed. Raises Unpacked."""
        layout = lay_out(item.model)
        answer = answer_of(Found(Stop.PROVEN, layout, batteries_of(item.model), item.cost()), self.task.blocks[at].problem)
        return Settled(item.cost(), item.numbers(), answer, self.task.outlines[at].projection.counts_of(item))


def _cost(settled: Mapping[int, Settled]) -> int:
    return sum(item.cost for item in settled.values())
