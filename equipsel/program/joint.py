"""Some blocks in one program: so many devices of each shared group served between them, every unit packed exactly.

Costs here are without what is paid whatever is chosen. Everything that goes in and comes out is plain, so that it may be done in
another process.
"""

import time
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from math import ceil, inf

import pulp

from equipsel.program.adapter import Answer as Solved
from equipsel.program.adapter import Stop, solve, whole
from equipsel.program.answer import Answer, answer_of
from equipsel.program.blocks import Block
from equipsel.program.layout import Unpacked, lay_out
from equipsel.program.model import Model, Refinement, Way
from equipsel.program.money import Money
from equipsel.program.rows import Rows, Terms, Variable
from equipsel.program.search import MENDING_EFFORT, MENDING_ROUNDS, Found, batteries_of, build_model, chosen_units

Prices = Mapping[int, int]
"""What serving one device of each shared group is worth, in cents."""


@dataclass(frozen=True, slots=True)
class Cut:
    """What was proven of some blocks: their cost - price x devices of each group served >= `least`, in cents.

    Groups without a price are those that only these blocks can serve, and do.
    """

    blocks: frozenset[int]
    prices: Prices
    least: int


@dataclass(frozen=True, slots=True)
class Start:
    """A solution of a block's program: what was learnt when it was made, and the values of its variables in their order."""

    learnt: Refinement
    values: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Settled:
    """A block as it stands: its cost in cents, how many of each shared group it serves, its units, the solution it was read from."""

    cost: int
    served: Mapping[int, int]
    answer: Answer
    start: Start


@dataclass(frozen=True, slots=True)
class Task:
    """What is asked of some blocks: how many of each shared group they serve between them; when the search may stop.

    cuts: what is known of some of them; learnt: what the search has learnt of each; beat: only what costs less is of use, in cents;
    effort: steps of the search at most; starts: a solution known of each block, that together serve what is asked (else none).
    """

    blocks: Mapping[int, Block]
    wanted: Mapping[int, int]
    cuts: tuple[Cut, ...]
    learnt: Mapping[int, Refinement]
    gap: float
    seconds: float
    beat: int | None = None
    effort: int | None = None
    starts: Mapping[int, Start] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Together:
    """What was found: why it stopped, each block as it stands (none: nothing found), the bound on their cost, what was learnt."""

    stop: Stop
    settled: Mapping[int, Settled] = field(default_factory=dict)
    bound: int | None = None
    learnt: Mapping[int, Refinement] = field(default_factory=dict)

    @property
    def cost(self) -> int:
        """What the blocks cost, in cents."""
        return sum(item.cost for item in self.settled.values())


@dataclass(frozen=True)
class Program:
    """The program of a block among others, how many of each shared group it serves, and its own variables in their order."""

    model: Model
    money: Money
    served: Mapping[int, Terms]
    variables: tuple[Variable, ...]

    def numbers(self) -> dict[int, int]:
        """How many of each shared group it serves, once it is solved."""
        counts = {at: sum(whole(variable) for _, variable in terms) for at, terms in self.served.items()}
        return {at: number for at, number in counts.items() if number}

    def cost(self) -> int:
        """What it costs, once it is solved, in cents."""
        return round(sum(factor * whole(variable) for factor, variable in self.money.terms))

    def start(self) -> Start:
        """The solution, once it is solved."""
        return Start(self.model.refinement, tuple(whole(variable) for variable in self.variables))


def program(block: Block, learnt: Refinement, rows: Rows | None = None) -> Program:
    """The program of a block; `rows`: of a program that holds more."""
    before = 0 if rows is None else len(rows.made)
    model, money = build_model(block.problem, learnt, rows)
    served: dict[int, Terms] = {at: [] for at in block.shared}
    whole_of = {position: at for at, position in block.shared.items()}
    for plug in model.plugs:
        if isinstance(plug.payload, Way) and plug.payload.group in whole_of:
            served[whole_of[plug.payload.group]].append((1, plug.count))
    return Program(model, money, served, tuple(model.rows.made[before:]))


def programs(
    blocks: Mapping[int, Block], wanted: Mapping[int, int], cuts: Iterable[Cut], learnt: Mapping[int, Refinement]
) -> dict[int, Program]:
    """The program of each block in shared rows, what they are to serve between them, and what is known of them."""
    rows = Rows("blocks")
    found = {at: program(block, learnt.get(at, Refinement()), rows) for at, block in blocks.items()}
    for group, number in wanted.items():
        rows.equal(f"shared{group}-served", [term for item in found.values() for term in item.served.get(group, ())], number)
    for number, cut in enumerate(cuts):
        some = [found[at] for at in sorted(cut.blocks)]
        rows.at_least(f"priced{number}", [*money_of(some), *worth(some, cut.prices)], cut.least)
    return found


def started(programs: Mapping[int, Program], starts: Mapping[int, Start]) -> dict[str, int] | None:
    """The solutions known as values of the variables of programs; None where one is missing, or was made knowing other things."""
    found: dict[str, int] = {}
    for at, item in programs.items():
        start = starts.get(at)
        if start is None or start.learnt != item.model.refinement:
            return None
        found |= {variable.name: value for variable, value in zip(item.variables, start.values, strict=True)}
    return found


def money_of(some: Iterable[Program]) -> Terms:
    """What programs cost, in cents."""
    return [term for item in some for term in item.money.terms]


def worth(some: Iterable[Program], prices: Prices) -> Terms:
    """What the devices they serve are worth at some prices, taken off the cost, in cents."""
    served = ((prices.get(group, 0), variable) for item in some for group, terms in item.served.items() for _, variable in terms)
    return [(-price, variable) for price, variable in served if price]


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
        self.best: Mapping[int, Settled] = {}
        self.bound: int | None = None

    def run(self) -> Together:
        while True:
            programs = self._programs()
            answer = self._solve(programs)
            if answer.stop is Stop.INTERRUPTED:
                return self._interrupted(programs, answer)
            if answer.stop is Stop.INFEASIBLE and self._beaten() is not None:
                self.bound = self._beaten()
                return self._together(Stop.PROVEN)
            self._raise_bound(answer)
            if not answer.found:
                return self._together(answer.stop)
            if self._packed(programs) or self._good_enough():
                return self._together(answer.stop)
            if answer.stop is not Stop.PROVEN or self._left_s() <= 0:
                return self._together(Stop.LIMIT if answer.stop is Stop.PROVEN else answer.stop)

    def _interrupted(self, programs: Mapping[int, Program], answer: Solved) -> Together:
        """What Ctrl-C leaves: what the solver holds, where it can be packed as it is, else the best before."""
        self._raise_bound(answer)
        if answer.found:
            with suppress(Unpacked):
                self._keep({at: _settled(item, self.task.blocks[at]) for at, item in programs.items()})
        return self._together(Stop.INTERRUPTED)

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _together(self, stop: Stop) -> Together:
        return Together(stop, self.best, self.bound, self.learnt)

    def _beaten(self) -> int | None:
        """What only less than is of use."""
        return _cost(self.best) if self.best else self.task.beat

    def _good_enough(self) -> bool:
        """Whether nothing is cheaper than the best known by more than the gap."""
        return bool(self.best) and self.bound is not None and _cost(self.best) - self.bound <= self.task.gap * _cost(self.best)

    def _programs(self) -> dict[int, Program]:
        """The programs of all blocks; where something is known but no solution to start from, only what costs less is of use."""
        shared = {group: 0 for block in self.task.blocks.values() for group in block.shared}
        found = programs(self.task.blocks, {**shared, **self.task.wanted}, self.task.cuts, self.learnt)
        beaten = self._beaten()
        if beaten is not None and started(found, self.task.starts) is None:
            rows = next(iter(found.values())).model.rows
            rows.at_most("beat-the-best", money_of(found.values()), beaten - 1)
        return found

    def _solve(self, programs: Mapping[int, Program]) -> Solved:
        problem = next(iter(programs.values())).model.rows.problem
        problem.setObjective(pulp.lpSum(factor * variable for factor, variable in money_of(programs.values())))
        return solve(problem, self.task.gap, self._left_s(), self.task.effort, self.progress, started(programs, self.task.starts))

    def _raise_bound(self, answer: Solved) -> None:
        bound = proven_bound(answer, self.task.gap)
        if bound is not None:
            self.bound = bound if self.bound is None else max(self.bound, bound)
            if self.best:
                self.bound = min(self.bound, _cost(self.best))

    def _packed(self, programs: Mapping[int, Program]) -> bool:
        """Whether every unit could be packed; else what that teaches is kept, and the units chosen are packed exactly."""
        found, unpacked = {}, []
        for at, item in programs.items():
            try:
                found[at] = _settled(item, self.task.blocks[at])
            except Unpacked as lesson:
                unpacked.append(at)
                self.learnt[at] = lesson.refinement
        for at in unpacked:
            mended = self._mended(at, programs[at])
            if mended is None:
                return False
            found[at] = mended
        self._keep(found)
        return not unpacked

    def _keep(self, found: Mapping[int, Settled]) -> None:
        beaten = self._beaten()
        if beaten is None or _cost(found) < beaten:
            self.best = dict(sorted(found.items()))

    def _mended(self, at: int, failed: Program) -> Settled | None:
        """The cheapest exact packing of up to one more of each unit a block chose; None where none is found soon."""
        known = replace(self.learnt[at], only=chosen_units(failed.model, 1))
        for _ in range(MENDING_ROUNDS):
            task = Task({at: self.task.blocks[at]}, failed.numbers(), (), {at: known}, 0.0, self._left_s(), effort=MENDING_EFFORT)
            exact = _Joint(task, None)
            programs = exact._programs()
            answer = exact._solve(programs)
            if answer.stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt
            if not answer.found:
                return None
            try:
                return _settled(programs[at], self.task.blocks[at])
            except Unpacked as lesson:
                known = replace(lesson.refinement, only=known.only)
        return None


def proven_bound(answer: Solved, gap: float) -> int | None:
    """The bound of a solved program in whole cents; the value itself where that was proven without a gap (HiGHS may tell less)."""
    if answer.stop is Stop.PROVEN and answer.found and not gap:
        return round(answer.value)
    return ceil(answer.bound - 1e-6) if -inf < answer.bound < inf else None


def _cost(settled: Mapping[int, Settled]) -> int:
    return sum(item.cost for item in settled.values())


def _settled(item: Program, block: Block) -> Settled:
    """A solved block, packed. Raises Unpacked."""
    layout = lay_out(item.model)
    answer = answer_of(Found(Stop.PROVEN, layout, batteries_of(item.model), item.cost()), block.problem)
    return Settled(item.cost(), item.numbers(), answer, item.start())
