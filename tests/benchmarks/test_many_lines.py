"""How quickly many lines are solved: all at once against one after another in a Python loop. Run with -s to see the figures."""

from time import perf_counter

import numpy as np

from equipsel.circuit import Span, solve_line, solve_lines

LINES = 100_000


def test_a_hundred_thousand_single_lines_in_half_a_second():
    rng = np.random.default_rng(1)
    volts, ohm, load_w = rng.uniform(44, 57, LINES), rng.uniform(0, 13, (LINES, 1)), rng.uniform(0, 71.3, (LINES, 1))
    start = perf_counter()
    together = solve_lines(volts, ohm, load_w)
    seconds = perf_counter() - start
    cases = list(zip(volts.tolist(), ohm[:, 0].tolist(), load_w[:, 0].tolist(), strict=True))
    start = perf_counter()
    single = [solve_line(head, [Span(resistance, load)]) for head, resistance, load in cases]
    loop = perf_counter() - start
    print(f"\n{LINES:,} single lines: {seconds:.4f} s together, {loop:.3f} s in a loop, {loop / seconds:.0f} times as long")
    assert together.solved.tolist() == [line is not None for line in single]
    assert seconds < 0.5
    assert loop / seconds > 5
