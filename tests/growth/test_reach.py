"""How far a kit reaches, and the cost of one device more: by hand, by law, against solving each number on its own."""

from decimal import Decimal

from sketch import catalog, device, ports, scenario, site, switch

from equipsel.growth.curve import Curve, CurveTask, curve
from equipsel.growth.headroom import PORTS, WATTS, first_out, headroom
from equipsel.growth.plans import Terms
from equipsel.growth.reach import MIX, reach, reach_tasks
from equipsel.growth.spread import spread
from equipsel.growth.stages import grown
from equipsel.growth.words import ordinal, reach_words, step_words
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

TERMS = Terms(Decimal(0), 600.0)
BOXES = catalog(
    switch("four", 100, 65, ports(4, 30)),
    switch("eight", 150, 130, ports(8, 30)),
    cables=[{"model": "c", "price_per_m": "0.333", "awg": 24}],
    extras=[{"item": "bracket", "price": 7, "per": "device", "for": "camera"}],
)


def hall(count: int = 3, boxes: object = BOXES, **place: object) -> Site:
    places = [{"place": "hall", **place}]
    return site(scenario(device("cam", 12.95, count=count, kind="camera"), device("phone", 3.5, class_=1), places=places), boxes)  # type: ignore[arg-type]


def reaches(described: Site) -> dict[str, tuple[int, dict[tuple[str, str], int], int | None]]:
    kit = cheapest_kit(described.scenario, described.catalog)
    found = [reach(task) for task in reach_tasks(described, kit, TERMS)]
    assert all(one.proven for one in found)
    return {one.what: (one.most, one.buys, one.extra_cents) for one in found}


def test_by_hand_a_full_switch_reaches_nowhere_and_an_eight_four_further() -> None:
    assert reaches(hall()) == {what: (0, {("four", "hall"): 1}, 10_000) for what in ("camera", "phone", MIX)}
    assert reaches(hall(count=4)) == {what: (3, {("four", "hall"): 1}, 10_000) for what in ("camera", "phone", MIX)}


def test_watts_end_a_reach_before_ports_do() -> None:
    boxes = catalog(switch("weak", 50, 50, ports(8, 30)))
    described = hall(count=2, boxes=boxes)
    kit = cheapest_kit(described.scenario, described.catalog)
    room = first_out(headroom(kit, described))
    assert room is not None
    assert (room.what, float(room.used), float(room.limit)) == (WATTS, 34.8, 50)
    assert reaches(described)["camera"][0] == 0
    assert reaches(described)["phone"][0] == 3
    ports_ = next(one for one in headroom(kit, described) if one.what == PORTS)
    assert (ports_.used, ports_.left) == (3, 5)


def test_where_no_kit_takes_the_next_one_the_reasons_are_told() -> None:
    described = hall(outlets=1)
    kit = cheapest_kit(described.scenario, described.catalog)
    found = {task.what: reach(task) for task in reach_tasks(described, kit, TERMS)}
    assert found["camera"].extra_cents == 15_000
    full = hall(count=7, outlets=1)
    kit = cheapest_kit(full.scenario, full.catalog)
    last = reach(reach_tasks(full, kit, TERMS)[0])
    assert last.most == 0
    assert "outlets" in reach_words(last)


def traced(described: Site, most: int) -> Curve:
    today = cheapest_kit(described.scenario, described.catalog)
    return curve(CurveTask("camera", {"cam": described.scenario.device["cam"].count}, most, described, TERMS, today))


def test_a_curve_is_what_solving_each_number_gives_with_fewer_searches() -> None:
    described = hall()
    found = traced(described, 12)
    assert found.complete()
    for number in range(13):
        alone = grown(described, spread({"cam": 3}, number))
        kit = cheapest_kit(alone.scenario, alone.catalog, Limits(Decimal(0), 600.0))
        assert found.points[number].cost == round(100 * (kit.cost or 0)), number
    costs = [point.cost for _, point in sorted(found.points.items())]
    assert costs == sorted(costs)
    assert found.solved < 13
    assert step_words(found, 1) == "the 1st camera needs 1 x eight at hall instead of 1 x four at hall: +50.00"
    assert [number for number in range(13) if step_words(found, number)] == [1, 5, 9]


def test_a_curve_ends_where_no_kit_is_left_and_says_why() -> None:
    found = traced(hall(outlets=1), 12)
    assert found.ends == 5
    assert sorted(found.points) == [0, 1, 2, 3, 4]
    assert found.complete()
    assert any("outlets" in reason for reason in found.reasons)


def test_adding_nothing_changes_nothing() -> None:
    found = traced(hall(), 0)
    kit = cheapest_kit(hall().scenario, hall().catalog)
    assert [(number, point.cost) for number, point in found.points.items()] == [(0, round(100 * (kit.cost or 0)))]


def test_numbers_are_counted_as_people_do() -> None:
    assert [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 21, 101, 111)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "101st", "111th",
    ]  # fmt: skip
