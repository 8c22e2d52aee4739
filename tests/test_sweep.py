import time
from concurrent.futures import ThreadPoolExecutor

import pytest

from equipsel.sweep import sweep, workers


def square(number: int) -> int:
    return number * number


def refuse(number: int) -> int:
    raise ValueError(f"{number} is refused")


@pytest.mark.parametrize("number", [1, 2])
def test_every_task_is_done_whatever_the_number_of_processes(number: int) -> None:
    with workers(number) as executor:
        assert sorted(sweep(square, [3, 1, 2], executor)) == [(0, 9), (1, 1), (2, 4)]


def test_results_come_as_they_are_finished() -> None:
    with ThreadPoolExecutor(2) as executor:
        assert [position for position, _ in sweep(time.sleep, [0.4, 0.0], executor)] == [1, 0]


def test_what_the_work_raises_is_raised() -> None:
    with workers(2) as executor, pytest.raises(ValueError, match="1 is refused"):
        list(sweep(refuse, [1], executor))
    with pytest.raises(ValueError, match="2 is refused"):
        list(sweep(refuse, [2]))


def test_who_stops_reading_leaves_the_rest_undone() -> None:
    done: list[int] = []
    with ThreadPoolExecutor(1) as executor:
        results = sweep(lambda number: done.append(number) or time.sleep(0.05), list(range(50)), executor)
        next(results)
        results.close()
    assert len(done) < 10
