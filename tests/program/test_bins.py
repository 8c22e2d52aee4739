"""What may feed a fed switch, and the most it can hand out then."""

import pytest
from sketch import catalog, device, fed, ports, problem, run, scenario, site, switch

from equipsel.feeds.fed import FedBuild
from equipsel.program.bins import Bin
from equipsel.program.model import Model, Refinement, Way

POLE = fed("pole", 30, 6, ports(4, 15.4))
PLACES = [{"place": "hall"}, {"place": "mast", "mains": False}, {"place": "top", "mains": False}]


def model(budget_w: float, basis: str = "stated", deep: int = 1) -> Model:
    """A root of one port of 60 W and so many watts, a mast fed from it, a top fed from the mast."""
    root = switch("root", 90, budget_w, ports(1, 60))
    rules = {"budget_basis": basis, "max_cascade": deep, "cable_c": 20}
    devices = (device("cam", 12.95, "mast", count=2), device("far", 5, "top"))
    runs = [run("mast", "hall", 50), run("top", "mast", 50)]
    return Model(problem(site(scenario(*devices, rules=rules, places=PLACES, runs=runs), catalog(root, POLE))), Refinement())


def on_the_mast(made: Model) -> list[Bin]:
    return [item for item in made.bins if item.build.place == "mast"]


@pytest.mark.parametrize("basis", ["stated", "granted"])
@pytest.mark.parametrize("budget_w", [5, 12, 18, 31.4])
def test_a_fed_switch_hands_out_no_more_than_a_port_above_reserves_for(basis: str, budget_w: float) -> None:
    made = model(budget_w, basis)
    assert on_the_mast(made)
    for item in on_the_mast(made):
        build, most = item.fed_build, made.hosts.most_handed_mw(item)
        assert most < build.limit_mw or build.upstream_mw(build.limit_mw) <= budget_w * 1000
        assert most < 0 or build.upstream_mw(most) <= budget_w * 1000
        assert most == build.limit_mw or build.upstream_mw(most + 1) > budget_w * 1000


def test_a_device_that_would_draw_more_through_it_is_not_plugged_in() -> None:
    plugged = {plug.payload.group for plug in model(12).plugs if isinstance(plug.payload, Way) and plug.bin.build.place == "mast"}
    assert plugged == set()
    plugged = {plug.payload.group for plug in model(20).plugs if isinstance(plug.payload, Way) and plug.bin.build.place == "mast"}
    assert len(plugged) == 1


def test_a_second_feed_in_a_row_has_what_the_first_may_hand_out() -> None:
    made = model(12, deep=2)
    first = max(made.hosts.most_handed_mw(item) for item in on_the_mast(made))
    tops = [item for item in made.bins if item.build.place == "top"]
    assert tops
    for item in tops:
        assert item.fed_build.upstream_mw(max(made.hosts.most_handed_mw(item), 0)) <= first
        assert made.hosts.most_handed_mw(item) < first


def test_by_class_and_from_the_mains_it_is_the_limit_of_the_unit() -> None:
    made = model(60, "class")
    assert [made.hosts.most_handed_mw(item) for item in made.bins] == [item.build.limit_mw for item in made.bins]
    assert any(isinstance(item.build, FedBuild) for item in made.bins)
    mains = next(item for item in model(12).bins if item.build.place == "hall")
    assert model(12).hosts.most_handed_mw(mains) == 12_000
