"""Where the work of a command is done: processes of this machine, or a Dask cluster."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager

import typer

from equipsel.commands.endings import Ending
from equipsel.commands.speech import complain
from equipsel.workers import Workers, workers


@contextmanager
def workplace(number: int, address: str | None) -> Iterator[Workers | None]:
    """So many processes, or the cluster at an address. Ends the command in words where that cannot be used."""
    with ExitStack() as stack:
        if address is None:
            yield stack.enter_context(workers(number, apart=True))
            return
        from equipsel.cluster import ClusterError, cluster  # noqa: PLC0415 - only who has a cluster waits for it

        try:
            executor = stack.enter_context(cluster(address))
        except ClusterError as error:
            complain([error])
            raise typer.Exit(Ending.WRONG_INPUT) from None
        yield executor
