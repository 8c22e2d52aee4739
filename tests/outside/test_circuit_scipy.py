"""The ladder solver against scipy's root finder and minimiser (scipy.optimize: brentq, minimize_scalar), and a matrix law.

The oracle shoots over the end voltage; the package steps down from the head voltage: they share no method.
"""

import numpy as np
import pytest
from ladders import ladders, oracle

from equipsel.circuit import Span, solve_line

LADDERS = ladders(1000, seed=4)


@pytest.fixture(scope="module")
def answers():
    return [(ladder, oracle(ladder), solve_line(ladder.volts, list(map(Span, ladder.ohm, ladder.load_w)))) for ladder in LADDERS]


def test_a_thousand_random_ladders_agree_on_whether_there_is_an_operating_point(answers):
    assert [ladder for ladder, theirs, ours in answers if (theirs is None) != (ours is None)] == []
    assert [ladder for ladder, _, ours in answers if ladder.exists not in (None, ours is not None)] == []


def test_their_voltages_and_currents_agree_to_a_thousandth(answers):
    apart = [
        ladder
        for ladder, theirs, ours in answers
        if ours is not None
        and not (
            np.allclose([span.volts for span in ours.spans], theirs[1:], rtol=1e-4, atol=0)
            and np.isclose(ours.head_amps, sum(map(np.divide, ladder.load_w, theirs[1:])), rtol=1e-3, atol=1e-6)
        )
    ]
    assert apart == []


def test_the_sample_is_worth_testing(answers):
    near = [ladder for ladder, _, _ in answers if ladder.exists is not None]
    assert len(near) == 500
    assert 100 < sum(ladder.exists for ladder in near) < 400
    assert sum(ours is None for _, _, ours in answers) > 200
    assert {len(ladder.ohm) for ladder, _, _ in answers} == {1, 2, 3, 4, 5}


def test_every_point_found_is_the_upper_one(answers):
    """Where the power-flow matrix has a spectral radius above 1 the point is the unstable, lower one (fixed-point theory)."""
    radii = []
    for ladder, _, ours in answers:
        if ours is None:
            continue
        to_head = np.cumsum(ladder.ohm)
        shared = np.minimum.outer(to_head, to_head)
        volts = np.array([span.volts for span in ours.spans])
        radii.append(max(abs(np.linalg.eigvals(shared * (np.array(ladder.load_w) / volts**2)))))
    assert max(radii) < 1 + 1e-6
    assert max(radii) > 0.99
