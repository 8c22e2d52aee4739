from decimal import Decimal
from fractions import Fraction

import pytest

from equipsel.heat import battery_watt_hours, btu_per_hour, circuit_watts, mains_watts, unit_heat_watts


def test_a_kilowatt_is_3412_btu_an_hour():
    assert btu_per_hour(1000) == 3412


def test_mains_draw_is_output_and_own_draw_over_efficiency_exactly():
    assert mains_watts(Decimal(18), Decimal(162), Decimal("0.9")) == 200
    assert mains_watts(0, Decimal("30"), Decimal("0.9")) == Fraction(100, 3)


@pytest.mark.parametrize("efficiency", [0, -0.5, 1.1])
def test_an_efficiency_is_a_share(efficiency):
    with pytest.raises(ValueError, match="efficiency"):
        mains_watts(0, 10, efficiency)


def test_what_does_not_leave_on_the_cables_heats_the_place():
    assert unit_heat_watts(mains_watts(20, 160, Decimal("0.9")), 160) == 40


def test_eighty_percent_of_a_circuit():
    assert circuit_watts(16, 230) == 2944
    assert circuit_watts(20, 120, 100) == 2400


def test_a_battery_is_sized_for_its_worn_state_behind_its_inverter():
    assert battery_watt_hours(180, 60, Decimal("0.9")) == 250
    assert battery_watt_hours(180, 0, Decimal("0.9")) == 0
