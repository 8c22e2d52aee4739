from math import ceil
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sketch import catalog, device, fed, ports, run, scenario, site, switch

from equipsel.feeds.fed import FedBuild
from equipsel.feeds.ways import all_builds
from equipsel.program.tangents import Tangent, granted_tangents, head_tangents
from equipsel.standard import CLASSES, source_watts

PLACES = [{"place": "hall"}, {"place": "mast", "mains": False}]


def build(run_m: float = 100, basis: str = "stated", **more: Any) -> FedBuild:
    """A mast switch on class 6: 51 W at most, 42.85 W to hand out."""
    described = scenario(device("d", 5, "mast"), rules={"budget_basis": basis}, places=PLACES, runs=[run("mast", "hall", run_m)])
    extender = {"model": "ext", "price": 1, "own_w": "2.5", "in_class": 8, "port_w": 90}
    pole = fed("pole", 50, 6, ports(4, 30), own_w="3.05", efficiency="0.9", **more)
    bought = catalog(switch("root", 9, 300, ports(4, 90), volts=55), pole, extenders=[extender])
    found = (item for item in all_builds(site(described, bought)) if isinstance(item, FedBuild))
    return next(item for item in found if item.class_ == 6)


BUILDS = {"no length": build(0), "100 m": build(100), "one extender": build(150), "two extenders": build(205)}


def at(tangent: Tangent, handed_mw: int) -> float:
    return float(tangent.slope * handed_mw + tangent.base_mw)


def head_mw(unit: FedBuild, handed_mw: int) -> float:
    return unit.line_at(handed_mw).head_w * 1000


def identity_mw(unit: FedBuild, handed_mw: int) -> float:
    row = CLASSES[unit.fed[0].number or 0]
    found = source_watts(row.pse_min_v, row.loop_ohm, unit.line_at(handed_mw).spans[0].watts)
    assert found is not None
    return found * 1000


@pytest.mark.parametrize("name", BUILDS)
@pytest.mark.parametrize("curve", ["head", "granted"])
@pytest.mark.parametrize("point", [0, 1, 12_345, 42_850])
def test_a_tangent_is_exact_at_its_point_but_for_its_margin(name: str, curve: str, point: int) -> None:
    unit = BUILDS[name]
    tangents, value = (head_tangents, head_mw) if curve == "head" else (granted_tangents, identity_mw)
    (tangent,) = tangents(unit, [point], 0.0)
    assert at(tangent, point) == pytest.approx(value(unit, point), abs=0.0015)
    (lower,) = tangents(unit, [point])
    assert at(tangent, point) - at(lower, point) == pytest.approx(0.02, abs=1e-6)


@pytest.mark.parametrize("name", BUILDS)
@pytest.mark.parametrize("point", [0, 20_000, 42_850])
@given(handed=st.integers(0, 42_850))
@settings(max_examples=25, deadline=None)
def test_no_tangent_is_ever_above_what_the_port_above_reserves(name: str, point: int, handed: int) -> None:
    unit = BUILDS[name]
    (head,), (granted,) = head_tangents(unit, [point]), granted_tangents(unit, [point])
    assert at(head, handed) <= head_mw(unit, handed)
    assert at(granted, handed) <= identity_mw(unit, handed)
    assert ceil(at(head, handed)) <= unit.upstream_mw(handed)


@pytest.mark.parametrize("name", BUILDS)
def test_a_slope_is_that_of_the_curve(name: str) -> None:
    unit, step = BUILDS[name], 200
    for tangents, value in ((head_tangents, head_mw), (granted_tangents, identity_mw)):
        (tangent,) = tangents(unit, [20_000])
        assert float(tangent.slope) == pytest.approx((value(unit, 20_000 + step) - value(unit, 20_000 - step)) / (2 * step), rel=1e-5)


def test_without_length_the_slope_is_the_conversion_loss() -> None:
    (tangent,) = head_tangents(BUILDS["no length"], [10_000])
    assert float(tangent.slope) == pytest.approx(1 / 0.9, abs=1e-8)


def test_what_is_lost_grows_faster_than_what_is_handed_out() -> None:
    slopes = [tangent.slope for tangent in head_tangents(BUILDS["two extenders"], [0, 20_000, 42_850])]
    assert slopes == sorted(set(slopes))
