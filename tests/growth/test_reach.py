"""How far a kit reaches: by hand, and in words."""

from halls import TERMS, hall
from sketch import catalog, ports, switch

from equipsel.growth.headroom import PORTS, WATTS, first_out, headroom
from equipsel.growth.reach import MIX, reach, reach_tasks
from equipsel.growth.words import ordinal, reach_words
from equipsel.site import Site
from equipsel.solve import cheapest_kit


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


def test_numbers_are_counted_as_people_do() -> None:
    assert [ordinal(number) for number in (1, 2, 3, 4, 11, 12, 13, 21, 101, 111)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "101st", "111th",
    ]  # fmt: skip
