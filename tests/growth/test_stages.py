"""Stages: what is to be added becomes sites, shares stay, percentages round up, nothing added is no stage."""

import pytest
from sketch import catalog, device, ports, run, scenario, site, switch

from equipsel.files import InputError
from equipsel.files.limits import MOST_DEVICES
from equipsel.growth.spread import spread
from equipsel.growth.stages import NEW, Stages, stages
from equipsel.growth.wishes import Wish, of_table, of_texts
from equipsel.site import Site

BOX = switch("box", 100, 200, ports(8, 30))


def place(*devices: dict[str, object], **tables: object) -> Site:
    return site(scenario(*devices, **tables), catalog(BOX))  # type: ignore[arg-type]


def counts(found: Stages) -> list[dict[str, int]]:
    return [{row.device: row.count for row in stage.site.scenario.devices} for stage in found.stages]


CAMERAS = (device("cam", 5, count=3, kind="camera"), device("dome", 6, count=1, kind="camera"), device("door", 9))


def test_more_go_to_the_row_that_has_grown_least() -> None:
    assert [spread({"cam": 3, "dome": 1}, more) for more in range(5)] == [{}, {"cam": 1}, {"cam": 2}, {"cam": 3}, {"cam": 3, "dome": 1}]
    assert spread({"a": 1, "b": 1}, 3) == {"a": 2, "b": 1}


def test_stages_hold_what_the_ones_before_added() -> None:
    found = stages(place(*CAMERAS), of_texts("--add", ["cam=2", "kind:camera=50%;door=1"], place(*CAMERAS).scenario))
    assert [stage.name for stage in found.stages] == ["now", "cam=2", "kind:camera=50%;door=1"]
    assert counts(found) == [{"cam": 3, "dome": 1, "door": 1}, {"cam": 5, "dome": 1, "door": 1}, {"cam": 8, "dome": 1, "door": 2}]
    assert found.stages[2].added == {"cam": 3, "door": 1}
    assert found.notes == ()


def test_a_percentage_rounds_up_and_says_so() -> None:
    found = stages(place(*CAMERAS), {"next": [Wish("cam", "20%")]})
    assert counts(found)[1]["cam"] == 4
    assert found.notes == ("stage next: 20% of 3 cam are rounded up to 1",)


def test_stages_that_add_nothing_collapse() -> None:
    plain = place(*CAMERAS)
    found = stages(plain, {"idle": [Wish("cam", "0")], "next": [Wish("door", "1")]})
    assert [stage.name for stage in found.stages] == ["now", "next"]
    assert found.notes == ("stage idle adds nothing: it is left out",)
    assert stages(plain, {"idle": [Wish("cam", "0%")]}).stages[0].site.scenario == plain.scenario


def test_old_cable_does_not_grow_with_its_devices() -> None:
    rows = (device("phone", 5, count=2, existing_cable=True),)
    found = stages(
        place(*rows, runs=[run("phone", "loft", 40, existing=1)]), {"next": [Wish("phone", "1")], "later": [Wish("phone", "50%")]}
    )
    assert counts(found) == [{"phone": 2}, {"phone": 2, "phone" + NEW: 1}, {"phone": 2, "phone" + NEW: 3}]
    new = found.stages[1].site.scenario
    assert not new.device["phone" + NEW].existing_cable
    assert [(row.from_, row.to, row.existing) for row in new.runs] == [("phone", "loft", 1), ("phone" + NEW, "loft", 0)]


def test_a_new_device_is_described_once_and_may_grow() -> None:
    rows = [
        {"stage": "dock", "device": "gate", "watts": 20, "place": "hall", "run_m": 50, "add": "2"},
        {"stage": "night", "device": "gate", "add": "50%"},
    ]
    plain = place(*CAMERAS, growth=rows)
    found = stages(plain, of_table(plain.scenario.growth))
    assert [stage.site.scenario.device["gate"].count for stage in found.stages[1:]] == [2, 3]
    assert found.stages[2].site.scenario.device["gate"].run_m == 50


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("kam=2", "--add, kam: no device is called 'kam'; did you mean 'cam'?"),
        ("camera=2", "--add, camera: 'camera' is a kind of device, and no device; write kind:camera=2"),
        ("kind:cameras=2", "--add, kind:cameras: no kind of device is called 'cameras'; did you mean 'camera'?"),
        ("cam=-3", "--add, cam: '-3' is no count and no percentage; write a whole number, or 20%"),
        ("cam=500%", "--add, cam: 500% is more than twice what is there; write the number of devices to add"),
        ("cam", "--add: 'cam' says not how many; write device=8, device=20% or kind:camera=8, several in one stage apart by semicolons"),
        (";", "--add: ';' adds nothing; write device=8, device=20% or kind:camera=8, several in one stage apart by semicolons"),
    ],
)
def test_what_is_wrong_with_add_is_told(text: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        of_texts("--add", [text], place(*CAMERAS).scenario)
    assert [str(problem) for problem in caught.value.problems] == [message]


def test_the_same_text_twice_is_two_stages() -> None:
    assert list(of_texts("--add", ["cam=1", "cam=1", "cam=1;door=2"], place(*CAMERAS).scenario)) == ["cam=1", "cam=1 #2", "cam=1;door=2"]


def test_too_many_devices_are_refused() -> None:
    with pytest.raises(InputError, match="are planned in one go"):
        stages(place(*CAMERAS), {"next": [Wish("cam", str(MOST_DEVICES))]})
