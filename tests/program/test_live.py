"""A program that stays with the solver: it takes more rows, and is solved again in fractions and in whole numbers."""

import os
import signal
import threading
import time
from collections.abc import Iterator
from math import inf
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest

from equipsel.program import live as live_module
from equipsel.program.adapter import Answer, SolverError, Stop
from equipsel.program.live import Linear, Live
from equipsel.workers import workers

FEW_S = 0.5


def small(high: float = 9) -> Live:
    """Least 2x + 3z with 2x + 2z >= 9: 9 at x = 4.5, in whole numbers 10 at x = 5."""
    live = Live([2, 3], [high, high])
    live.add([0, 1], [2, 2], low=9)
    return live


def market_split(always: int = 0, rows: int = 6, columns: int = 50) -> tuple[Live, list[int]]:
    """Columns to be split so that every row comes out even, and a split that does: it costs nothing but what is always paid.

    Cornuejols and Dawande's market split: nobody proves it in a second.
    """
    rng = Random(7)
    planted = [rng.randrange(2) for _ in range(columns)]
    slack = 2 * rows
    live = Live([0] * columns + [1] * slack + [always], [1] * columns + [inf] * slack + [1])
    live.add([columns + slack], [1], low=1)
    for number in range(rows):
        weights = [rng.randrange(1, 100) for _ in range(columns)]
        total = sum(weight * bit for weight, bit in zip(weights, planted, strict=True))
        over = columns + 2 * number
        live.add([*range(columns), over, over + 1], [*weights, -1, 1], total, total)
    return live, [*planted, *[0] * slack, 1]


def test_as_a_linear_program_it_has_fractions_and_duals() -> None:
    # another unit asked for costs half an x more: 2 / 2
    assert small().relax(10) == Linear(pytest.approx(9), [pytest.approx(4.5), pytest.approx(0)], [pytest.approx(1)])


def test_in_whole_numbers_it_is_proven() -> None:
    live = small()
    answer = live.solve(0.0, 0, 10)
    assert (answer.stop, answer.found) == (Stop.PROVEN, True)
    assert (answer.value, answer.bound) == (pytest.approx(10), pytest.approx(10))
    assert live.values() == (5, 0)


def test_it_is_solved_one_way_and_the_other_in_any_order() -> None:
    live, seen = small(), []
    for _ in range(2):
        seen.append(live.solve(0.0, 0, 10).value)
        found = live.relax(10)
        assert found is not None
        seen.append(found.value)
    assert seen == pytest.approx([10, 9, 10, 9])


def test_rows_come_on_top_of_those_before() -> None:
    live = small()
    live.relax(10)
    live.add([0], [1], high=3)
    # x <= 3 leaves 1.5 z, or 2: 6 + 4.5 and 6 + 6
    found = live.relax(10)
    assert found is not None
    assert (found.value, found.columns) == (pytest.approx(10.5), pytest.approx([3, 1.5]))
    assert live.solve(0.0, 0, 10).value == pytest.approx(12)
    assert live.values() == (3, 2)
    live.add([0, 1], [1, -1], 0, 0)
    # x == z: 2.25 each for 11.25, or 3 each for 15
    found = live.relax(10)
    assert found is not None
    assert found.value == pytest.approx(11.25)
    assert live.solve(0.0, 0, 10).value == pytest.approx(15)
    assert live.rows == 3


def test_limits_of_the_first_rows_are_changed_and_those_of_others_stay() -> None:
    live = small()
    live.add([0], [1], high=3)
    live.limit(np.array([4.0]), np.array([inf]))
    assert live.solve(0.0, 0, 10).value == pytest.approx(4)
    live.limit(np.array([9.0, 4.0]), np.array([inf, 4.0]))
    # x == 4 leaves half a z
    found = live.relax(10)
    assert found is not None
    assert (found.value, found.columns) == (pytest.approx(9.5), pytest.approx([4, 0.5]))


def test_what_has_no_solution_is_infeasible_or_nothing() -> None:
    live = small(high=2)
    assert live.relax(10) is None
    answer = live.solve(0.0, 0, 10)
    assert (answer.stop, answer.found, answer.value, answer.bound) == (Stop.INFEASIBLE, False, inf, inf)


def test_a_row_of_nothing_that_must_be_something_has_no_solution() -> None:
    live = small()
    live.add([], [], 4, 4)
    assert live.solve(0.0, 0, 10).stop is Stop.INFEASIBLE
    assert live.relax(10) is None


def test_an_unbounded_program_is_a_bug_and_is_told() -> None:
    with pytest.raises(SolverError, match="nbounded"):
        Live([-1], [inf]).solve(0.0, 0, 10)


def test_a_search_out_of_time_says_so_and_its_bound_is_true() -> None:
    live, _ = market_split()
    started = time.monotonic()
    answer = live.solve(0.0, 0, FEW_S)
    assert answer.stop is Stop.LIMIT
    assert answer.value >= 1, "it was solved: take a harder one"
    assert answer.bound <= 1e-6, "the planted split costs nothing"
    assert time.monotonic() - started < FEW_S + 4


def test_every_search_has_its_own_time() -> None:
    live, _ = market_split()
    for _ in range(3):
        started = time.monotonic()
        assert live.solve(0.0, 0, FEW_S / 4).stop is Stop.LIMIT
        assert FEW_S / 8 < time.monotonic() - started < FEW_S / 2


def test_linear_programs_have_their_own_time_after_a_search() -> None:
    live, _ = market_split()
    live.solve(0.0, 0, FEW_S / 4)
    assert live.relax(FEW_S / 8) is not None


def test_without_time_nothing_is_proven() -> None:
    assert market_split()[0].solve(0.0, 0, -1.0).stop is Stop.LIMIT


def test_a_solution_known_is_where_the_search_starts() -> None:
    live, even = market_split()
    answer = live.solve(0.0, 0, 10, even)
    assert (answer.stop, round(answer.value), live.values()) == (Stop.PROVEN, 0, tuple(even))


@pytest.mark.parametrize("start", [[9, 0], [1, 0], [20, -3]])
def test_a_start_that_is_dear_or_none_does_no_harm(start: list[float]) -> None:
    answer = small().solve(0.0, 0, 10, start)
    assert (answer.stop, answer.value) == (Stop.PROVEN, pytest.approx(10))


def test_within_the_asked_gap_it_is_proven() -> None:
    # 1000 are paid whatever is chosen, and the slack the search begins with is less than half of that
    live, _ = market_split(always=1000)
    answer = live.solve(0.5, 0, 10)
    assert answer.stop is Stop.PROVEN
    assert 1000 - 1e-6 <= answer.bound <= 1000 + 1e-6
    assert 1000 < answer.value <= 2000


def test_it_may_stop_within_so_much_of_the_best() -> None:
    live, _ = market_split(always=1000)
    answer = live.solve(0.0, 1000, 10)
    assert answer.stop is Stop.PROVEN
    assert 1000 < answer.value <= 2000
    assert answer.bound <= 1000 + 1e-6


def test_it_tells_how_it_goes() -> None:
    live, _ = market_split()
    told: list[tuple[float, float]] = []
    answer = live.solve(0.0, 0, FEW_S, progress=lambda best, bound: told.append((best, bound)))
    assert told
    assert min(best for best, _ in told) >= answer.value
    assert all(bound <= 1e-6 for _, bound in told)


def test_ctrl_c_ends_the_search_and_keeps_its_best() -> None:
    live, _ = market_split()
    alarm = threading.Timer(FEW_S, os.kill, (os.getpid(), signal.SIGINT))
    alarm.start()
    try:
        answer = live.solve(0.0, 0, 30)
    finally:
        alarm.cancel()
    assert (answer.stop, answer.found) == (Stop.INTERRUPTED, True)
    assert round(answer.value) == sum(live.values()[50:-1])


@pytest.fixture
def as_in_a_worker() -> Iterator[None]:
    """Ctrl-C does nothing between searches."""
    before = signal.signal(signal.SIGINT, lambda *_: None)
    yield
    signal.signal(signal.SIGINT, before)


def relaxed_until_told(mark: Path) -> str:
    live = small()
    mark.touch()
    until = time.monotonic() + 10
    try:
        while time.monotonic() < until:
            live.relax(10)
    except KeyboardInterrupt:
        return "told"
    return "never told"


def test_a_process_that_is_at_small_linear_programs_hears_that_it_is_to_stop(tmp_path: Path) -> None:
    mark = tmp_path / "begun"
    with workers(2) as executor:
        assert executor is not None
        asked = executor.submit(relaxed_until_told, mark)
        while not mark.exists() and not asked.done():
            time.sleep(0.01)
        assert executor.interrupt()
        assert asked.result(20) == "told"


def dense(columns: int = 300, rows: int = 300) -> Live:
    """A linear program of some 170 steps."""
    rng = Random(1)
    live = Live([rng.randrange(50, 100) for _ in range(columns)], [inf] * columns)
    for _ in range(rows):
        live.add(range(columns), [rng.randrange(1, 100) for _ in range(columns)], low=1000)
    return live


@pytest.mark.usefixtures("as_in_a_worker")
def test_ctrl_c_stops_a_large_linear_program(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(live_module, "LARGE", 300)
    live, seen = dense(), []

    def press_once(*_: Any) -> None:
        seen.append(1)
        if len(seen) == 5:
            os.kill(os.getpid(), signal.SIGINT)
            time.sleep(0.3)

    live.solver.cbSimplexInterrupt.subscribe(press_once)
    with pytest.raises(KeyboardInterrupt):
        live.relax(10)
    assert len(seen) < 20


def test_a_run_that_is_over_is_watched_no_more() -> None:
    live = small()
    for _ in range(3):
        live.solve(0.0, 0, 10)
    solver = live.solver
    assert [len(each.callbacks) for each in (solver.cbMipInterrupt, solver.cbSimplexInterrupt, solver.cbIpmInterrupt)] == [0, 0, 0]


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    live = small()
    live.relax(10)
    live.solve(0.0, 0, 10)
    assert capfd.readouterr() == ("", "")


def test_a_row_that_names_a_column_twice_is_refused() -> None:
    live = Live([1.0], [5.0])
    with pytest.raises(SolverError, match="refuses a row"):
        live.add([0, 0], [1.0, 1.0], 1.0)


def test_a_solution_in_fractions_is_not_what_a_search_starts_from() -> None:
    """The solver completes it by a search of its own, and may take the value of that for the bound."""
    live = Live([3.0, 2.0], [5.0, 5.0])
    live.add([0, 1], [2.0, 2.0], 3.0)
    found = live.relax(10)
    assert found is not None
    assert found.columns == pytest.approx([0.0, 1.5])
    answer = live.solve(0.0, 0, 10)
    assert (answer.value, answer.bound, live.values()) == (4.0, 4.0, (0, 2))


def test_a_value_that_is_not_what_the_solution_costs_is_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    live = Live([3.0, 2.0], [5.0, 5.0])
    live.add([0, 1], [2.0, 2.0], 3.0)
    monkeypatch.setattr(live_module, "answer_of", lambda *_, **__: Answer(Stop.PROVEN, True, 0.0, 0.0))
    assert live.solve(0.0, 0, 10) == Answer(Stop.LIMIT, False, inf, -inf)


def test_where_it_searches_again_it_does_so_in_the_time_that_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    live, allowed = small(), []

    def wrong(*_: Any) -> Answer:
        time.sleep(0.2)
        return Answer(Stop.PROVEN, True, 1e6, 1e6)

    monkeypatch.setattr(live, "_search", wrong)
    monkeypatch.setattr(live, "_allow", allowed.append)
    monkeypatch.setattr(live, "values", lambda: (9, 0))
    live.solve(0.0, 0, 10, [9, 0])
    first, second = allowed
    assert first <= 10
    assert second <= first - 0.2


def test_a_start_beyond_its_bounds_is_none() -> None:
    live = Live([3.0, 2.0], [5.0, 5.0])
    live.add([0, 1], [2.0, 2.0], 3.0)
    answer = live.solve(0.0, 0, 10, [0, 9])
    assert (answer.value, live.values()) == (4.0, (0, 2))
