"""Independent pieces of work on processes of this machine, or on any executor; what comes back does not depend on how many."""

import multiprocessing
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from typing import TypeVar

Task = TypeVar("Task")
Result = TypeVar("Result")


@contextmanager
def workers(number: int) -> Iterator[Executor | None]:
    """An executor of so many processes, or None for one: then the work is done in this process.

    The processes are started afresh (spawn): a solver that has run in a process does not survive its being forked.
    """
    if number <= 1:
        yield None
        return
    context = multiprocessing.get_context("spawn")
    executor = ProcessPoolExecutor(number, mp_context=context, initializer=_leave_ctrl_c_to_the_parent)
    try:
        yield executor
    finally:
        executor.shutdown(wait=True, cancel_futures=True)


def _leave_ctrl_c_to_the_parent() -> None:
    """Ctrl-C reaches every process of a terminal; the one that gave out the work decides what is kept."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def sweep(work: Callable[[Task], Result], tasks: Sequence[Task], executor: Executor | None = None) -> Iterator[tuple[int, Result]]:
    """Each task's position and result, as they are finished; without an executor one after the other.

    What the work raises is raised here, at its turn. `work` and the tasks must pickle where there is an executor. Who stops reading
    (or is stopped by Ctrl-C) leaves the tasks not yet begun undone.
    """
    if executor is None:
        for position, task in enumerate(tasks):
            yield position, work(task)
        return
    futures: dict[Future[Result], int] = {executor.submit(work, task): position for position, task in enumerate(tasks)}
    try:
        waiting = set(futures)
        while waiting:
            done, waiting = wait(waiting, return_when=FIRST_COMPLETED)
            for future in sorted(done, key=futures.__getitem__):
                yield futures[future], future.result()
    finally:
        for future in futures:
            future.cancel()
