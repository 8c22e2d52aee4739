from dataclasses import replace
from decimal import Decimal
from itertools import accumulate
from math import inf, nan, sqrt

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from equipsel.circuit import (
    CCA_RATIO,
    CONTACT_OHM,
    STRANDED_RATIO,
    Piece,
    Span,
    amps_per_conductor,
    amps_per_pairset,
    at_temperature,
    channel_ohm,
    collapse_margin_pct,
    conductor_ohm_per_100m,
    loop_ohm,
    loss_rise,
    most_load_w,
    reach_m,
    solve_line,
    solve_lines,
    worst_conductor_amps,
)

# --- copper


@pytest.mark.parametrize(("awg", "ohm"), [(22, 5.30), (23, 6.68), (24, 8.42), (26, 13.39), (28, 21.29)])
def test_resistance_of_a_gauge(awg, ohm):
    assert conductor_ohm_per_100m(awg) == pytest.approx(ohm, abs=0.005)


def test_a_pairset_resists_what_one_conductor_does_and_four_pairs_half():
    assert loop_ohm(8.42, 100, 2) == pytest.approx(8.42)
    assert loop_ohm(8.42, 50, 4) == pytest.approx(2.105)


def test_copper_at_45_c_resists_a_tenth_more():
    assert at_temperature(10, 45) == pytest.approx(10.98, abs=0.005)
    assert at_temperature(10, 20) == 10


def test_clad_and_stranded_conductors_resist_more():
    assert conductor_ohm_per_100m(24, cca=True) == pytest.approx(8.422 * CCA_RATIO, abs=0.002)
    assert conductor_ohm_per_100m(26, stranded=True) == pytest.approx(13.39 * STRANDED_RATIO, abs=0.01)
    assert conductor_ohm_per_100m(26, stranded=True) < 14  # the most a cord may resist (from memory)


def test_a_channel_is_the_sum_of_its_pieces_and_contacts():
    link, cord = Piece(90, conductor_ohm_per_100m(24)), Piece(5, conductor_ohm_per_100m(26, stranded=True))
    plain = loop_ohm(link.ohm_per_100m, 90, 4) + 2 * loop_ohm(cord.ohm_per_100m, 5, 4)
    assert channel_ohm([cord, link, cord], 4) == pytest.approx(plain)
    assert channel_ohm([cord, link, cord], 4, 45) == pytest.approx(at_temperature(plain, 45))
    assert channel_ohm([link], 2, connectors=4) - channel_ohm([link], 2) == pytest.approx(4 * CONTACT_OHM)
    assert channel_ohm([link], 4, connectors=4) - channel_ohm([link], 4) == pytest.approx(2 * CONTACT_OHM)


# --- reach


@pytest.mark.parametrize(
    ("cable_c", "shielded", "reach"),
    [(20, False, "100"), (-30, True, "100"), (40, False, "92.592"), (45, False, "90.090"), (60, False, "83.333"), (45, True, "95.238")],
)
def test_reach_shrinks_as_the_loss_rises(cable_c, shielded, reach):
    assert reach_m(Decimal(100), Decimal(cable_c), shielded) == Decimal(reach)


def test_loss_rises_faster_above_40_c_in_unscreened_cable_only():
    assert [float(loss_rise(heat, False)) for heat in (20, 40, 50, 60)] == [0, 0.08, 0.14, 0.2]
    assert [float(loss_rise(heat, True)) for heat in (20, 40, 60)] == [0, 0.04, 0.08]


# --- current


def test_current_shares_out_over_pairsets_and_conductors():
    assert (amps_per_pairset(1.2, 2), amps_per_pairset(1.2, 4)) == (1.2, 0.6)
    assert (amps_per_conductor(1.2, 2), amps_per_conductor(1.2, 4)) == (0.6, 0.3)


def test_the_worst_conductor_belongs_to_the_pairset_that_resists_less():
    assert worst_conductor_amps(1.2, 4, 7) == pytest.approx(0.321)
    assert worst_conductor_amps(1.2, 2, 7) == 0.6
    low, high = 0.93, 1.07  # two pairsets side by side, by Kirchhoff
    assert worst_conductor_amps(1.2, 4, 7) == pytest.approx(1.2 * high / (low + high) / 2)


# --- single spans and ladders, as an independent sweep found them

SINGLES = [
    (50, 12.5, 25.5, 0.600, 42.50, 30.00),
    (50, 6.25, 51, 1.200, 42.50, 60.00),
    (52, 6.25, 71.3, 1.7315, 41.18, 90.04),
    (44, 20, 12.95, 0.350, 37.0, 15.40),
    (50, loop_ohm(8.42, 100, 2), 25.5, 0.5635, 45.26, 28.17),
    (50, loop_ohm(8.42, 50, 4), 51, 1.068, 47.75, 53.40),
    (52, loop_ohm(6.68, 60, 4), 71.3, 1.4525, 49.09, 75.53),
    (50, loop_ohm(8.42 * CCA_RATIO, 100, 2), 25.5, 0.6058, 42.09, None),
]


@pytest.mark.parametrize(("volts", "ohm", "load_w", "amps", "end_v", "head_w"), SINGLES)
def test_single_spans(volts, ohm, load_w, amps, end_v, head_w):
    line = solve_line(volts, [Span(ohm, load_w)])
    assert line.head_amps == pytest.approx(amps, abs=0.0005)
    assert line.end.volts == pytest.approx(end_v, abs=0.02)
    assert head_w is None or line.head_w == pytest.approx(head_w, abs=0.02)


def test_round_figures_come_out_round():
    line = solve_line(50, [Span(12.5, 25.5)])
    assert (line.head_amps, line.end.volts, line.head_w, line.end.watts, line.loss_w) == (0.6, 42.5, 30.0, 25.5, 4.5)
    assert solve_line(50, [Span(12.5, 25.5), Span(0, 0)]).head_w == 30.0


def long_line(pairs, pd_w, conductor_c):
    ohm = at_temperature(8.42, conductor_c)
    return [Span(loop_ohm(ohm, length, pairs), load_w) for length, load_w in ((100, 3), (100, 3), (100, 3), (5, pd_w))]


@pytest.mark.parametrize(
    ("volts", "pairs", "pd_w", "conductor_c", "head_w", "amps", "end_v"),
    [
        (52, 4, 12.95, 20, 24.03, 0.462, 46.87),
        (52, 4, 25.5, 20, 41.40, 0.796, 42.62),
        (52, 4, 25.5, 45, 42.50, 0.817, 41.41),
        (55, 4, 25.5, 20, 40.34, 0.733, 46.36),
        (50, 2, 12.95, 20, 28.36, 0.567, 37.26),
    ],
)
def test_three_extenders_and_a_device_305_m_away(volts, pairs, pd_w, conductor_c, head_w, amps, end_v):
    line = solve_line(volts, long_line(pairs, pd_w, conductor_c))
    assert line.head_w == pytest.approx(head_w, abs=0.02)
    assert line.head_amps == pytest.approx(amps, abs=0.001)
    assert line.end.volts == pytest.approx(end_v, abs=0.02)


def test_a_two_pair_source_of_50_v_cannot_feed_25_w_305_m_away():
    assert solve_line(50, long_line(2, 25.5, 20)) is None


def test_a_heavy_load_near_the_head_and_a_tiny_one_at_the_end_have_their_upper_point():
    """Over the end voltage the head voltage has two valleys here; the lower one needs less than the source gives."""
    without = solve_line(50, [Span(12.5, 45)])
    line = solve_line(50, [Span(12.5, 45), Span(5, 0.001)])
    assert line.spans[0].volts == pytest.approx(without.end.volts, abs=0.001)
    assert solve_line(50, [Span(12.5, 50.001), Span(5, 0.001)]) is None


def test_spans_without_length_and_taps_without_load():
    line = solve_line(50, [Span(0, 3), Span(6, 0), Span(0, 25.5), Span(4, 0)])
    plain = solve_line(50, [Span(6, 25.5)])
    assert [span.volts for span in line.spans] == [50, plain.end.volts, plain.end.volts, plain.end.volts]
    assert line.head_w == pytest.approx(plain.head_w + 3)
    assert solve_line(48, [Span(5, 3), Span(5, 0)]).end.watts == 0  # a data-only device behind an extender


def test_a_line_at_its_very_collapse_still_stands():
    assert solve_line(50, [Span(12.5, 50)]).end.volts == 25
    assert solve_line(50, [Span(12.5, 50 + 1e-9)]) is None
    assert solve_line(50, [Span(12.5, 50 * (1 - 1e-9)), Span(0, 0)]).end.volts == pytest.approx(25, abs=0.002)
    assert solve_line(50, [Span(12.5, 50 * (1 + 1e-9)), Span(0, 0)]) is None


@pytest.mark.parametrize("wrong", [-1.0, nan, inf])
def test_a_span_refuses_what_is_no_resistance_or_load(wrong):
    with pytest.raises(ValueError, match="a span needs"):
        Span(wrong, 1)
    with pytest.raises(ValueError, match="a span needs"):
        Span(1, wrong)


@pytest.mark.parametrize(("volts", "spans"), [(0, [Span(1, 1)]), (-50, [Span(1, 1)]), (nan, [Span(1, 1)]), (50, [])])
def test_a_line_needs_a_source_and_a_span(volts, spans):
    with pytest.raises(ValueError, match="a line needs"):
        solve_line(volts, spans)


# --- many lines at once


def random_tables(count, spans):
    rng = np.random.default_rng(spans)
    shape = (count, spans)
    return rng.uniform(44, 57, count), rng.uniform(0, 30 / spans, shape), rng.uniform(0, 80 / spans, shape)


@pytest.mark.parametrize("spans", [1, 2, 5])
def test_many_lines_at_once_are_the_same_lines_to_the_last_digit(spans):
    volts, ohm, load_w = random_tables(400, spans)
    together = solve_lines(volts, ohm, load_w)
    assert 0 < together.solved.sum() < 400
    for number, head in enumerate(volts.tolist()):
        line = solve_line(head, list(map(Span, ohm[number].tolist(), load_w[number].tolist())))
        assert (line is not None) == together.solved[number]
        if line is None:
            assert np.isnan([together.head_w[number], *together.volts[number], *together.amps[number]]).all()
            continue
        assert (line.head_w, line.head_amps) == (together.head_w[number], together.head_amps[number])
        for place, span in enumerate(line.spans):
            assert (span.volts, span.watts) == (together.volts[number, place], together.watts[number, place])
            assert (span.amps, span.loss_w) == (together.amps[number, place], together.loss_w[number, place])


def test_short_lines_are_filled_up_without_changing_them():
    filled = solve_lines([50, 50], [[12.5, 0, 0], [4, 4, 4]], [[25.5, 0, 0], [3, 3, 25]])
    assert (filled.head_w[0], filled.volts[0].tolist()) == (30.0, [42.5, 42.5, 42.5])


@pytest.mark.parametrize(
    ("volts", "ohm", "load_w", "words"),
    [
        ([50], [[1, 2]], [[1]], "lines need"),
        ([50, 50], [[1]], [[1]], "lines need"),
        ([50], [[]], [[]], "lines need"),
        ([[50], [50]], [[1], [1]], [[1], [1]], "lines need"),
        ([50], [[-1]], [[1]], "ohm holds"),
        ([50], [[1]], [[nan]], "load_w holds"),
        ([0], [[1]], [[1]], "volts holds"),
    ],
)
def test_many_lines_refuse_what_does_not_fit(volts, ohm, load_w, words):
    with pytest.raises(ValueError, match=words):
        solve_lines(volts, ohm, load_w)


# --- margins


def test_the_most_a_line_delivers_is_v_squared_over_4_r_with_nothing_else_on_it():
    assert most_load_w(50, [Span(12.5, 25.5)]) == pytest.approx(50)
    assert collapse_margin_pct(50, 25.5) == pytest.approx(96.08, abs=0.01)
    assert collapse_margin_pct(50, 60) == pytest.approx(-16.67, abs=0.01)
    assert collapse_margin_pct(50, 0) == inf


def test_the_most_with_a_voltage_kept():
    assert most_load_w(50, [Span(12.5, 1)], lambda line: line.end.volts >= 42.5) == pytest.approx(25.5, abs=1e-5)
    assert most_load_w(50, [Span(12.5, 1)], lambda line: line.end.volts >= 49.9) == pytest.approx(0.3992, abs=1e-4)
    assert most_load_w(50, [Span(12.5, 1)], lambda line: line.end.volts > 50) == 0
    assert most_load_w(50, [Span(0, 1)]) == inf


def test_what_a_line_delivers_less_its_extenders_is_what_collapses_it():
    spans = long_line(2, 0, 20)
    most = most_load_w(50, spans)
    assert solve_line(50, [*spans[:-1], Span(spans[-1].ohm, most * (1 - 1e-6))]) is not None
    assert solve_line(50, [*spans[:-1], Span(spans[-1].ohm, most * (1 + 1e-6))]) is None


# --- laws

ohms = st.floats(0, 30).map(lambda value: round(value, 3))
loads = st.floats(0, 40).map(lambda value: round(value, 3))
ladder_spans = st.lists(st.builds(Span, ohms, loads), min_size=1, max_size=5)
heads = st.floats(40, 57).map(lambda value: round(value, 2))


@settings(deadline=None)
@given(heads, ladder_spans)
def test_energy_balances_to_a_microwatt(volts, spans):
    line = solve_line(volts, spans)
    assume(line is not None)
    drawn = sum(span.load_w for span in spans)
    lost = sum(state.loss_w for state in line.spans)
    assert line.head_w == pytest.approx(drawn + lost, abs=1e-6)
    assert line.head_w == pytest.approx(volts * line.head_amps, abs=6e-5)


@settings(deadline=None)
@given(heads, ladder_spans)
def test_every_span_obeys_ohm_and_every_node_kirchhoff(volts, spans):
    line = solve_line(volts, spans)
    assume(line is not None)
    onwards = [state.amps for state in line.spans[1:]] + [0]
    before = [volts, *(state.volts for state in line.spans)]
    for span, state, start, leaving in zip(spans, line.spans, before, onwards, strict=False):
        assert start - state.volts == pytest.approx(state.amps * span.ohm, abs=5e-5)
        assert (state.amps - leaving) * state.volts == pytest.approx(span.load_w, abs=2e-4)


ROUNDING = 2e-6  # volts and watts are held to six decimals


def falls(volts, before, after):
    """No voltage rises and the head gives no less, or there is no operating point any more."""
    first, second = solve_line(volts, before), solve_line(volts, after)
    if first is None:
        return second is None
    if second is None:
        return True
    lower = all(new.volts <= old.volts + ROUNDING for old, new in zip(first.spans, second.spans, strict=True))
    return lower and second.head_w >= first.head_w - ROUNDING


@settings(deadline=None)
@given(heads, ladder_spans, st.integers(0, 4), st.floats(0.01, 20))
def test_another_watt_or_ohm_anywhere_never_raises_a_voltage(volts, spans, place, more):
    place %= len(spans)
    for grown in (replace(spans[place], load_w=spans[place].load_w + more), replace(spans[place], ohm=spans[place].ohm + more)):
        assert falls(volts, spans, [*spans[:place], grown, *spans[place + 1 :]])


@settings(deadline=None)
@given(heads, ladder_spans, st.integers(0, 4), st.floats(0, 1), loads)
def test_a_tap_anywhere_never_raises_a_voltage(volts, spans, place, share, load_w):
    place %= len(spans)
    span = spans[place]
    near, far = Span(span.ohm * share, load_w), Span(span.ohm * (1 - share), span.load_w)
    untapped = [*spans[:place], replace(near, load_w=0), far, *spans[place + 1 :]]
    assert falls(volts, untapped, [*spans[:place], near, far, *spans[place + 1 :]])


@settings(deadline=None)
@given(st.integers(1, 100), st.integers(1, 50), st.floats(0.5, 40), st.sampled_from([2, 4]), st.floats(-40, 80))
def test_length_heat_and_a_pair_removed_lower_the_device_and_raise_the_head(run_m, more_m, load_w, pairs, conductor_c):
    def line(length, heat, over):
        return [Span(channel_ohm([Piece(length, 8.42)], over, heat), load_w)]

    before = line(run_m, conductor_c, pairs)
    for after in (line(run_m + more_m, conductor_c, pairs), line(run_m, conductor_c + 10, pairs), line(run_m, conductor_c, 2)):
        assert falls(50, before, after)
        assert most_load_w(50, after) <= most_load_w(50, before) * (1 + 1e-9)


@settings(max_examples=50, deadline=None)
@given(heads, ladder_spans)
def test_the_most_a_ladder_delivers_falls_with_length_and_temperature_and_rises_with_voltage(volts, spans):
    hotter = [replace(span, ohm=at_temperature(span.ohm, 45)) for span in spans]
    most = most_load_w(volts, spans)
    assert most_load_w(volts, hotter) <= most * (1 + 1e-9)
    assert most_load_w(volts + 1, spans) >= most * (1 - 1e-9)
    assert most_load_w(volts, [replace(spans[0], ohm=spans[0].ohm + 1), *spans[1:]]) <= most * (1 + 1e-9)


@settings(deadline=None)
@given(heads, ladder_spans)
def test_voltages_fall_outwards_and_currents_never_rise(volts, spans):
    line = solve_line(volts, spans)
    assume(line is not None)
    outwards = [volts, *(state.volts for state in line.spans)]
    assert outwards == list(accumulate(outwards, min))
    currents = [state.amps for state in line.spans]
    assert currents == list(accumulate(currents, min))


def test_a_line_at_its_very_collapse_ends_at_half_its_voltage() -> None:
    """By hand: V/2 arrives where 4 R P = V^2; 50 V, 12.5 ohm, 50 W. A thousandth of a watt more has no operating point."""
    line = solve_line(50, [Span(12.5, 50)])
    assert line is not None
    assert line.end.volts == 25
    many = solve_lines([50, 50], [[12.5], [12.5]], [[50], [50.001]])
    assert many.volts[0, 0] == 25
    assert list(many.solved) == [True, False]


def test_voltages_below_a_volt_are_voltages() -> None:
    """By hand: 0.3 W behind 0.1 ohm on 1 V: (1 + sqrt(1 - 0.12)) / 2."""
    line = solve_line(1, [Span(0.1, 0.3)])
    assert line is not None
    assert line.end.volts == pytest.approx((1 + sqrt(0.88)) / 2, abs=1e-6)
    ladder = solve_line(0.9, [Span(0.1, 0.1), Span(0.1, 0.1)])
    assert ladder is not None
    assert 0.8 < ladder.end.volts < 0.9


@pytest.mark.parametrize("volts", [0, -1, float("inf"), float("nan")])
def test_a_source_that_is_none_is_refused(volts: float) -> None:
    with pytest.raises(ValueError, match="needs a voltage above 0"):
        solve_line(volts, [Span(1, 1)])
