from decimal import Decimal
from fractions import Fraction

import pytest

from equipsel.quantities import cents, milliwatts_down, milliwatts_up, money, resolved, share_down, share_up, watts


@pytest.mark.parametrize(
    ("amount", "up", "down"),
    [
        (Decimal("12.95"), 12_950, 12_950),
        (Decimal("12.9501"), 12_951, 12_950),
        (0.1 + 0.2, 300, 300),
        (28.17600049, 28_176, 28_176),  # within the resolution of six decimals: no milliwatt more
        (28.176001, 28_177, 28_176),
        (Fraction(1, 3), 334, 333),
        (0, 0, 0),
    ],
)
def test_loads_round_up_and_budgets_down(amount: Decimal | Fraction | float, up: int, down: int) -> None:
    assert (milliwatts_up(amount), milliwatts_down(amount)) == (up, down)


@pytest.mark.parametrize(
    ("amount", "expected"), [("0.004", 0), ("0.005", 1), ("1.015", 102), ("2.675", 268), ("0.0149999", 1), ("1000000.005", 100_000_001)]
)
def test_half_a_cent_goes_up(amount: str, expected: int) -> None:
    assert cents(Decimal(amount)) == expected


def test_money_has_two_decimals() -> None:
    assert str(money(1200)) == "12.00"
    assert str(money(5)) == "0.05"


def test_binary_noise_is_dropped() -> None:
    assert resolved(0.1 + 0.2) == 0.3
    assert resolved(1.0000004) == 1.0


@pytest.mark.parametrize(("pct", "total", "down", "up"), [(70, 10, 7, 7), (50, 3, 1, 2), (Decimal("33.3"), 10, 3, 4), (0, 9, 0, 0)])
def test_shares_are_whole(pct: int | Decimal, total: int, down: int, up: int) -> None:
    assert (share_down(Decimal(pct), total), share_up(Decimal(pct), total)) == (down, up)


def test_milliwatts_are_shown_in_watts() -> None:
    assert watts(15_400) == 15.4
