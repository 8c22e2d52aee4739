"""The ladder solver against ngspice, an analogue circuit simulator (Debian package ngspice).

A constant-power load is a behavioural current source I = P / max(V, floor). Where a line has no operating point the simulator
can only settle below the floor, where the load is no longer one of constant power. All lines run as separate circuits of one
deck.
"""

import re
import subprocess

import pytest
from ladders import ladders, oracle
from tools import tool

from equipsel.circuit import Span, solve_line

FLOOR = 0.02  # share of the head voltage below which a load stops drawing constant power
LADDERS = [ladder for ladder in ladders(160, seed=29) if min(ladder.ohm) > 0]


def deck(cases):
    lines = ["constant-power ladders", ".options reltol=1e-9 abstol=1e-12 vntol=1e-9 itl1=1000"]
    for number, ladder in enumerate(cases):
        lines.append(f"Vn{number} n{number}_0 0 DC {ladder.volts!r}")
        for place, (ohm, load_w) in enumerate(zip(ladder.ohm, ladder.load_w, strict=True), start=1):
            node = f"n{number}_{place}"
            lines.append(f"Rn{number}_{place} n{number}_{place - 1} {node} {ohm!r}")
            lines.append(f"Bn{number}_{place} {node} 0 I={load_w!r}/max(V({node}),{FLOOR * ladder.volts!r})")
            lines.append(f".nodeset V({node})={ladder.volts!r}")
    nodes = [f"print V(n{number}_{place})" for number, ladder in enumerate(cases) for place in range(1, len(ladder.ohm) + 1)]
    return "\n".join([*lines, ".control", "set numdgt=12", "op", *nodes, "quit", ".endc", ".end", ""])


def simulate(cases, folder):
    path = folder / "ladders.cir"
    path.write_text(deck(cases))
    done = subprocess.run([tool("ngspice", "ngspice"), "-b", path], capture_output=True, text=True, timeout=60, check=False)
    volts = {match[1]: float(match[2]) for match in re.finditer(r"v\((n\d+_\d+)\) = (\S+)", done.stdout)}
    assert volts, done.stdout + done.stderr
    return [[volts[f"n{number}_{place}"] for place in range(1, len(ladder.ohm) + 1)] for number, ladder in enumerate(cases)]


def test_ladders_with_an_operating_point_settle_where_the_simulator_does(tmp_path):
    cases = [ladder for ladder in LADDERS if oracle(ladder) is not None][:60]
    assert len(cases) == 60
    for ladder, theirs in zip(cases, simulate(cases, tmp_path), strict=True):
        line = solve_line(ladder.volts, list(map(Span, ladder.ohm, ladder.load_w)))
        assert line is not None
        assert [span.volts for span in line.spans] == pytest.approx(theirs, rel=1e-3)


def test_ladders_without_one_fall_through_the_floor_in_the_simulator(tmp_path):
    cases = [ladder for ladder in LADDERS if oracle(ladder) is None][:20]
    assert len(cases) == 20
    for ladder, theirs in zip(cases, simulate(cases, tmp_path), strict=True):
        assert min(theirs) < FLOOR * ladder.volts
        assert solve_line(ladder.volts, list(map(Span, ladder.ohm, ladder.load_w))) is None


def test_a_class_8_device_at_the_worst_channel_of_its_type(tmp_path):
    theirs = simulate([type(LADDERS[0])(52.0, (6.25,), (71.3,))], tmp_path)[0]
    line = solve_line(52.0, [Span(6.25, 71.3)])
    assert line is not None
    assert line.end.volts == pytest.approx(theirs[0], abs=1e-5)
    assert (line.head_w, line.head_amps) == pytest.approx((90.04, 1.7315), abs=0.005)
