"""How many tasks wait for each that is under way."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from equipsel.workers import Processes, Workers, waiting


class Counted(Workers):
    """So many tasks at a time, and so many wanted."""

    def __init__(self, number: int, wanted: int) -> None:
        self.number, self.wanted = number, wanted

    @property
    def ahead(self) -> int:
        return self.wanted


@contextmanager
def processes(number: int) -> Iterator[Processes]:
    executor = Processes(number)
    yield executor
    executor.shutdown()


def test_in_this_process_no_task_waits_for_another() -> None:
    assert waiting(None) == 1


@pytest.mark.parametrize("number", [1, 2, 5])
def test_every_process_is_at_one_task_while_another_waits_for_it(number: int) -> None:
    with processes(number) as executor:
        assert (executor.ahead, waiting(executor)) == (2 * number, 2)


@pytest.mark.parametrize(("number", "wanted", "waits"), [(4, 4, 1), (4, 5, 2), (4, 8, 2), (4, 9, 3)])
def test_what_waits_is_reckoned_as_the_most_for_any(number: int, wanted: int, waits: int) -> None:
    assert waiting(Counted(number, wanted)) == waits
