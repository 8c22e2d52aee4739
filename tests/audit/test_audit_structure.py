"""Where things are plugged in, runs and their extenders, and what is there already: the bounds, and the words."""

import pytest
from good_kit import Case, Table


def two_desks(case: Case) -> None:
    """A second desk switch that is there already, with a phone of its own."""
    case.scenario["owned"].append({"model": "desk", "place": "shop", "count": 1})
    case.kit["units"].append({"unit": "shop-2", "model": "desk", "place": "shop", "owned": True})
    case.row("phone.2").update(unit="shop-2", port=1)


def remarked(case: Case, rule: str) -> list[str]:
    return [f"{one.where}: {one.message}" for one in case.remarks().get(rule, [])]


def test_rows_of_equipment_already_there_add_up() -> None:
    case = Case()
    two_desks(case)
    assert case.broken() == {}
    assert remarked(case, "already there") == ["place shop: 2 of 2 desk already there are used."]
    case.scenario["owned"].append({"model": "desk", "place": "shop", "count": 3})
    assert remarked(case, "already there") == ["place shop: 2 of 5 desk already there are used; 3 left unused."]


@pytest.mark.parametrize(
    ("model", "count", "said"),
    [
        ("dc120", 1, "1 of 1 dc120 already there is used."),
        ("dc120", 3, "1 of 3 dc120 already there is used; 2 left unused."),
        ("ac500", 2, "2 of 2 ac500 already there stay unused."),
    ],
)
def test_a_supply_already_there_is_used_where_it_is_in_a_switch_of_its_place(model: str, count: int, said: str) -> None:
    case = Case()
    case.scenario["owned"] = [{"model": model, "place": "hut", "count": count}]
    assert remarked(case, "already there") == [f"place hut: {said}"]


@pytest.mark.parametrize(("run_m", "needless"), [(300, True), (300.001, False)])
def test_an_extender_is_needed_from_the_first_millimetre_beyond_what_is_reached_without_it(run_m: float, needless: bool) -> None:
    """Two extenders of 100 m each reach 300 m."""
    case = Case()
    case.device("far")["run_m"] = run_m
    told = ["device far: 300 m are reached without the last of 3 extenders; the run of 300 m does not need it."]
    assert case.broken() == ({"extender count": told} if needless else {})


def stated_at(*metres: float) -> list[Table]:
    return [{"model": "ext", "at_m": at} for at in metres]


@pytest.mark.parametrize(("at_m", "wrong"), [(100.0005, False), (99.9995, False), (100.0006, True), (99.9994, True)])
def test_an_extender_is_where_it_is_stated_to_half_a_millimetre(at_m: float, wrong: bool) -> None:
    case = Case()
    case.row("far")["extenders"] = stated_at(at_m, 200, 300)
    told = [f"device far: Extender ext is stated at {at_m} m; it stands at 100 m."]
    assert case.broken() == ({"extender position": told} if wrong else {})


def test_an_unknown_extender_on_one_run_does_not_excuse_those_on_the_next() -> None:
    case = Case()
    case.row("light")["extenders"] = [{"model": "none such"}]
    case.row("far")["extenders"] = stated_at(100, 200, 290)
    assert case.broken()["extender position"] == ["device far: Extender ext is stated at 290 m; it stands at 300 m."]


def test_extenders_on_a_line_without_a_run_are_no_more_than_that() -> None:
    case = Case()
    case.row("far").update(place="shop", unit="shop-1", group="all", port=3, injector=None)
    assert case.broken() == {"place": ["device far: It cannot be cabled to shop; it can be to hut."]}


@pytest.mark.parametrize(
    ("column", "bears", "too_much", "told"),
    [
        ("path_high_c", 60, 60.5, "is rated up to 60 C; 60.5 C is needed"),
        ("path_low_c", -40, -40.5, "is rated down to -40 C; -40.5 C is needed"),
        ("path_ip", "IP66", "IP67", "has IP66; IP67 is needed"),
    ],
)
def test_an_extender_bears_its_path_up_to_its_ratings(column: str, bears: object, too_much: object, told: str) -> None:
    case = Case()
    case.device("far")[column] = bears
    assert case.broken() == {}
    case.device("far")[column] = too_much
    assert case.broken() == {"extender path": [f"device far: Extender ext {told} on its path."]}


def test_an_injector_that_the_kit_does_not_have_is_told() -> None:
    case = Case()
    case.row("far")["injector"]["unit"] = "hut-9"
    assert case.broken()["unit"] == ["device far: It is plugged into unit hut-9, which the kit does not have."]


@pytest.mark.parametrize(
    ("stated", "words"), [({"run_m": 49}, "49 m"), ({"cable": "thin"}, "thin"), ({"run_m": 49, "cable": "thin"}, "49 m of thin")]
)
def test_a_run_that_is_not_there_is_told_as_it_was_stated(stated: Table, words: str) -> None:
    case = Case()
    case.row("light").update(stated)
    assert case.broken() == {"route": [f"device light: No run to hut is {words}; there is 50 m of cat6."]}


def test_of_a_long_cascade_the_switch_and_the_eight_above_it_are_named() -> None:
    case = Case()
    for number in range(2, 10):
        feed = {"unit": f"mast-{number - 1}", "group": "out", "port": 4}
        case.kit["units"].append({**case.unit("mast-1"), "unit": f"mast-{number}", "fed_by": feed})
    names = [f"mast-{number}" for number in range(9, 0, -1)]
    assert case.broken()["cascade"][-2:] == [
        f"unit mast-8: It is 8 feeds away from the mains; 1 allowed: {' from '.join([*names[1:], 'hut-1'])}.",
        f"unit mast-9: It is 9 feeds away from the mains; 1 allowed: {' from '.join(names)}.",
    ]
