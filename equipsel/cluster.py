"""Work on a Dask cluster that is already running (extra `cluster`): same work, same results."""

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from queue import Empty, SimpleQueue
from threading import Thread
from typing import Any, TypeVar

from equipsel import __version__
from equipsel.workers import Workers

ANSWER_S = 8
"""Seconds that a cluster is given to answer (our own limit)."""

Result = TypeVar("Result")


class ClusterError(Exception):
    """A cluster that cannot be used, and what to do about it."""


class Cluster(Workers):
    """The workers of a cluster, whose scheduler gives work to another one where one dies."""

    def __init__(self, client: Any, deaths: tuple[type[BaseException], ...], threads: int) -> None:
        """Use a client that is connected, whose workers have so many threads in all."""
        self.executor, self.deaths, self.number = client.get_executor(), deaths, threads

    def submit(self, fn: Callable[..., Result], /, *args: Any, **kwargs: Any) -> Future[Result]:
        """Have a worker call the function."""
        future: Future[Result] = self.executor.submit(fn, *args, **kwargs)
        return future

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Give out no more work; the cluster itself goes on."""
        del cancel_futures  # what is not begun is cancelled by who gave it out
        self.executor.shutdown(wait=wait)


def version_here() -> str:
    """The version of equipsel where this is called: on a worker, that worker's."""
    return __version__


@contextmanager
def cluster(address: str) -> Iterator[Cluster]:
    """The cluster whose scheduler answers at an address. Raises ClusterError where the extra is missing or it cannot be used."""
    try:
        from distributed import Client, KilledWorker  # noqa: PLC0415 - only who has a cluster needs it
    except ImportError:
        raise ClusterError("--cluster needs dask.distributed: install it with pip install 'equipsel[cluster]'") from None
    client = _client(Client, address)
    try:
        executor = Cluster(client, (KilledWorker,), _threads(client, address))
        yield executor
        executor.shutdown()
    finally:
        client.close(timeout=ANSWER_S)


def _client(make: Any, address: str) -> Any:
    """A client that is connected. It is made in a thread of its own: one that is kept waiting in the middle of a greeting never returns."""
    made: SimpleQueue[Any] = SimpleQueue()
    Thread(target=_make, args=(make, address, made), daemon=True).start()
    try:
        client = made.get(timeout=ANSWER_S)
    except Empty:
        client = TimeoutError()
    if isinstance(client, Exception):
        wrong = "does not answer" if isinstance(client, OSError) else "is no address of a scheduler"
        raise ClusterError(f"--cluster: {address!r} {wrong}; give one such as tcp://host:8786, and see that its scheduler runs")
    return client


def _make(make: Any, address: str, made: "SimpleQueue[Any]") -> None:
    try:
        made.put(make(address, timeout=ANSWER_S - 1, set_as_default=False))
    except Exception as error:
        made.put(error)


def _threads(client: Any, address: str) -> int:
    """How much the workers can do at a time. Raises ClusterError unless there are some and all have this equipsel."""
    threads = sum(int(number) for number in client.nthreads().values())
    if not threads:
        raise ClusterError(f"--cluster: the scheduler at {address!r} has no workers; start some")
    try:
        versions = set(client.run(version_here).values())
    except Exception as error:
        raise ClusterError(f"--cluster: a worker of {address!r} cannot load equipsel ({error}); install {__version__} on each") from None
    if versions != {__version__}:
        found = ", ".join(sorted(versions))
        raise ClusterError(f"--cluster: the workers of {address!r} have equipsel {found}; install {__version__} on each")
    return threads
