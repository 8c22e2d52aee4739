"""Rules of lines at the bounds of what can be solved: at and past the collapse, at tiny voltages, many lines at once as one alone."""

from decimal import Decimal

import numpy as np
import pytest

from equipsel.circuit import Span, ladder, most_load_w, reach_m, solve_line, solve_lines

AT_COLLAPSE = [(12.5, 6.25, 10), (6.25, 4, 20), (12.5, 4, 10), (5, 5, 3), (12.5, 5, 3), (5, 4, 20), (6.25, 6.25, 10), (10, 5, 20)]
"""Two spans each: ohm of the first and the second, watts of the load between them; fed at 50 V."""


def test_lines_at_their_very_collapse_are_judged_together_as_each_alone() -> None:
    """The last load is the most that each line delivers alone: it holds among others too, and a hundredth more holds nowhere."""
    most = [most_load_w(50, [Span(first, tap), Span(second, 0)]) for first, second, tap in AT_COLLAPSE]
    alone = [solve_line(50, [Span(row[0], row[2]), Span(row[1], load)]) for row, load in zip(AT_COLLAPSE, most, strict=True)]
    lines = [(50, [first, second], [tap, load]) for (first, second, tap), load in zip(AT_COLLAPSE, most, strict=True)]
    lines += [(50, ohm, [tap, load * 1.01]) for _, ohm, (tap, load) in lines]
    volts, ohm, load_w = (list(column) for column in zip(*lines, strict=True))
    together = solve_lines(volts, ohm, load_w)
    assert together.solved.tolist() == [True] * len(most) + [False] * len(most)
    assert together.head_w.tolist()[: len(most)] == [line.head_w for line in alone if line]


def test_a_line_of_a_hundred_millionth_of_the_volts_ohms_and_watts_carries_the_same_amps() -> None:
    """By hand: 50 V, 10 ohm, 50 W: I = (50 - sqrt(2500 - 2000)) / 20 = 1.381966 A; a span without length behind it changes nothing."""
    amps = (50 - 500**0.5) / 20
    tiny = 1e-8
    for scale in (1, tiny):
        line = solve_line(50 * scale, [Span(10 * scale, 50 * scale), Span(0, 0)])
        assert line is not None
        assert line.head_amps == pytest.approx(amps, abs=1e-6)
        assert solve_lines([50 * scale], [[10 * scale, 0]], [[50 * scale, 0]]).head_amps[0] == pytest.approx(amps, abs=1e-6)


def test_below_a_volt_many_lines_stand_as_one_does() -> None:
    """By hand, one span of 0.1 ohm and 0.1 W on 0.9 V, the second without length: (0.9 + sqrt(0.81 - 0.04)) / 2 V."""
    found = solve_lines([0.9, 0.9], [[0.1, 0], [0.1, 0.1]], [[0.1, 0], [0.1, 0.1]])
    assert found.solved.all()
    assert found.volts[0, 0] == pytest.approx((0.9 + 0.77**0.5) / 2, abs=1e-6)


@pytest.mark.parametrize("spans", [1, 2])
def test_a_line_at_twice_its_collapse_has_no_operating_point_and_raises_no_alarm(spans: int) -> None:
    """50 V and 25 ohm deliver 25 W; of 50 W the first step leaves exactly 0 V. No division by zero, no root of a negative number."""
    rest = [0.0] * (spans - 1)
    with np.errstate(all="raise"):
        found = solve_lines([50, 50], [[25, *rest], [12.5, *rest]], [[50, *rest], [25.5, *rest]])
    assert found.solved.tolist() == [False, True]
    assert found.volts[1, -1] == 42.5
    assert solve_line(50, [Span(25, 50), *(Span(0, 0) for _ in rest)]) is None


def test_figures_of_any_kind_are_solved_as_doubles() -> None:
    """Decimals as the tables hold them, whole numbers, single precision: all the line of the same figures as doubles, to the last digit."""
    ohm, load_w = [[4, 4, 4]], [[3, 3, 25]]
    expected = solve_lines([52.0], [[4.0, 4.0, 4.0]], [[3.0, 3.0, 25.0]])
    single = solve_lines(*(np.asarray(table, dtype=np.float32) for table in ([52], ohm, load_w)))
    exact = solve_lines([Decimal(52)], [[Decimal(4)] * 3], [[Decimal(3), Decimal(3), Decimal(25)]])
    for found in (solve_lines([52], ohm, load_w), single, exact):
        assert found.volts.tolist() == expected.volts.tolist()
        assert found.loss_w.tolist() == expected.loss_w.tolist()


def test_where_the_steps_run_out_the_last_voltages_count_for_one_line_and_for_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand, the first step of 25.5 W behind 12.5 ohm on 50 V: x = R P / V^2 = 0.1275, V (1 - 2 x) / (1 - x) = 42.693 V."""
    monkeypatch.setattr(ladder, "MOST_STEPS", 1)
    line = solve_line(50, [Span(12.5, 25.5), Span(0, 0)])
    found = solve_lines([50], [[12.5, 0]], [[25.5, 0]])
    assert line is not None
    assert line.end.volts == found.volts[0, 1] == pytest.approx(50 * (1 - 2 * 0.1275) / (1 - 0.1275), abs=1e-6)


def test_where_not_even_no_load_holds_nothing_is_delivered() -> None:
    """Asked for 30 to 49 V at the end: no load leaves 50 V, so the line gives 0, though 25 W (42.678 V) would be within it."""
    assert most_load_w(50, [Span(12.5, 1)], lambda line: 30 <= line.end.volts <= 49) == 0


@pytest.mark.parametrize("reach", ["100.0005", "99.99999"])
def test_a_cable_that_is_not_hot_reaches_as_far_as_it_is_stated_to(reach: str) -> None:
    """At 20 C or below nothing is taken off, not even what is below a millimetre; at 21 C it is rounded down to one."""
    assert reach_m(Decimal(reach), 20, shielded=False) == Decimal(reach)
    assert reach_m(Decimal(reach), -5, shielded=True) == Decimal(reach)
    hot = reach_m(Decimal(reach), 21, shielded=False)
    assert hot == round(hot, 3) < Decimal(reach) / Decimal("1.004")
