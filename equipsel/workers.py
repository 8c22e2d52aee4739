"""Where pieces of work are done: processes of this machine, which outlive a death and leave Ctrl-C to their parent, or any executor."""

import multiprocessing
import os
import signal
import time
from _thread import interrupt_main
from collections.abc import Callable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from contextlib import AbstractContextManager, contextmanager
from multiprocessing.connection import Connection, wait
from threading import Event, Thread
from typing import Any, TypeVar

Result = TypeVar("Result")

AHEAD = 16
"""Tasks given out at a time where an executor does not say how many it wants: enough to keep it busy, few enough to hold (our own)."""

AGAIN_S = 0.2
"""Seconds between two searches that are stopped one after the other (our own)."""

HOLDS_SIGNALS = hasattr(signal, "pthread_sigmask")
"""Whether this system can keep Ctrl-C from a process and yet have its searches stopped as Ctrl-C does."""

_line: Connection | None = None
"""In a process that works for another: what says that it is to stop, by being closed at the other end."""

_told = Event()
"""Set in such a process once it was told to stop."""

Workplace = AbstractContextManager["Workers | None"]
"""What gives the executor that work is done on, and ends it; None: in this process."""


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

    def interrupt(self) -> bool:
        """Have what is under way hand over the best it has found, and begin nothing more; whether that can be had."""
        return False

    def stop(self) -> None:
        """End what is under way without waiting for it."""
        self.shutdown(wait=False, cancel_futures=True)


def waiting(executor: Workers | None) -> int:
    """How many tasks an executor holds for each that it is at, that one counted."""
    return 1 if executor is None else -(-executor.ahead // executor.number)


class Processes(Workers):
    """So many processes of this machine, started afresh (spawn): a solver that has run in a process does not survive its being forked."""

    deaths = (BrokenExecutor,)

    def __init__(self, number: int) -> None:
        """Start them when they are first needed."""
        self.number = number
        self.pool = self._fresh()

    def _fresh(self) -> ProcessPoolExecutor:
        context = multiprocessing.get_context("spawn")
        heard, self.line = context.Pipe(duplex=False)
        return ProcessPoolExecutor(self.number, mp_context=context, initializer=_obey_the_parent, initargs=(heard,))

    def submit(self, fn: Callable[..., Result], /, *args: Any, **kwargs: Any) -> Future[Result]:
        """Have a process call the function."""
        with _out_of_reach():
            return self.pool.submit(_unless_told, fn, *args, **kwargs)

    def interrupt(self) -> bool:
        """Stop the searches that the processes are at: they are told by the line to them being closed, whatever has become of others."""
        self.line.close()
        return HOLDS_SIGNALS

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


@contextmanager
def _out_of_reach() -> Iterator[None]:
    """Processes started here are out of reach of Ctrl-C from their first moment on."""
    if not HOLDS_SIGNALS:
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _obey_the_parent(line: Connection) -> None:
    """Ctrl-C reaches every process of a terminal; the one that gave out the work decides what is kept. Where that dies, so does this."""
    global _line  # noqa: PLW0603 (a process has one parent)
    _line = line
    Thread(target=_end_with_the_parent, daemon=True).start()
    if HOLDS_SIGNALS:
        signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
        signal.signal(signal.SIGINT, _between_searches)
        Thread(target=_stop_searches, args=(line,), daemon=True).start()
    else:
        signal.signal(signal.SIGINT, signal.SIG_IGN)


def _between_searches(*_: object) -> None:
    """What is done between searches goes on: only a search, which puts its own in place of this, is stopped."""


def _stop_searches(line: Connection) -> None:
    """Once told, stop the search under way as Ctrl-C would, and those after it."""
    wait([line])
    _told.set()
    while True:
        interrupt_main()
        time.sleep(AGAIN_S)


def told() -> bool:
    """Whether this process works for another that has told it to stop: for what Ctrl-C would not reach in time, being over too soon."""
    return _told.is_set()


def _unless_told(fn: Callable[..., Result], *args: Any, **kwargs: Any) -> Result:
    """Begin a piece of work, unless there are to be no more."""
    if _line is not None and _line.poll():
        raise KeyboardInterrupt
    return fn(*args, **kwargs)


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
