"""Whether a changed site has any kit, each question with its share of the time, answers remembered."""

import time
from collections.abc import Callable
from dataclasses import replace
from enum import StrEnum

from equipsel.program.adapter import Stop
from equipsel.program.model import Problem
from equipsel.program.of_site import powered
from equipsel.program.parts import parts
from equipsel.program.restriction import FREE, Restriction
from equipsel.program.search import any_kit
from equipsel.site import Site

QUESTION_S = 4.0
"""Seconds for one question at most (our own limit)."""

LAST_S = 3 * QUESTION_S
"""Seconds for one on which a claim hangs (our own limit)."""


Tell = Callable[[int], None]
"""Called with the number of questions answered so far."""


class Verdict(StrEnum):
    """Whether there is a kit."""

    KIT = "kit"
    NONE = "none"
    UNKNOWN = "unknown"


class Judge:
    """Answers whether sites have a kit until its time is up; from then on it does not know."""

    def __init__(self, seconds: float, restriction: Restriction = FREE, tell: Tell | None = None) -> None:
        """Start the clock; know what a kit must keep to beside the rules, and who is told how many answers there are."""
        self.deadline, self.restriction, self.tell = time.monotonic() + seconds, restriction, tell
        self.answered = 0

    @property
    def left_s(self) -> float:
        """Seconds left."""
        return self.deadline - time.monotonic()

    def verdict(self, site: Site, seconds: float = QUESTION_S) -> Verdict:
        """Whether a site has any kit, within so many seconds. Raises KeyboardInterrupt where Ctrl-C ended the search."""
        if self.left_s <= 0:
            return Verdict.UNKNOWN
        self.answered += 1
        if self.tell:
            self.tell(self.answered)
        asked = powered(site, self.restriction)
        return self._of_parts(asked.problem(priced=False), seconds) if asked.possible else Verdict.NONE

    def _of_parts(self, problem: Problem, seconds: float) -> Verdict:
        until = time.monotonic() + min(seconds, self.left_s)
        unknown = False
        for part in parts(problem):
            stop = _any_kit(part.problem, until)
            if stop is Stop.INTERRUPTED:
                raise KeyboardInterrupt
            if stop is Stop.INFEASIBLE:
                return Verdict.NONE
            unknown = unknown or stop is not Stop.PROVEN
        return Verdict.UNKNOWN if unknown else Verdict.KIT


def _any_kit(problem: Problem, until: float) -> Stop:
    """Whether there is any kit: one without fed switches first, then one with few in a row, since those are quickly found."""
    stop, levels = Stop.LIMIT, sorted({build.level for build in problem.builds})
    for level in levels or [0]:
        fewer = replace(problem, builds=[build for build in problem.builds if build.level <= level])
        stop = any_kit(fewer, until - time.monotonic())
        if stop in (Stop.PROVEN, Stop.INTERRUPTED):
            return stop
    return stop
