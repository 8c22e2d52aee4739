"""How long a whole site takes: rooms to choose from, masts fed in up to two steps, N+1 supplies, energy. Run with -s to see the figures."""

import sys
from pathlib import Path

import pytest
from valley import valley

from equipsel.catalog import Catalog
from equipsel.kit import Kit, Status
from equipsel.scenario import Scenario
from equipsel.solve import Limits, cheapest_kit

sys.path.insert(0, str(Path(__file__).parents[1] / "outside"))

from textbook import textbook

SECONDS = 180.0
UNITS = 3
"""Numbered units of each model in each place: no kit of these sites needs more."""


def told(kit: Kit) -> Kit:
    print(f"\n{len(kit.connections)} devices: {kit.status} in {kit.seconds} s, cost {kit.cost}, bound {kit.lower_bound}, gap {kit.gap}")
    return kit


def test_a_small_valley_is_proven():
    kit = told(cheapest_kit(*valley(in_rooms=40, on_masts=4), Limits(time_limit_s=60)))
    assert kit.status is Status.OPTIMAL
    assert len(kit.connections) == 44


def beside(site: tuple[Scenario, Catalog], kit: Kit, seconds: float) -> None:
    """The textbook model on the same site: it may not contradict the kit, and does not prove its own sooner."""
    peer = textbook(*site, UNITS, seconds)
    gap = "-" if peer.cost is None or peer.bound is None else f"{1 - peer.bound / peer.cost:.4f}"
    print(f"textbook: cost {peer.cost}, bound {peer.bound}, gap {gap}, {peer.seconds:.1f} s, {peer.binaries} binaries")
    assert peer.cost is None or peer.cost >= kit.lower_bound - 0.03
    assert peer.bound is None or peer.bound <= kit.cost + 0.03


def test_a_hamlet_beside_the_textbook_model():
    """Both prove the same cost: the textbook model knows fed switches, N+1 supplies and energy."""
    site = valley(in_rooms=4, on_masts=2)
    kit, peer = told(cheapest_kit(*site, Limits(time_limit_s=60))), textbook(*site, 1, 60)
    assert kit.status is Status.OPTIMAL
    assert peer.cost == pytest.approx(kit.cost, abs=0.03)
    assert peer.bound == pytest.approx(kit.cost, abs=0.03)


@pytest.mark.slow
def test_a_valley_of_150_devices_is_proven_by_class():
    """With the textbook model in the same run and the same time limit."""
    site = valley(basis="class")
    kit = told(cheapest_kit(*site, Limits(time_limit_s=SECONDS)))
    assert kit.status is Status.OPTIMAL
    assert len(kit.connections) == 150
    beside(site, kit, SECONDS)


@pytest.mark.slow
def test_a_valley_of_150_devices_by_stated_draw_has_a_kit_in_a_minute():
    """Not proven in that time: the masts hold the bound down (5 to 9 % where this was written)."""
    kit = told(cheapest_kit(*valley(basis="stated"), Limits(time_limit_s=60)))
    assert kit.status in (Status.OPTIMAL, Status.FEASIBLE)
    assert len(kit.connections) == 150
    assert kit.gap is not None
    assert kit.gap < 0.15
