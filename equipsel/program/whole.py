"""The search over a whole site: its parts each alone, in this process or on several, and what they add up to."""

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from equipsel.program.adapter import Stop
from equipsel.program.answer import Answer, answer_of, joined
from equipsel.program.coupled import search
from equipsel.program.layout import Layout
from equipsel.program.model import Problem, Refinement
from equipsel.program.parts import Part, alike, parts
from equipsel.program.search import TIE_VARIABLES, Search, Ties
from equipsel.sweep import sweep
from equipsel.workers import Workers, workers

WORTH_PROCESSES = 24
"""Parts from which on processes are started: below that, starting them costs more than they save (our own limit)."""

WORST = (Stop.INFEASIBLE, Stop.INTERRUPTED, Stop.LIMIT, Stop.PROVEN)
"""How a whole stops, given how its parts did: the first of these that one of them shows."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How a search stands: cents of the best kit and of the bound (None: none yet); parts done, of how many."""

    best: int | None
    bound: int | None
    done: int = 0
    parts: int = 1


@dataclass(frozen=True, slots=True)
class Terms:
    """When a search may stop and who does it: relative gap, seconds, processes; who is told how it goes.

    ties: whether it matters which of the cheapest kits it is.
    """

    gap: float
    seconds: float
    workers: int = 1
    progress: Callable[[Standing], None] | None = None
    ties: bool = True


@dataclass(frozen=True)
class Result:
    """What was found over the site: why it stopped, the layout (None: none), batteries, what it may cost too much in cents.

    cost_cents: what the program reckons it costs, where the site is one program. hopeless: the parts for which there is no kit.
    """

    stop: Stop
    layout: Layout | None = None
    batteries: dict[tuple[str, str], int] = field(default_factory=dict)
    gap_cents: int = 0
    cost_cents: int | None = None
    hopeless: tuple[Problem, ...] = ()


@dataclass(frozen=True, slots=True)
class _Task:
    """A part to search: its problem, the gap, the seconds it may take, its ties."""

    problem: Problem
    gap: float
    seconds: float
    ties: Ties


def _search(task: _Task, executor: Workers | None = None) -> Answer:
    return answer_of(search(task.problem, task.gap, task.seconds, task.ties, executor=executor), task.problem)


class Whole:
    """One search over a site, with its clock."""

    def __init__(self, problem: Problem, terms: Terms) -> None:
        """Start the clock; find the parts."""
        self.problem, self.terms = problem, terms
        self.deadline = time.monotonic() + terms.seconds
        self.parts = parts(problem)
        self.answers: dict[int, Answer] = {}
        self.twins = self._twins()
        self.executor: Workers | None = None

    def run(self) -> Result:
        """The cheapest layout of the site."""
        with workers(self.terms.workers) as self.executor:  # its processes start when they are first needed
            return self._alone() if len(self.parts) <= 1 else self._apart()

    def _apart(self) -> Result:
        try:
            self._each(list(self.twins))
            self._each([first for first in self.twins if self._unproven(first)])
        except KeyboardInterrupt:
            if self.executor is not None:
                self.executor.stop()
        hopeless = tuple(self.parts[at].problem for at, answer in self.answers.items() if answer.stop is Stop.INFEASIBLE)
        if hopeless:
            return Result(Stop.INFEASIBLE, hopeless=hopeless)
        stops = {answer.stop for answer in self.answers.values()}
        if len(self.answers) < len(self.twins):
            stops.add(Stop.LIMIT)
        stop = next((worst for worst in WORST if worst in stops), Stop.PROVEN)
        answers = [(self.parts[at], self.answers[first]) for first, all_ in self.twins.items() for at in all_ if first in self.answers]
        if len(answers) < len(self.parts) or any(answer.cost_cents is None for _, answer in answers):
            return Result(stop)
        return self._settled(stop, answers)

    def _settled(self, stop: Stop, answers: list[tuple[Part, Answer]]) -> Result:
        """The answers together; where the site is small, ties are settled once more among all its kits."""
        layout, batteries = joined(self.problem, answers)
        if stop is Stop.PROVEN and self.terms.ties and self._small():
            better = self._ties_together(answers)
            if better is not None:
                layout, batteries = better
        return Result(stop, layout, batteries, sum(answer.gap_cents for _, answer in answers))

    def _twins(self) -> dict[int, list[int]]:
        """The parts to search, each with those that differ from it in names alone."""
        found: dict[int, list[int]] = {}
        known: dict[object, int] = {}
        for at, part in enumerate(self.parts):
            key = alike(part) if len(self.parts) > 1 else None
            found.setdefault(at if key is None else known.setdefault(key, at), []).append(at)
        return found

    def _left_s(self) -> float:
        return self.deadline - time.monotonic()

    def _alone(self) -> Result:
        ties = Ties.ALL if self.terms.ties else Ties.NONE
        found = search(self.problem, self.terms.gap, self._left_s(), ties, self._reporter(), self.executor)
        if found.stop is Stop.INFEASIBLE:
            return Result(found.stop, hopeless=(self.problem,))
        if found.layout is None or found.cost_cents is None:
            return Result(found.stop)
        gap = found.cost_cents - max(found.bound_cents or 0, 0)
        return Result(found.stop, found.layout, found.batteries, gap, found.cost_cents)

    def _unproven(self, first: int) -> bool:
        answer = self.answers.get(first)
        return answer is None or answer.stop is Stop.LIMIT

    def _each(self, wanted: list[int]) -> None:
        """Search parts, each with its share of the time that is left when it begins; many at the same time, few one after the other."""
        if len(wanted) >= WORTH_PROCESSES and self.executor is not None:
            found = sweep(_search, self._tasks(wanted, self.terms.workers), self.executor)
        else:
            found = ((at, _search(task, self.executor)) for at, task in enumerate(self._tasks(wanted, 1)))
        for at, answer in found:
            self._keep(wanted[at], answer)
            if answer.stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt

    def _tasks(self, wanted: list[int], number: int) -> Iterator[_Task]:
        sizes = [len(self.parts[at].groups) for at in wanted]
        for position, at in enumerate(wanted):
            left = self._left_s()
            if left <= 0:
                return
            share = min(left, left * number * sizes[position] / max(sum(sizes[position:]), 1))
            ties = Ties.UNITS if self.terms.ties else Ties.NONE
            yield _Task(self.parts[at].problem, self.terms.gap, share, ties)

    def _keep(self, at: int, answer: Answer) -> None:
        """Keep the better of two answers to a part, and the better of their bounds."""
        before = self.answers.get(at)
        self.answers[at] = answer if before is None else better(before, answer)
        if self.terms.progress:
            self.terms.progress(self._standing())

    def _standing(self) -> Standing:
        known = [(self.answers[first], len(all_)) for first, all_ in self.twins.items() if first in self.answers]
        done = sum(number for _, number in known)
        if done < len(self.parts) or any(answer.cost_cents is None for answer, _ in known):
            return Standing(None, None, done, len(self.parts))
        best = sum((answer.cost_cents or 0) * number for answer, number in known)
        return Standing(best, best - sum(answer.gap_cents * number for answer, number in known), done, len(self.parts))

    def _reporter(self) -> Callable[[int | None, int | None], None] | None:
        tell = self.terms.progress
        return None if tell is None else lambda best, bound: tell(Standing(best, bound))

    def _small(self) -> bool:
        return sum(self.answers[first].size * len(all_) for first, all_ in self.twins.items()) <= TIE_VARIABLES

    def _ties_together(self, answers: list[tuple[Part, Answer]]) -> tuple[Layout, dict[tuple[str, str], int]] | None:
        """Ties among all kits of the least cost of the whole site: fewer models is a matter of all its parts."""
        split: dict[int, int] = {}
        points: dict[int, tuple[int, ...]] = {}
        short: set[int] = set()
        chosen: dict[int, int] = {}
        for part, answer in answers:
            split |= {part.builds[at]: number for at, number in answer.refinement.split.items()}
            points |= {part.builds[at]: found for at, found in answer.refinement.points.items()}
            short |= {part.builds[at] for at in answer.refinement.short}
            for build, _ in answer.units:
                chosen[part.builds[build]] = chosen.get(part.builds[build], 0) + 1
        found = Search(self.problem, 0.0, self._left_s()).settle(Refinement(split, points, frozenset(short)), chosen)
        return None if found is None or found.layout is None else (found.layout, found.batteries)


def better(one: Answer, other: Answer) -> Answer:
    """The cheaper of two answers to the same part, with the better of their bounds and the surer of their ends."""
    if Stop.INFEASIBLE in (one.stop, other.stop):
        return one if one.stop is Stop.INFEASIBLE else other
    if other.cost_cents is None or (one.cost_cents is not None and one.cost_cents <= other.cost_cents):
        kept, left = one, other
    else:
        kept, left = other, one
    bound = max((item.bound_cents for item in (one, other) if item.bound_cents is not None), default=None)
    proven = Stop.PROVEN in (one.stop, other.stop) or (bound is not None and bound == kept.cost_cents)
    stop = Stop.PROVEN if proven else other.stop
    return Answer(stop, kept.cost_cents, bound, kept.units, kept.batteries, left.refinement, kept.size)
