"""The gauge table against GNU units (Debian package units): its own wiregauge() and copperconductivity."""

import subprocess

import pytest
from tools import tool

from equipsel.circuit import conductor_ohm_per_100m, wire_diameter_m


def units(have, want):
    done = subprocess.run([tool("units", "units"), "-t", "-o", "%.10g", have, want], capture_output=True, text=True, check=True)
    return float(done.stdout)


@pytest.mark.parametrize("awg", [10, 22, 23, 24, 26, 28, 32])
def test_diameter_and_resistance_of_a_gauge(awg):
    assert wire_diameter_m(awg) == pytest.approx(units(f"wiregauge({awg})", "m"), rel=1e-5)
    theirs = units(f"100 m / (copperconductivity * pi * wiregauge({awg})^2 / 4)", "ohm")
    assert conductor_ohm_per_100m(awg) == pytest.approx(theirs, rel=1e-5)
