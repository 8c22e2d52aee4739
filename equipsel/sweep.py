"""Independent pieces of work on processes of this machine, or on any executor; what comes back does not depend on how many."""

import signal
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from contextlib import contextmanager
from threading import current_thread, main_thread
from typing import Generic, TypeVar

from equipsel.workers import AHEAD, Workers

Task = TypeVar("Task")
Result = TypeVar("Result")

PATIENCE_S = 10.0
"""Seconds that a search is given after Ctrl-C to hand over its kit, re-checked (our own limit)."""

TRIES_ALONE = 2
"""How often a task that was under way when a worker died is tried again, with nothing beside it (our own limit)."""


class WorkerDied(Exception):  # noqa: N818 (the name says what happened)
    """A task whose worker died each time it was tried, as one does that needs more memory than there is."""


def in_order(results: Iterable[tuple[int, Result]]) -> Iterator[tuple[int, Result]]:
    """The results of a sweep by position, each as soon as those before it are there: what is made of them then repeats."""
    waiting: dict[int, Result] = {}
    following = 0
    for position, result in results:
        waiting[position] = result
        while following in waiting:
            yield following, waiting.pop(following)
            following += 1


def sweep(
    work: Callable[[Task], Result],
    tasks: Iterable[Task | None],
    executor: Executor | None = None,
    lost: Callable[[Task], Result] | None = None,
    patience_s: float = 0.0,
) -> Iterator[tuple[int, Result]]:
    """Each task's position and result, as they are finished; without an executor one after the other.

    Tasks are taken as there is room for them, so that any number of them fits into memory, and they may depend on the results read by
    then: None among them means that none is to be had before something under way has come back. `work` and the tasks must pickle where
    there is an executor. What the work raises is raised here. A task whose worker dies is tried again; one that outlives none gets
    the result that `lost` gives it, else WorkerDied is raised. Who stops reading leaves the tasks not yet begun undone.

    patience_s: after Ctrl-C, what is under way is stopped and given so many seconds to hand over its result, such as the best kit so far;
    then KeyboardInterrupt is raised. Ctrl-C once more raises it at once. It never comes between a result and what its reader makes of it.
    """
    if executor is None:
        for position, task in enumerate(_to_be_had(tasks)):
            yield position, work(task)
        return
    under_way = _UnderWay(work, iter(tasks), executor, lost)
    try:
        while under_way.fill():
            for result in under_way.finished():
                with _ctrl_c_held(bool(patience_s)):
                    yield result
    except KeyboardInterrupt:
        yield from under_way.handed_over(patience_s)
        raise
    finally:
        under_way.cancel()


@contextmanager
def _ctrl_c_held(held: bool) -> Iterator[None]:
    """Ctrl-C counts once this is over (where who reads goes on to the next), and twice at once. Signals are the main thread's alone."""
    before = signal.getsignal(signal.SIGINT)
    if not (held and callable(before) and current_thread() is main_thread()):
        yield
        return
    pressed: list[bool] = []

    def note(*_: object) -> None:
        if pressed:
            raise KeyboardInterrupt
        pressed.append(True)

    signal.signal(signal.SIGINT, note)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        raise KeyboardInterrupt


def _to_be_had(tasks: Iterable[Task | None]) -> Iterator[Task]:
    """The tasks that can be done one after the other."""
    for task in tasks:
        if task is None:
            return
        yield task


class _UnderWay(Generic[Task, Result]):
    """The tasks given out and not yet back."""

    def __init__(
        self,
        work: Callable[[Task], Result],
        tasks: Iterator[Task | None],
        executor: Executor,
        lost: Callable[[Task], Result] | None,
    ) -> None:
        self.work, self.tasks, self.executor, self.lost = work, tasks, executor, lost
        self.deaths: tuple[type[BaseException], ...] = getattr(executor, "deaths", ())
        self.ahead: int = getattr(executor, "ahead", AHEAD)
        self.futures: dict[Future[Result], tuple[int, Task]] = {}
        self.given = 0

    def fill(self) -> bool:
        """Give out tasks while there is room; whether any are under way."""
        while len(self.futures) < self.ahead and (task := next(self.tasks, None)) is not None:
            self.futures[self._submit(task)] = (self.given, task)
            self.given += 1
        return bool(self.futures)

    def finished(self) -> Iterator[tuple[int, Result]]:
        """What has come back; where a worker has died, also everything that was under way then."""
        done, _ = wait(self.futures, return_when=FIRST_COMPLETED)
        suspects = []
        for future in sorted(done, key=lambda one: self.futures[one][0]):
            position, task = self.futures.pop(future)
            try:
                result = future.result()
            except self.deaths:
                suspects.append((position, task))
            else:
                yield position, result
        if suspects:
            yield from self._again(sorted([*suspects, *self._recalled()], key=lambda one: one[0]))

    def handed_over(self, patience_s: float) -> Iterator[tuple[int, Result]]:
        """What has come back of what was under way, once that was stopped; what one of them raises is raised after the others."""
        self.cancel()
        if not (patience_s and isinstance(self.executor, Workers) and self.executor.interrupt()):
            return
        begun = [future for future in self.futures if not future.cancelled()]
        done, _ = wait(begun, patience_s)
        for future in sorted(done, key=lambda one: self.futures[one][0]):
            if future.exception() is None:
                yield self.futures[future][0], future.result()
        for error in (future.exception() for future in done):
            if error is not None and not isinstance(error, (KeyboardInterrupt, *self.deaths)):
                raise error

    def _recalled(self) -> list[tuple[int, Task]]:
        """Everything under way: an executor that lost a worker may have lost it all, and a task done twice does no harm."""
        recalled = list(self.futures.values())
        self.cancel()
        self.futures.clear()
        return recalled

    def _again(self, suspects: list[tuple[int, Task]]) -> Iterator[tuple[int, Result]]:
        """Each task once more with nothing beside it, so that only the one to blame is given up."""
        self._renew()
        for position, task in suspects:
            yield position, self._alone(task)

    def _alone(self, task: Task) -> Result:
        for _ in range(TRIES_ALONE):
            try:
                return self._submit(task).result()
            except self.deaths:
                self._renew()
        if self.lost is None:
            raise WorkerDied(f"the process that did a piece of work died {TRIES_ALONE + 1} times: it may need more memory than there is")
        return self.lost(task)

    def _submit(self, task: Task) -> Future[Result]:
        try:
            return self.executor.submit(self.work, task)
        except self.deaths:  # a worker died between two tasks
            self._renew()
            return self.executor.submit(self.work, task)

    def _renew(self) -> None:
        if isinstance(self.executor, Workers):
            self.executor.renew()

    def cancel(self) -> None:
        for future in self.futures:
            future.cancel()
