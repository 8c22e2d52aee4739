"""The program beside the textbook model (one binary for each device and each port group of each numbered unit).

Same solver, same run, on the 60-device scenario without what the textbook model does not know (batteries, extras, circuits).
Run with `-m slow -s` to see the figures.
"""

import sys
from decimal import Decimal
from pathlib import Path

import pytest

from equipsel.files import read_site
from equipsel.kit import Status
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT / "tests" / "outside"))

from textbook import textbook  # noqa: E402 (a neighbour's folder)

UNITS = 3
"""Numbered units of each model in each place: no kit of this site needs more."""

SECONDS = 180.0


def school() -> Site:
    """The 60-device scenario, and what both models know of it."""
    site = read_site(ROOT / "scenarios" / "school")
    stated = site.scenario
    rules = stated.rules.model_copy(update={"backup_minutes": Decimal(0)})
    places = tuple(row.model_copy(update={"circuit_a": None, "circuit_v": None}) for row in stated.places)
    scenario = Scenario(rules=rules, places=places, devices=stated.devices, runs=stated.runs, owned=stated.owned)
    return Site(scenario, site.catalog.model_copy(update={"extras": ()}))


@pytest.mark.slow
def test_sixty_devices_beside_the_textbook_model() -> None:
    site = school()
    kit = cheapest_kit(site.scenario, site.catalog, Limits(time_limit_s=SECONDS))
    peer = textbook(site.scenario, site.catalog, UNITS, SECONDS)
    assert kit.status is Status.OPTIMAL
    assert kit.cost is not None
    assert kit.seconds is not None
    print(f"\nprogram: {kit.cost} proven in {kit.seconds} s")
    print(f"textbook: {peer.cost}, bound {peer.bound}, {peer.seconds:.0f} s, {peer.binaries} binaries")
    print(f"ratio of seconds: {peer.seconds / kit.seconds:.0f}")
    assert peer.bound is not None
    assert peer.bound <= kit.cost + 0.01
    assert peer.cost is None or kit.cost <= peer.cost + 0.01
    assert peer.seconds > kit.seconds
