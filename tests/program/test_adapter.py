"""Run with PuLP 3.3 (Python 3.11) and with PuLP 4 (Python 3.12 and later): the answers must be the same."""

import os
import signal
import threading
import time
from math import inf
from random import Random
from types import SimpleNamespace

import pulp
import pytest

from equipsel.program.adapter import SolverError, Stop, Watch, solve, whole
from equipsel.program.rows import Rows

FEW_S = 1.0


def market_split(extra: int = 0, rows_: int = 6, columns: int = 50) -> pulp.LpProblem:
    """Split so many columns so that every row comes out even; nobody proves that in a second, and the best is 0 by design.

    Cornuejols and Dawande's market split: random coefficients below 100, slack paid for, and `extra` paid always. Its bound stays there.
    """
    rng, rows = Random(7), Rows("split")
    chosen = [rows.variable(f"x{column}", 0, 1) for column in range(columns)]
    planted = [rng.randrange(2) for _ in range(columns)]
    slack = []
    for number in range(rows_):
        weights = [rng.randrange(1, 100) for _ in range(columns)]
        total = sum(weight * bit for weight, bit in zip(weights, planted, strict=True))
        over, under = rows.variable(f"over{number}"), rows.variable(f"under{number}")
        rows.equal(f"row{number}", [*zip(weights, chosen, strict=True), (-1, over), (1, under)], total)
        slack += [over, under]
    rows.problem.setObjective(pulp.lpSum([*slack, extra * rows.variable("one", 1, 1)]))
    return rows.problem


def small(limit: int = 9) -> tuple[Rows, pulp.LpProblem]:
    """Least 2x + 3z with 2x + 2z >= 9: 10 at x = 5."""
    rows = Rows("small")
    x, z = rows.variable("x", 0, limit), rows.variable("z", 0, limit)
    rows.at_least("enough", [(2, x), (2, z)], 9)
    rows.problem.setObjective(pulp.lpSum([2 * x, 3 * z]))
    return rows, rows.problem


def test_a_proven_optimum() -> None:
    rows, problem = small()
    answer = solve(problem, 0.0, 10)
    assert (answer.stop, answer.found) == (Stop.PROVEN, True)
    assert (answer.value, answer.bound) == (pytest.approx(10), pytest.approx(10))
    assert [whole(variable) for variable in rows.problem.variables()] == [5, 0]


def test_no_solution_is_infeasible_and_nothing_else() -> None:
    _, problem = small(limit=2)
    answer = solve(problem, 0.0, 10)
    assert (answer.stop, answer.found, answer.value, answer.bound) == (Stop.INFEASIBLE, False, inf, inf)


def test_a_search_out_of_time_is_not_called_optimal_and_its_bound_is_true() -> None:
    started = time.monotonic()
    answer = solve(market_split(), 0.0, FEW_S)
    assert answer.stop is Stop.LIMIT
    assert answer.found
    assert answer.value >= 1, "it was solved: take a harder one"
    assert answer.bound <= 1e-6, "the planted split costs nothing"
    assert time.monotonic() - started < FEW_S + 4


def test_no_time_at_all_finds_nothing_or_stops_at_the_limit() -> None:
    answer = solve(market_split(), 0.0, 0.0)
    assert answer.stop is Stop.LIMIT
    assert answer.bound <= 1e-6


def test_within_the_asked_gap_it_is_proven() -> None:
    # 1000 is paid whatever is chosen, and the slack the search begins with is less than half of that
    problem = market_split(extra=1000)
    answer = solve(problem, 0.5, 60)
    assert answer.stop is Stop.PROVEN
    assert 1000 - 1e-6 <= answer.bound <= 1000 + 1e-6
    assert 1000 < answer.value <= 2000


def test_an_effort_ends_the_search_at_the_same_answer_every_time() -> None:
    answers = [solve(market_split(), 0.0, 60, effort=40) for _ in range(2)]
    assert [answer.stop for answer in answers] == [Stop.LIMIT, Stop.LIMIT]
    assert answers[0] == answers[1]


def test_ctrl_c_ends_the_search_and_keeps_its_best() -> None:
    problem = market_split()
    started = time.monotonic()
    alarm = threading.Timer(FEW_S, os.kill, (os.getpid(), signal.SIGINT))
    alarm.start()
    try:
        answer = solve(problem, 0.0, 60)
    finally:
        alarm.cancel()
    assert (answer.stop, answer.found) == (Stop.INTERRUPTED, True)
    assert answer.bound <= 1e-6
    assert answer.value >= 1
    assert time.monotonic() - started < FEW_S + 10
    assert sum(whole(variable) for variable in problem.variables() if variable.name.startswith(("over", "under"))) == round(answer.value)


def test_a_problem_without_variables_is_solved() -> None:
    rows = Rows("nothing")
    rows.problem += 0
    answer = solve(rows.problem, 0.0, 10)
    assert (answer.stop, answer.value) == (Stop.PROVEN, 0)


def test_an_unbounded_problem_is_a_bug_and_is_told() -> None:
    rows = Rows("endless")
    rows.problem.setObjective(-1 * rows.variable("x"))
    with pytest.raises(SolverError, match="nbounded"):
        solve(rows.problem, 0.0, 10)


def test_nothing_is_printed(capfd: pytest.CaptureFixture[str]) -> None:
    solve(small()[1], 0.0, 10)
    assert capfd.readouterr() == ("", "")


def test_it_tells_how_it_goes() -> None:
    told: list[tuple[float, float]] = []
    answer = solve(market_split(), 0.0, 2 * FEW_S, progress=lambda best, bound: told.append((best, bound)))
    assert told
    assert all(bound <= 1e-6 for _, bound in told)
    assert min(best for best, _ in told) >= answer.value


def test_a_nearly_whole_value_is_whole() -> None:
    rows = Rows("r")
    x = rows.variable("x")
    x.varValue = 2.9999999
    assert whole(x) == 3
    assert whole(rows.variable("never solved")) == 0


@pytest.mark.parametrize(("bound", "told"), [(4.0, [(5.0, 4.0)]), (inf, [])])
def test_a_bound_that_says_nothing_is_left_is_no_progress(bound: float, told: list[tuple[float, float]]) -> None:
    seen: list[tuple[float, float]] = []
    watch = Watch()
    watch.progress = lambda best, least: seen.append((best, least))
    watch._look_up(SimpleNamespace(data_out=SimpleNamespace(mip_primal_bound=5.0, mip_dual_bound=bound)))
    assert seen == told


def test_a_search_is_stopped_at_the_first_step_beyond_its_effort() -> None:
    stopped: list[int] = []
    watch = Watch(effort=2)
    for step in range(1, 4):
        watch._look_up(SimpleNamespace(data_out=None, interrupt=lambda: stopped.append(watch.looked_up)))
        assert stopped == [3] * (step == 3)
