"""Metres and feet."""

from decimal import Decimal

from equipsel.lengths import Lengths


def test_metres_stay_metres_and_a_foot_is_0_3048_of_them() -> None:
    assert Lengths.METRIC.of(Decimal("30.48")) == 30.48
    assert Lengths.IMPERIAL.of(Decimal("30.48")) == 100
    assert Lengths.IMPERIAL.of(0.3048) == 1
    assert [units.unit for units in Lengths] == ["m", "ft"]
