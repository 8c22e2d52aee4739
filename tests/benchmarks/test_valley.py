"""How long a whole site takes: rooms to choose from, masts fed in up to two steps, N+1 supplies, energy. Run with -s to see the figures."""

import pytest
from valley import valley

from equipsel.kit import Kit, Status
from equipsel.solve import Limits, cheapest_kit


def told(kit: Kit) -> Kit:
    print(f"\n{len(kit.connections)} devices: {kit.status} in {kit.seconds} s, cost {kit.cost}, bound {kit.lower_bound}, gap {kit.gap}")
    return kit


def test_a_small_valley_is_proven():
    kit = told(cheapest_kit(*valley(in_rooms=40, on_masts=4), Limits(time_limit_s=60)))
    assert kit.status is Status.OPTIMAL
    assert len(kit.connections) == 44


@pytest.mark.slow
def test_a_valley_of_150_devices_is_proven_by_class():
    """It took 43 s where this was written; the limit leaves room for a slower machine."""
    kit = told(cheapest_kit(*valley(basis="class"), Limits(time_limit_s=180)))
    assert kit.status is Status.OPTIMAL
    assert len(kit.connections) == 150


@pytest.mark.slow
def test_a_valley_of_150_devices_by_stated_draw_has_a_kit_in_a_minute():
    """Not proven in that time: the masts hold the bound down (5 to 9 % where this was written)."""
    kit = told(cheapest_kit(*valley(basis="stated"), Limits(time_limit_s=60)))
    assert kit.status in (Status.OPTIMAL, Status.FEASIBLE)
    assert len(kit.connections) == 150
    assert kit.gap is not None
    assert kit.gap < 0.15
