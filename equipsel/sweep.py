"""Independent pieces of work on processes of this machine, or on any executor; what comes back does not depend on how many."""

import multiprocessing
import os
import signal
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, wait
from contextlib import AbstractContextManager, contextmanager
from threading import Thread
from typing import Any, Generic, TypeVar

Task = TypeVar("Task")
Result = TypeVar("Result")

AHEAD = 16
"""Tasks given out at a time where an executor does not say how many it wants: enough to keep it busy, few enough to hold (our own)."""

TRIES_ALONE = 2
"""How often a task that was under way when a worker died is tried again, with nothing beside it (our own limit)."""


Workplace = AbstractContextManager["Workers | None"]
"""What gives the executor that work is done on, and ends it; None: in this process."""


class WorkerDied(Exception):  # noqa: N818 (the name says what happened)
    """A task whose worker died each time it was tried, as one does that needs more memory than there is."""


class Workers(Executor):
    """An executor that outlives its workers. `deaths`: how their dying shows; `number`: how many tasks it is at, at a time."""

    deaths: tuple[type[BaseException], ...] = ()
    number: int = AHEAD // 2

    @property
    def ahead(self) -> int:
        """How many tasks it wants to have at a time: another for each, so that none waits for its next."""
        return 2 * self.number

    def renew(self) -> None:
        """Replace workers that have died."""

    def stop(self) -> None:
        """End what is under way without waiting for it."""
        self.shutdown(wait=False, cancel_futures=True)


class Processes(Workers):
    """So many processes of this machine, started afresh (spawn): a solver that has run in a process does not survive its being forked."""

    deaths = (BrokenExecutor,)

    def __init__(self, number: int) -> None:
        """Start them when they are first needed."""
        self.number = number
        self.pool = self._fresh()

    def _fresh(self) -> ProcessPoolExecutor:
        context = multiprocessing.get_context("spawn")
        return ProcessPoolExecutor(self.number, mp_context=context, initializer=_obey_the_parent)

    def submit(self, fn: Callable[..., Result], /, *args: Any, **kwargs: Any) -> Future[Result]:
        """Have a process call the function."""
        return self.pool.submit(fn, *args, **kwargs)

    def renew(self) -> None:
        """Start new processes in place of a pool that one has broken by dying."""
        self.pool.shutdown(wait=False, cancel_futures=True)
        self.pool = self._fresh()

    def stop(self) -> None:
        """End the processes, whatever they are at."""
        for process in multiprocessing.active_children():
            process.terminate()
        self.pool.shutdown(wait=True, cancel_futures=True)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Let the processes end what they are at, and end them."""
        self.pool.shutdown(wait=wait, cancel_futures=cancel_futures)


def _obey_the_parent() -> None:
    """Ctrl-C reaches every process of a terminal; the one that gave out the work decides what is kept. Where that dies, so does this."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    Thread(target=_end_with_the_parent, daemon=True).start()


def _end_with_the_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _processes(number: int) -> Processes | None:
    try:
        return Processes(max(number, 1))
    except (OSError, ImportError, NotImplementedError):
        return None


@contextmanager
def workers(number: int, *, apart: bool = False) -> Iterator[Workers | None]:
    """An executor of so many processes, or None for one: then the work is done in this process. Whatever stops it ends them all.

    apart: also one is a process of its own, which Ctrl-C does not reach. None as well where the machine has no semaphores for others,
    as without shared memory in a small container.
    """
    executor = _processes(number) if number > 1 or apart else None
    if executor is None:
        yield None
        return
    try:
        yield executor
    except BaseException:
        executor.stop()
        raise
    executor.shutdown()


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
) -> Iterator[tuple[int, Result]]:
    """Each task's position and result, as they are finished; without an executor one after the other.

    Tasks are taken as there is room for them, so that any number of them fits into memory, and they may depend on the results read by
    then: None among them means that none is to be had before something under way has come back. `work` and the tasks must pickle where
    there is an executor. What the work raises is raised here. A task whose worker dies is tried again; one that outlives none gets
    the result that `lost` gives it, else WorkerDied is raised. Who stops reading leaves the tasks not yet begun undone.
    """
    if executor is None:
        for position, task in enumerate(_to_be_had(tasks)):
            yield position, work(task)
        return
    under_way = _UnderWay(work, iter(tasks), executor, lost)
    try:
        while under_way.fill():
            yield from under_way.finished()
    finally:
        under_way.cancel()


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
