"""Figures and lists as the re-check says them."""

from fractions import Fraction

import pytest

from equipsel.audit.words import listed, say, say_mw


@pytest.mark.parametrize(
    ("value", "digits", "said"),
    [
        (12.5, 3, "12.5"),
        (Fraction(1, 3), 3, "0.333"),
        (100, 3, "100"),
        (100, 0, "100"),
        (1e-9, 3, "0"),
        (0.61236, 4, "0.6124"),
        (7.0, 1, "7"),
    ],
)
def test_a_figure_has_no_idle_zeros(value: float, digits: int, said: str) -> None:
    assert say(value, digits) == said


def test_three_decimals_are_the_habit_and_milliwatts_are_watts() -> None:
    assert (say(2.00049), say(2.0005001)) == ("2", "2.001")
    assert (say_mw(12_345), say_mw(30_000), say_mw(1)) == ("12.345 W", "30 W", "0.001 W")


def test_a_list_ends_where_it_gets_long() -> None:
    names = [f"d{number}" for number in range(10)]
    assert listed([]) == "none"
    assert listed(names[:2]) == "d0, d1"
    assert listed(names[:8]) == "d0, d1, d2, d3, d4, d5, d6, d7"
    assert listed(names[:9]) == "d0, d1, d2, d3, d4, d5, d6, d7 and 1 more"
    assert listed(names, most=3) == "d0, d1, d2 and 7 more"
