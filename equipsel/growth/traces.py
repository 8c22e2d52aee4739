"""Several cost curves on the same processes: each has its share of them, those that are over make room for the next."""

from collections.abc import Iterator, Sequence
from typing import Any

from equipsel.growth.points import Curve, CurveQuestion
from equipsel.growth.search import ReasonsTask, SearchTask
from equipsel.growth.trace import Trace
from equipsel.kit import Kit


class Traces:
    """The curves asked for, and the searches given out, by their position."""

    def __init__(self, questions: Sequence[CurveQuestion], today: Kit, number: int) -> None:
        """Begin all with today's kit; so many searches may be under way at a time."""
        lanes = max(1, number // max(len(questions), 1))
        self.traces = [Trace(at, question, today, lanes) for at, question in enumerate(questions)]
        self.number = number
        self.given: list[SearchTask | ReasonsTask] = []
        self.back = 0

    def tasks(self) -> Iterator[SearchTask | ReasonsTask | None]:
        """The searches to do; None where something must come back first."""
        while (task := self._next()) or self.under_way:
            if task:
                self.given.append(task)
            yield task

    @property
    def under_way(self) -> int:
        """How many searches have not come back."""
        return len(self.given) - self.back

    def _next(self) -> SearchTask | ReasonsTask | None:
        if self.under_way >= self.number:
            return None
        return next((task for trace in self.traces if (task := trace.next())), None)

    def take(self, position: int, result: Any) -> None:
        """Keep what came back."""
        task = self.given[position]
        self.back += 1
        self.traces[task.curve].take(task, result)

    @property
    def left(self) -> int:
        """How many points are still open."""
        return sum(trace.left for trace in self.traces)

    def over(self) -> bool:
        """Whether nothing that is under way is needed any more."""
        return all(trace.over() for trace in self.traces)

    def curves(self) -> dict[int, Curve]:
        """What is known of each by now."""
        for trace in self.traces:
            trace.settle()
        return {at: trace.found for at, trace in enumerate(self.traces)}
