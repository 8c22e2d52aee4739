import json
from dataclasses import replace
from math import inf, nan

import pytest
import typer
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from equipsel.circuit import Span, conductor_ohm_per_100m, solve_line
from equipsel.commands.voltage_drop import voltage_drop_command
from equipsel.standard import CLASSES
from equipsel.voltage_drop import Question, QuestionError, answer, as_dict, problems, report, sentence, solve

LONG = Question(run_m=305, watts=25.5, extender_w=(3, 3, 3), cable_c=20)

app = typer.Typer()
app.command()(voltage_drop_command)


def run(*words):
    return CliRunner().invoke(app, list(map(str, words)))


# --- the answer in words


def test_works_with_so_many_volts_above_the_minimum():
    found = answer(replace(LONG, volts=55, pairs=4))
    assert sentence(found) == "works: 46.4 V at the device, 3.9 V above its minimum"
    assert found.line.head_w == pytest.approx(40.34, abs=0.02)


def test_exactly_at_the_minimum_works():
    found = answer(Question(run_m=100, watts=25.5, volts=50, min_volts=solve(Question(run_m=100, watts=25.5)).line.end.volts))
    assert sentence(found).endswith("at the device, exactly its minimum")


def test_no_operating_point_says_the_most_it_can_deliver_and_what_would_work():
    found = answer(replace(LONG, volts=50, pairs=2))
    assert not found.works
    assert sentence(found).startswith("does not work: no operating point; the most this line can deliver is 19.3 W")
    assert "a 90 W source (four pairs, 52 V)" in sentence(found)
    assert found.collapse_w == pytest.approx(19.34, abs=0.05)
    assert -100 < found.collapse_margin_pct < 0


def test_below_the_minimum_says_by_how_much():
    found = answer(Question(run_m=100, watts=25.5, cca=True, cable_c=20))
    assert sentence(found).startswith("does not work: 42.1 V at the device, 0.4 V below its minimum of 42.5 V")
    assert "copper instead of copper-clad aluminium" in [change.words for change in found.changes]
    assert any("does not comply" in warning for warning in found.warnings)


def test_a_hair_below_the_minimum_is_shown_as_such():
    volts = solve(Question(run_m=80, watts=20)).line.end.volts
    short = answer(Question(run_m=80, watts=20, min_volts=volts + 0.004))
    assert not short.works
    assert "0.004 V below its minimum" in sentence(short)


def test_close_to_collapse_is_a_warning():
    limit = answer(Question(run_m=500, watts=20, port_w=60, min_volts=1)).collapse_w
    near = Question(run_m=500, watts=round(limit * 0.97, 3), port_w=60, min_volts=1)
    assert any("more draw would collapse the line" in warning for warning in answer(near).warnings)
    assert answer(replace(near, watts=round(limit * 1.001, 3))).line is None


def test_extenders_alone_may_collapse_a_line():
    found = answer(Question(run_m=600, watts=1, extender_w=(20,) * 5, awg=28))
    assert found.collapse_w == 0
    assert "it cannot feed even its extenders" in sentence(found)


def test_where_nothing_helps_it_says_so():
    found = answer(Question(run_m=100, watts=1, min_volts=57))
    assert found.changes == []
    assert "feed the device from nearer" in sentence(found)


# --- the source and the classes along the line


def test_the_source_left_open_is_the_weakest_that_carries_the_class():
    source = solve(Question(run_m=50, watts=12.95)).source
    assert (source.number, source.port_w, source.volts, source.pairs) == (0, 15.4, 44, 2)
    source = solve(Question(run_m=50, class_=8)).source
    assert (source.number, source.port_w, source.volts, source.pairs) == (8, 90, 52, 4)


def test_extenders_raise_the_class_the_source_must_carry():
    solved = solve(replace(LONG, volts=55))
    assert solved.classes == (5, 5, 5, 4)
    assert (solved.source.number, solved.source.port_w, solved.source.pairs) == (5, 45, 4)


def test_a_chain_that_collapses_on_two_pairs_is_fed_over_four():
    assert solve(replace(LONG, volts=55, pairs=2)).line is None
    assert solve(replace(LONG, volts=55)).line is not None
    assert solve(replace(LONG, volts=55, run_m=2000)).line is None


def test_a_source_too_weak_for_what_its_extenders_draw_does_not_work():
    assert any("must carry class 5 (45 W)" in rule for rule in answer(replace(LONG, volts=55, port_w=30, pairs=4)).broken)
    assert answer(replace(LONG, volts=55, port_w=45)).works


def test_a_weak_port_demotes_the_device():
    found = answer(Question(run_m=20, watts=25.5, port_w=15.4))
    assert any("it would assign class 3, at most 12.95 W" in rule for rule in found.broken)
    assert [change.words for change in found.changes if change.kind == "source"] == ["a 30 W source (two pairs, 50 V)"]


def test_classes_5_to_8_do_not_work_on_two_pairs():
    found = answer(Question(run_m=20, watts=40, pairs=2))
    assert "class 5 needs four pairs, the line has two" in found.broken
    assert "four pairs" in [change.words for change in found.changes]


def test_an_extender_that_needs_four_pairs_on_two_is_a_warning():
    found = answer(Question(run_m=305, watts=12.95, extender_w=(3, 3, 3), cable_c=20, volts=50, pairs=2))
    assert found.works
    assert found.line.end.volts == pytest.approx(37.26, abs=0.02)
    assert any("extender 1 draws class 5" in warning for warning in found.warnings)


def test_more_than_any_class_at_the_first_extender_does_not_work():
    found = answer(Question(run_m=101, watts=71.3, extender_w=(10,), volts=57, awg=22, min_volts=40))
    assert any("above the 71.3 W any class may draw" in rule for rule in found.broken)


def test_an_extender_keeps_its_own_minimum():
    found = answer(replace(LONG, volts=55, extender_min_volts=48))
    assert [rule.split(",")[0] for rule in found.broken] == ["46.5 V at extender 3"]


def test_more_current_than_a_pairset_may_carry_does_not_work():
    found = answer(Question(run_m=10, watts=25.5, volts=42, port_w=60, min_volts=30))
    assert [rule for rule in found.broken if "in a pairset" in rule]


# --- cable


def test_spans_end_at_the_extenders():
    assert LONG.lengths_m == (100, 100, 100, 5)
    assert replace(LONG, span_m=80, extender_w=(1,)).lengths_m == (80, 225)
    assert replace(LONG, run_m=90).lengths_m == (22.5, 22.5, 22.5, 22.5)


def test_cords_at_both_ends_are_part_of_the_run():
    (plain,) = solve(Question(run_m=100, watts=10, cable_c=20)).spans
    (corded,) = solve(Question(run_m=100, watts=10, cable_c=20, cord_m=5)).spans
    more = (conductor_ohm_per_100m(26, stranded=True) - conductor_ohm_per_100m(24)) * 10 / 100
    assert corded.ohm - plain.ohm == pytest.approx(more)
    first, _, _, last = solve(replace(LONG, cord_m=2, connectors=1)).spans
    assert first.ohm > solve(LONG).spans[0].ohm
    assert last.ohm > solve(LONG).spans[3].ohm


def test_heat_shortens_the_reach_and_past_the_span_no_data_arrives():
    def warned(**fields):
        return " ".join(answer(Question(watts=5, **fields)).warnings)

    assert "data reaches 90.1 m over unscreened cable" in warned(run_m=95)
    assert warned(run_m=95, shielded=True) == ""
    assert warned(run_m=95, cable_c=20) == ""
    assert "the longest is 150 m: it needs extenders" in warned(run_m=150)
    assert "2 extenders where 1 would reach" in warned(run_m=150, extender_w=(1, 1), cable_c=20)


def test_above_0_3_a_in_a_conductor_the_local_code_is_pointed_to():
    assert any("local code limits" in warning for warning in answer(Question(run_m=50, watts=71.3)).warnings)
    assert not answer(Question(run_m=50, watts=51, cable_c=20)).warnings


def test_a_minimum_from_memory_is_named():
    assert any("from memory" in warning for warning in answer(Question(run_m=10, class_=7)).warnings)
    assert not any("from memory" in warning for warning in answer(Question(run_m=10, class_=7, min_volts=42)).warnings)


def test_unbalance_falls_on_the_worst_conductor_of_four_pairs_only():
    four = answer(Question(run_m=50, watts=51, unbalance_pct=10))
    assert four.worst_conductor_amps == pytest.approx(four.line.head_amps / 4 * 1.1, abs=1e-6)
    two = answer(Question(run_m=50, watts=20, unbalance_pct=10))
    assert two.worst_conductor_amps == pytest.approx(two.line.head_amps / 2, abs=1e-6)


def test_mains_and_battery():
    found = answer(Question(run_m=0, watts=20, efficiency=0.8, backup_minutes=60))
    assert found.mains_w == 25
    assert found.battery_wh == pytest.approx(25 / 0.8 * 1.25)


# --- suggestions are tried


@settings(max_examples=60, deadline=None)
@given(
    st.integers(20, 400),
    st.floats(1, 71.3),
    st.lists(st.floats(1, 8), max_size=3),
    st.sampled_from([22, 24, 26, 28]),
    st.sampled_from([None, 2, 4]),
    st.booleans(),
)
def test_every_suggestion_works_when_made(run_m, watts, extenders, awg, pairs, cca):
    found = answer(Question(run_m=run_m, watts=watts, extender_w=tuple(extenders), awg=awg, pairs=pairs, cca=cca))
    assert bool(found.changes) <= (not found.works)
    for change in found.changes:
        assert answer(change.made(found.question)).works, change.words


def test_changes_that_only_work_together_are_offered_together():
    found = answer(Question(run_m=305, watts=25.5, extender_w=(3, 3, 3), awg=26, pairs=2))
    assert found.changes[0].kind == "together"
    assert " with " in found.changes[0].words


def test_the_shorter_run_is_the_longest_that_works():
    found = answer(Question(run_m=100, watts=25.5, awg=26))
    (shorter,) = [change for change in found.changes if change.kind == "run"]
    longest = shorter.fields["run_m"]
    assert answer(replace(found.question, run_m=longest)).works
    assert not answer(replace(found.question, run_m=longest + 1)).works


def test_the_most_it_delivers_is_what_still_works():
    found = answer(Question(run_m=100, watts=15, class_=4, awg=28))
    assert answer(replace(found.question, watts=found.most_w)).works
    assert not line_works(found, found.most_w + 0.001)


def line_works(found, watts):
    line = solve_line(found.solved.source.volts, [Span(found.solved.spans[0].ohm, watts)])
    return line.end.volts >= 42.5 and line.head_w <= found.solved.source.port_w


# --- what cannot be answered


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"awg": 0}, "--awg is 0; it must be 10 to 32"),
        ({"run_m": -5}, "--run-m is -5; it must be 0 to 10000"),
        ({"watts": nan}, "--watts is nan; it must be 0 to 71.3"),
        ({"watts": 200}, "--watts is 200; it must be 0 to 71.3"),
        ({"volts": inf}, "--volts is inf; it must be 30 to 57"),
        ({"efficiency": 0}, "--efficiency is 0; it must be above 0 to 1"),
        ({"span_m": 0}, "--span-m is 0; it must be above 0"),
        ({"pairs": 3}, "--pairs is 3; it must be 2 or 4"),
        ({"extender_w": (1, -1)}, "--extender-w is -1; it must be 0 to 71.3"),
        ({"extender_w": (1,) * 7}, "--extender-w is given 7 times"),
        ({"class_": 9}, "--class is 9; it must be 0 to 8"),
        ({"class_": 2, "watts": 6.5}, "class 2 draws at most 6.49 W"),
        ({"class_": 4, "watts": 30}, "class 4 draws at most 25.5 W"),
        ({"watts": None}, "neither --watts nor --class"),
        ({"cord_m": 51}, "the run is too short for it"),
        ({"cord_m": 10, "run_m": 205, "extender_w": (1, 1)}, "the run is too short for it"),
    ],
)
def test_a_bad_value_says_what_is_allowed(fields, words):
    (problem,) = problems(replace(Question(run_m=100, watts=10), **fields))
    assert words in problem
    with pytest.raises(QuestionError) as caught:
        answer(replace(Question(run_m=100, watts=10), **fields))
    assert caught.value.problems == [problem]


# --- the command


def test_the_command_answers_in_words_with_a_table():
    done = run("--watts", 25.5, "--run-m", 305, *["--extender-w", 3] * 3, "--volts", 55, "--pairs", 4, "--cable-c", 20)
    assert done.exit_code == 0
    lines = done.stdout.splitlines()
    assert lines[0] == "works: 46.4 V at the device, 3.9 V above its minimum"
    assert [line.split()[-1] for line in lines if line.startswith(("extender", "device  "))] == ["5", "5", "5", "4"]
    assert "A meter at the device should read 46.4 V, 0.550 A, 25.50 W." in lines
    assert "to the local code" in done.stdout


def test_the_command_in_json_prints_nothing_else():
    done = run("--watts", 71.3, "--run-m", 100, "--json")
    data = json.loads(done.stdout)
    assert done.exit_code == 0
    assert (data["works"], data["class"], data["source"]["pairs"]) == (True, 8, 4)
    assert data["pse_w"] == pytest.approx(data["pd_w"] + data["loss_w"], abs=1e-5)
    assert len(data["spans"]) == 1


def test_a_line_that_does_not_work_exits_3_and_says_why():
    done = run("--watts", 25.5, "--run-m", 305, *["--extender-w", 3] * 3, "--volts", 50, "--pairs", 2, "--json")
    data = json.loads(done.stdout)
    assert done.exit_code == 3
    assert (data["works"], data["pd_volts"], data["spans"]) == (False, None, [])
    assert data["suggestions"]
    assert data["answer"].startswith("does not work: no operating point; the most this line can deliver is ")


def test_a_run_in_feet():
    feet, metres = (json.loads(run("--watts", 10, "--json", *length).stdout) for length in (["--run-ft", 100], ["--run-m", 30.48]))
    assert feet == metres


@pytest.mark.parametrize(
    ("words", "problem"),
    [
        (["--run-m", 10, "--run-ft", 10, "--watts", 5], "both --run-m and --run-ft are given"),
        (["--watts", 5], "neither --run-m nor --run-ft is given"),
        (["--watts", "nan", "--run-m", 10], "--watts is nan"),
        (["--watts", 200, "--run-m", 10], "--watts is 200"),
        (["--watts", 5, "--run-m", -1], "--run-m is -1"),
        (["--watts", 5, "--run-m", 10, "--awg", 0], "--awg is 0"),
        (["--watts", "much", "--run-m", 10], "Error"),
    ],
)
def test_bad_values_exit_2_with_nothing_on_standard_output(words, problem):
    done = run(*words)
    assert done.exit_code == 2
    assert problem in done.stderr
    assert done.stdout == ""


def test_the_most_of_every_class_is_no_problem():
    assert [problems(Question(run_m=10, class_=row.number, watts=float(row.pd_w))) for row in CLASSES.values()] == [[]] * 9


def test_every_problem_is_told_at_once():
    done = run("--watts", 200, "--run-m", -5, "--awg", 0, "--volts", "nan", "--pairs", 3)
    assert len(done.stderr.splitlines()) == 5


def test_a_data_only_device_draws_nothing():
    done = run("--watts", 0, "--run-m", 50)
    assert done.exit_code == 0
    assert done.stdout.startswith("works: 44.0 V at the device, which needs no power")
    assert "collapse" not in done.stdout


def test_nothing_resists_a_run_of_no_length():
    data = as_dict(answer(Question(run_m=0, watts=10)))
    assert (data["collapse_w"], data["most_w"]) == (None, None)
    assert "limited by the port alone" in report(answer(Question(run_m=0, watts=10)))


def test_power_that_works_where_data_does_not_reach_is_told_apart() -> None:
    found = answer(Question(watts=5, run_m=200))
    assert sentence(found).startswith("works for power, not for data: 41.8 V at the device")
    assert sentence(found).endswith("data does not reach: 200 m in one span, 100 m at most without an extender")
