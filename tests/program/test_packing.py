from dataclasses import replace
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sketch import catalog, device, ports, scenario, site, switch

from equipsel.feeds.builds import Build, mains_builds
from equipsel.program.packing import Item, Packed, pack


def build(budget_w: float = 100, *groups: Any, **more: Any) -> Build:
    where = site(scenario(device("d", 5)), catalog(switch("s", 1, budget_w, *(groups or (ports(8, 90),)), **more)))
    (found,) = mains_builds(where.scenario.place["hall"], where)
    return found


def items(unit: Build, loads: list[float], group: int = 0, traffic: float = 0, critical: bool = False) -> list[Item]:
    return [Item(unit.ports[group], round(load * 1000), Fraction(traffic), critical, index) for index, load in enumerate(loads)]


def watts(packed: list[Packed] | None) -> list[list[float]]:
    assert packed is not None
    return [sorted((item.load_mw / 1000 for item in unit.items), reverse=True) for unit in packed]


def test_what_pooled_arithmetic_allows_may_fit_no_units() -> None:
    # 200 W in two units of 100 W, but no part of them makes 100 W; 3 units hold them
    unit = build()
    loads: list[float] = [45, 35, 30, 30, 30, 30]
    assert pack(unit, 2, items(unit, loads)) is None
    assert [sum(held) <= 100 for held in watts(pack(unit, 3, items(unit, loads)))] == [True] * 3


def test_where_first_fit_fails_the_exact_packing_finds_it() -> None:
    # the largest first: 40 + 40, 30 + 30 + 30, and 30 left; but 40 + 30 + 30 twice
    unit = build()
    assert watts(pack(unit, 2, items(unit, [40, 40, 30, 30, 30, 30]))) == [[40, 30, 30]] * 2


def test_every_item_is_packed_once() -> None:
    unit = build()
    packed = pack(unit, 2, items(unit, [40, 40, 30, 30, 30, 30]))
    assert packed is not None
    assert sorted(item.what for one in packed for item in one.items) == [0, 1, 2, 3, 4, 5]


def test_ports_are_counted_by_group() -> None:
    unit = build(100, ports(1, 30, "a"), ports(3, 30, "b"))
    assert pack(unit, 1, items(unit, [5, 5], group=0)) is None
    assert pack(unit, 1, items(unit, [5, 5, 5], group=1)) is not None
    assert pack(unit, 2, items(unit, [5, 5], group=0)) is not None


def test_a_group_keeps_its_own_watts() -> None:
    unit = build(100, ports(4, 30, "a", group_w=50), ports(4, 30, "b"))
    assert pack(unit, 1, items(unit, [26, 26], group=0)) is None
    assert pack(unit, 1, items(unit, [26, 26], group=1)) is not None
    # two units of 50 W a group: 25 + 25 twice, but not 26, 26, 24, 24.1
    assert pack(unit, 2, items(unit, [26, 26, 24, 24.1], group=0)) is None
    assert pack(unit, 2, items(unit, [26, 26, 24, 24], group=0)) is not None


def test_traffic_is_packed_too() -> None:
    # 140 Mb/s a unit (70 % of 200): 60 and 60 fit, three of 60 in two units and not three in one
    unit = build(100, uplink_mbps=200)
    assert pack(unit, 1, items(unit, [5] * 3, traffic=60)) is None
    assert pack(unit, 2, items(unit, [5] * 3, traffic=60)) is not None
    assert pack(unit, 2, items(unit, [5] * 3, traffic=90)) is None


def test_critical_devices_are_spread() -> None:
    unit = build()
    assert pack(unit, 2, items(unit, [5] * 3, critical=True), critical=1) is None
    packed = pack(unit, 3, items(unit, [5] * 3, critical=True), critical=1)
    assert packed is not None
    assert [len(one.items) for one in packed] == [1, 1, 1]


def test_spare_watts_are_kept_in_every_unit() -> None:
    where = site(scenario(device("d", 5), rules={"spare_watts_pct": 10}), catalog(switch("s", 1, 100, ports(8, 90))))
    (unit,) = mains_builds(where.scenario.place["hall"], where)
    assert pack(unit, 1, items(unit, [45, 45])) is not None
    assert pack(unit, 1, items(unit, [45, 45.001])) is None


def test_nothing_to_pack_leaves_units_empty() -> None:
    unit = build()
    assert watts(pack(unit, 2, [])) == [[], []]


def test_work_grows_with_the_number_of_like_items_not_with_its_square(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    room = Packed.room
    monkeypatch.setattr(Packed, "room", lambda *given: asked.append(1) or room(*given))
    unit = build()
    assert pack(unit, 500, items(unit, [12] * 4000)) is not None
    assert len(asked) < 2 * 4000


def by_trying(unit: Build, units: int, held: list[Item]) -> bool:
    """Whether any arrangement at all keeps every limit."""
    for homes in product(range(units), repeat=len(held)):
        loads, counts = [0] * units, [0] * units
        for home, item in zip(homes, held, strict=True):
            loads[home] += item.load_mw
            counts[home] += 1
        if max(loads) <= unit.limit_mw and max(counts) <= unit.ports[0].count:
            return True
    return False


@given(st.lists(st.integers(10, 60), min_size=1, max_size=7), st.integers(1, 3))
@settings(max_examples=40, deadline=None)
def test_a_packing_is_found_exactly_where_there_is_one(loads: list[int], units: int) -> None:
    unit = build(100, ports(4, 90))
    held = items(unit, list(map(float, loads)))
    packed = pack(unit, units, held)
    assert (packed is not None) is by_trying(unit, units, held)


@pytest.mark.parametrize("units", [1, 2])
def test_a_unit_s_limit_holds_to_the_milliwatt(units: int) -> None:
    unit = build(100)
    exact = items(unit, [50, 50] * units)
    assert pack(unit, units, exact) is not None
    assert pack(unit, units, [replace(exact[0], load_mw=50_001), *exact[1:]]) is None
