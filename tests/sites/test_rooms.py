"""Rooms to choose from: one larger switch and longer cable against two small ones, and the price of cable where that tips."""

from decimal import Decimal

import pytest
from build import Row, bill, catalog, places, ports, refused, scenario, solved

SMALL = {"model": "small", "price": 100, "budget_w": 65, "groups": {"power": ports(4, 15.4)}}
LARGE = {"model": "large", "price": 150, "budget_w": 130, "groups": {"power": ports(8, 15.4)}}
NEAR = {"device": "near", "count": 4, "class": 3, "place": "east", "run_m": 20}
FAR = {"device": "far", "count": 4, "class": 3, "place": "west", "run_m": 20}
ACROSS = {"from": "far", "to": "east", "run_m": 70}


def two_rooms(price_per_m: Decimal, install: str = "0", **west: object):
    cable = {"model": "cable", "price_per_m": price_per_m, "awg": 23, "install_cost_per_m": install}
    rooms = [{"place": "east"}, {"place": "west", **west}]
    return scenario(places=rooms, devices=[NEAR, FAR], runs=[ACROSS]), catalog(switches=[SMALL, LARGE], cables=[cable])


def one_larger(price_per_m: Decimal, **more: object) -> bool:
    """Whether the kit has the one larger switch; anything else must be two small ones."""
    kit = solved(*two_rooms(price_per_m, **more))
    larger = bill(kit).get("large", 0) == 1
    assert places(kit) == (["east"] * 8 if larger else ["west"] * 4 + ["east"] * 4)
    return larger


def tipping_price(**more: object) -> Decimal:
    """The price of a metre up to which one larger switch is chosen, by bisection to a ten-thousandth."""
    low, high, step = Decimal(0), Decimal(1), Decimal("0.0001")
    assert one_larger(low, **more)
    assert not one_larger(high, **more)
    while high - low > step:
        middle = ((low + high) / 2).quantize(step)
        if one_larger(middle, **more):
            low = middle
        else:
            high = middle
    return low


def test_the_tipping_price_of_cable():
    # One larger saves 2 x 100 - 150 = 50 and needs 4 x (70 - 20) = 200 m more: even at 50 / 200 = 0.25 a metre, and fewer units then
    # decide. Lines are rounded to the cent: (560 - 360 m) x 0.25 +- half a cent is 0.25 to the ten-thousandth.
    assert tipping_price() == Decimal("0.25")


def test_the_tipping_price_with_pulling_and_opening():
    # Opening the west room costs 20 more, pulling 0.10 a metre: (50 + 20) / 200 - 0.10.
    assert tipping_price(install="0.10", open_cost=20) == Decimal("0.25")


def test_the_tipping_price_with_other_figures():
    # Opening costs 33: (50 + 33) / 200 = 0.415.
    assert tipping_price(open_cost=33) == Decimal("0.415")


@pytest.mark.parametrize(("price", "cost"), [("0.2", 150 + 360 * 0.2), ("0.3", 200 + 160 * 0.3)])
def test_what_either_costs(price, cost):
    assert solved(*two_rooms(Decimal(price))).cost == pytest.approx(cost)


def test_cables_already_across_are_used_first():
    # Three of the four cables across are there. At 10 a metre: one larger 150 + (360 - 210) x 10; two small ones 200 + 160 x 10; a larger
    # one for near and three far, a small one for the fourth in the west: 250 + (80 + 20) x 10. At 1 a metre the first: 300.
    rooms = [{"place": "east"}, {"place": "west"}]
    there = scenario(places=rooms, devices=[NEAR, FAR], runs=[{**ACROSS, "existing": 3}])
    site, bought = two_rooms(Decimal(10))
    assert bill(solved(there, bought)) == {"large": 1, "small": 1, "cable": 100}
    assert bill(solved(there, two_rooms(Decimal(1))[1])) == {"large": 1, "cable": 150}
    assert bill(solved(site, bought)) == {"small": 2, "cable": 160}


def boxed(count: int, sold_m: int) -> Row:
    """Devices in one room with cable in boxes."""
    cable = {"model": "cable", "price_per_m": 1, "awg": 23, "sold_m": sold_m}
    return bill(solved(scenario(devices=[{**NEAR, "count": count}]), catalog(switches=[LARGE], cables=[cable])))


def test_boxes_are_whole_over_the_site():
    # 8 x 20 = 160 m in boxes of 100 m; 5 x 20 = 100 m in one.
    assert boxed(8, 100)["cable"] == 2
    assert boxed(5, 100)["cable"] == 1


def test_a_box_half_empty_makes_longer_runs_free():
    # Two small ones: 160 m, one box of 400 m; one larger: 360 m, the same box. So the larger one, however dear the cable.
    cable = {"model": "cable", "price_per_m": 9, "awg": 23, "sold_m": 400}
    site, _ = two_rooms(Decimal(9))
    assert bill(solved(site, catalog(switches=[SMALL, LARGE], cables=[cable]))) == {"large": 1, "cable": 1}


def test_a_room_too_full_sends_its_devices_next_door():
    # The west room has no outlet left: all in the east, at whatever price.
    assert one_larger(Decimal(5), outlets=0)


def test_no_room_at_all():
    site, bought = two_rooms(Decimal(5), outlets=0)
    closed = site.model_copy(update={"runs": ()})
    assert "far" in refused(closed, bought)


def test_rack_holds_per_room():
    # 1 U in the east: a small one there, the larger one (2 U) not; cable at 0.10 a metre would else make it the larger one.
    cable = {"model": "cable", "price_per_m": "0.1", "awg": 23}
    bought = catalog(switches=[{**SMALL, "rack_u": 1}, {**LARGE, "rack_u": 2}], cables=[cable])
    for rack_u, chosen in ((1, {"small": 2, "cable": 160}), (2, {"large": 1, "cable": 360})):
        rooms = [{"place": "east", "rack_u": rack_u}, {"place": "west"}]
        assert bill(solved(scenario(places=rooms, devices=[NEAR, FAR], runs=[ACROSS]), bought)) == chosen


@pytest.mark.parametrize(("amps", "in_the_west"), [("0.372", 4), ("0.371", 3)])
def test_a_circuit_holds_per_room(amps, in_the_west):
    # 4 x 15.4 W / 0.9 = 68.444 W of mains. 80 % of 0.372 A x 230 V are 68.448 W, of 0.371 A 68.264 W: one device fewer.
    large = {**LARGE, "price": 150}
    rooms = [{"place": "east"}, {"place": "west", "circuit_a": amps, "circuit_v": 230}]
    bought = catalog(switches=[SMALL, large], cables=[{"model": "cable", "price_per_m": 3, "awg": 23}])
    kit = solved(scenario(places=rooms, devices=[NEAR, FAR], runs=[{**ACROSS, "run_m": 99}]), bought)
    assert places(kit).count("west") == in_the_west
