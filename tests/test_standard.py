from dataclasses import fields
from decimal import Decimal

import pytest

from equipsel.standard import (
    CLASSES,
    CLAUSE_ROWS,
    MAX_PD_W,
    NOT_DERIVED,
    ORIGINS,
    TYPES,
    Certainty,
    PowerClass,
    assigned_class,
    class_for_watts,
    granted_watts,
    head_volts,
    highest_class,
    line_pairs,
    origin,
    port_carries,
    smallest_class,
    source_watts,
)


@pytest.mark.parametrize("row", CLAUSE_ROWS, ids=lambda row: f"clause {row.clause} class {row.number}")
def test_the_identity_gives_what_a_port_reserves_but_for_the_rows_named(row):
    fits = abs(row.derived_w - float(row.pse_w)) <= 0.05
    assert fits == ((row.clause, row.number) not in NOT_DERIVED)


def test_the_rows_that_do_not_fit_are_off_by_what_is_said_of_them():
    derived = {(row.clause, row.number): row.derived_w for row in CLAUSE_ROWS}
    assert derived[145, 1] == pytest.approx(3.92, abs=0.005)
    assert derived[145, 5] == pytest.approx(45.08, abs=0.005)
    assert source_watts(44, 20, 13.0) == pytest.approx(15.47, abs=0.005)  # class 3's 13.0 W does not fit clause 33


@pytest.mark.parametrize(("volts", "ohm", "watts"), [(44, 20, 24.2), (50, 12.5, 50), (50, 6.25, 100), (52, 6.25, 108.16)])
def test_past_a_quarter_of_v_squared_over_r_nothing_flows(volts, ohm, watts):
    assert source_watts(volts, ohm, watts - 1e-6) == pytest.approx(2 * watts, rel=1e-3)
    assert source_watts(volts, ohm, watts + 1e-6) is None


def test_a_source_gives_the_load_where_nothing_resists_or_nothing_is_drawn():
    assert source_watts(50, 0, 25.5) == 25.5
    assert source_watts(50, 12.5, 0) == 0


def test_every_figure_of_a_class_says_where_it_comes_from():
    assert set(ORIGINS) == {field.name for field in fields(PowerClass)}
    assert origin(4, "pd_w").certainty is Certainty.CONFIRMED
    assert origin(5, "pd_min_v").certainty is Certainty.MEMORY
    assert origin(6, "pd_min_v").certainty is Certainty.SECONDARY
    with pytest.raises(KeyError):
        origin(4, "colour")


def test_the_class_table():
    rows = [(row.number, str(row.pd_w), str(row.pse_w), row.pse_min_v, row.loop_ohm, row.pairs, row.pd_min_v) for row in CLASSES.values()]
    assert rows == [
        (0, "12.95", "15.4", 44, 20, 2, 37),
        (1, "3.84", "4.0", 44, 20, 2, 37),
        (2, "6.49", "7.0", 44, 20, 2, 37),
        (3, "12.95", "15.4", 44, 20, 2, 37),
        (4, "25.5", "30", 50, 12.5, 2, 42.5),
        (5, "40", "45", 50, 6.25, 4, 44.3),
        (6, "51", "60", 50, 6.25, 4, 42.5),
        (7, "62", "75", 52, 6.25, 4, 42.9),
        (8, "71.3", "90", 52, 6.25, 4, 41.1),
    ]
    assert [(row.type, row.amps_per_pairset) for row in CLASSES.values()] == [(1, 0.35)] * 4 + [(2, 0.6)] + [(3, 0.6)] * 2 + [(4, 0.96)] * 2
    assert [str(row.port_w) for row in TYPES.values()] == ["15.4", "30", "60", "90"]
    assert max(row.pd_w for row in CLASSES.values()) == MAX_PD_W


def test_no_class_asks_more_of_a_device_than_its_type_has_in_volts_at_full_load():
    for row in CLASSES.values():
        amps = source_watts(row.pse_min_v, row.loop_ohm, float(row.pd_w)) / row.pse_min_v
        assert row.pse_min_v - amps * row.loop_ohm >= row.pd_min_v - 0.1
        assert amps / (row.pairs / 2) <= row.amps_per_pairset + 0.001


@pytest.mark.parametrize(
    ("watts", "number"), [(0.1, 0), (12.95, 0), (12.96, 4), (25.5, 4), (25.51, 5), (40, 5), (51, 6), (62, 7), (71.3, 8), (71.4, None)]
)
def test_class_of_a_draw(watts, number):
    assert class_for_watts(watts) == number
    assert class_for_watts(Decimal(str(watts))) == number


def test_the_smallest_class_carries_its_own_most():
    assert [smallest_class(float(row.pd_w)) for row in CLASSES.values()] == [3, 1, 2, 3, 4, 5, 6, 7, 8]
    assert [smallest_class(row.pd_w + Decimal("0.001")) for row in CLASSES.values()] == [4, 2, 3, 4, 5, 6, 7, 8, None]
    assert smallest_class(0) == 1


@pytest.mark.parametrize(
    ("port_w", "number"), [("3.9", None), ("4", 1), ("7", 2), ("15.4", 3), ("29.9", 3), ("30", 4), ("60", 6), ("89.9", 7), ("90", 8)]
)
def test_highest_class_of_a_port(port_w, number):
    assert highest_class(Decimal(port_w)) == number


def test_a_port_carries_a_class_whose_reserve_it_can_give():
    assert port_carries(Decimal("15.4"), 0)
    assert port_carries(Decimal(30), 4)
    assert not port_carries(Decimal("29.999"), 4)


@pytest.mark.parametrize(
    ("number", "port_w", "assigned"),
    [(4, "30", 4), (4, "15.4", 3), (6, "30", 4), (8, "60", 6), (0, "15.4", 0), (0, "7", 2), (3, "3", None)],
)
def test_a_smaller_port_demotes_a_device_to_its_own_class(number, port_w, assigned):
    assert assigned_class(number, Decimal(port_w)) == assigned


@pytest.mark.parametrize(("port_w", "volts"), [("15.4", 44), ("15.5", 50), ("30", 50), ("60", 50), ("60.1", 52), ("90", 52)])
def test_worst_case_voltage_of_a_port(port_w, volts):
    assert head_volts(Decimal(port_w)) == volts


def test_classes_5_to_8_go_over_four_pairs_whatever_the_port_feeds():
    assert [line_pairs(number, 2) for number in CLASSES] == [2] * 5 + [4] * 4
    assert [line_pairs(number, 4) for number in CLASSES] == [4] * 9


@pytest.mark.parametrize(("number", "watts", "granted"), [(4, 25.5, "30.0"), (8, 71.3, "90.1"), (6, 51, "60.0"), (3, 5, "5.3")])
def test_a_grant_is_the_identity_rounded_up_to_a_tenth(number, watts, granted):
    assert granted_watts(number, watts) == Decimal(granted)


def test_no_grant_past_the_collapse_of_the_standards_channel():
    with pytest.raises(ValueError, match="collapses"):
        granted_watts(3, 25)
