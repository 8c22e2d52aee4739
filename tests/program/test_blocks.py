"""Which builds belong to one block: those that may feed each other, and those that a rule or a line of the bill ties."""

import time
from collections.abc import Sequence
from typing import Any

import pytest
from sketch import Row, catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.program import coupled
from equipsel.program.adapter import Stop
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.model import Problem
from equipsel.program.search import Search, Ties

POLES = [fed("pole", 120, 4, ports(4, 30)), fed("strong pole", 160, 6, ports(4, 30))]
ROOMS = [switch("four", 90, 65, ports(4, 30), ip="IP65"), switch("eight", 180, 240, ports(2, 60), ports(6, 30, "weak"))]


def masts(
    place: Row | None = None,
    rules: Row | None = None,
    devices: Sequence[Row] = (),
    runs: Sequence[Row] = (),
    rooms: dict[str, Row] | None = None,
    **more: Any,
) -> Problem:
    """Two rooms with two cameras each, and a mast with two more that is fed from either; one camera in each room may go to the other."""
    rows = [device(f"{room} {number}", 12, room, count=1, existing_cable=True) for room in ("east", "west") for number in (1, 2)]
    rows += [device("lens", 6.49, "mast", count=2, run_m=5, existing_cable=True), *devices]
    spots: list[Row] = [
        *({"place": room, **(rooms or {}).get(room, {})} for room in ("east", "west")),
        {"place": "mast", "mains": False, **(place or {})},
    ]
    ways = [run("mast", "east", 40), run("mast", "west", 30), run("east 1", "west", 50), run("west 1", "east", 50), *runs]
    bought = catalog(*ROOMS, *POLES, cables=[{"model": "cat", "price_per_m": "0.5", "awg": 24}], **more)
    described = scenario(*rows, places=spots, runs=ways, rules={"budget_basis": "class", **(rules or {})})
    return problem(site(described, bought))


def places(found: Blocks) -> list[list[str]]:
    return [sorted({build.place for build in block.problem.builds}) for block in found.all]


def test_a_mast_fed_from_two_rooms_belongs_to_the_blocks_of_both() -> None:
    of = masts()
    found = blocks(of)
    assert places(found) == [["east", "mast"], ["mast", "west"]]
    builds = [at for block in found.all for at in block.part.builds]
    assert sorted(builds) == list(range(len(of.builds)))
    for block, room in zip(found.all, ("east", "west"), strict=True):
        assert {build.fed[1].place for build in block.problem.builds if build.place == "mast"} == {room}  # type: ignore[attr-defined]
    served = {of.groups[at].first.device.device for at in found.counts}
    assert "lens" in served


@pytest.mark.parametrize(
    ("place", "rules", "tables"),
    [
        ({"rack_u": 2}, {}, {}),
        ({"open_cost": 30}, {}, {}),
        ({}, {"spare_ports_pct": 10}, {}),
        ({}, {"max_critical_share_pct": 50}, {}),
        ({}, {"piece_cost": "0.005"}, {}),
        ({}, {}, {"extras": [{"item": "mast box", "per": "place", "price": 9}]}),
    ],
    ids=["rack", "opening", "spare ports", "critical share", "broken cents", "extra for each place"],
)
def test_what_ties_its_switches_ties_the_rooms(place: Row, rules: Row, tables: dict[str, Any]) -> None:
    assert places(blocks(masts(place, rules, **tables))) == [["east", "mast", "west"]]


@pytest.mark.parametrize(("there", "blocks_of_it"), [(0, 2), (1, 1), (2, 2)])
def test_cables_that_are_there_for_some_devices_of_a_mast_tie_the_rooms(there: int, blocks_of_it: int) -> None:
    more = [device("lamp", 6.49, "east", count=2, existing_cable=True)]
    assert len(blocks(masts(devices=more, runs=[run("lamp", "mast", 20, existing=there)])).all) == blocks_of_it


@pytest.mark.parametrize("basis", ["class", "stated", "granted"])
@pytest.mark.parametrize(("weak", "strong"), [("east", "west"), ("west", "east")])
def test_what_one_room_cannot_power_in_a_mast_is_at_home_with_the_other(weak: str, strong: str, basis: str) -> None:
    # what feeds the strong pole bears no wet room, and the other pole has too little for the heated camera
    more = [device("heated", 25, "mast", count=1, run_m=5, existing_cable=True)]
    of = masts(devices=more, rooms={weak: {"ip": "IP54"}}, rules={"budget_basis": basis})
    one = coupled.Coupled(blocks(of), 0.0, time.monotonic() + 60, None, None)
    assert one.begin()
    block_of = {room: at for at, found in enumerate(places(one.blocks)) for room in found if room != "mast"}
    homes = {of.groups[group].first.device.device: at for group, at in one.kit.columns.home.items()}
    assert homes == {"east 1": block_of["east"], "west 1": block_of["west"], "lens": 0, "heated": block_of[strong]}


def test_both_blocks_together_are_as_cheap_as_one_program(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(coupled, "_worth_it", lambda *_: True)
    of = masts()
    whole = Search(of, 0.0, 60, ties=Ties.NONE).run()
    apart = coupled.search(of, 0.0, 60, Ties.NONE)
    assert (apart.stop, apart.cost_cents) == (Stop.PROVEN, whole.cost_cents)
    assert whole.stop is Stop.PROVEN
