"""Power through a kit: how many limits it breaks, what a fed switch may draw at its most, and which unit is followed from which."""

from collections.abc import Callable

import pytest
from good_kit import Case

from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.lines import reaches
from equipsel.audit.power import LinkPower
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario

Change = Callable[[Case], object]


def facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def feed(case: Case) -> LinkPower:
    """The line that feeds the mast."""
    return next(found for link, found in facts(case).powered() if link.name == "mast-1")


def weak_readers(case: Case) -> None:
    """Two readers of class 2, for which a port needs 7 W."""
    case.group("plain")["port_w"] = 6


def weak_cameras(case: Case) -> None:
    """Three cameras of class 2 on the mast, for which a port needs 7 W; they draw about 6.5."""
    case.group("out")["port_w"] = 6.9


def weak_everywhere(case: Case) -> None:
    """Those, two phones of class 1 in the shop (4 W at the port), and the hut's budget: it reserves 119 W."""
    weak_readers(case)
    weak_cameras(case)
    case.group("all")["port_w"] = 3.9
    hut_budget(case, 118.999)


def hut_budget(case: Case, watts: float) -> None:
    case.model("switches", "core")["budget_w"] = watts


def single_port(case: Case, watts: float) -> None:
    """An injector of one port that reserves 45 W; a fifth of every other unit's budget is kept free."""
    case.rules["spare_watts_pct"] = 20
    case.model("injectors", "inj90")["budget_w"] = watts


def two_ports(case: Case, watts: float) -> None:
    """One of two ports keeps a fifth free: 45 W want 56.25 W."""
    single_port(case, watts)
    case.model("injectors", "inj90")["ports"] = 2


BROKEN: list[tuple[str, int, Change]] = [
    ("nothing", 0, lambda _: None),
    ("two ports too weak", 2, weak_readers),
    ("two ports and a budget", 3, lambda case: (weak_readers(case), hut_budget(case, 118.999))),
    ("a budget", 1, lambda case: hut_budget(case, 118.999)),
    ("a budget used to the last watt", 0, lambda case: hut_budget(case, 119)),
    ("three ports of a fed switch too weak", 3, weak_cameras),
    ("in every place", 8, weak_everywhere),
    ("a single port keeps nothing spare", 0, lambda case: single_port(case, 45)),
    ("a single port too weak", 1, lambda case: single_port(case, 44.999)),
    ("two ports keep a fifth spare", 0, lambda case: two_ports(case, 56.25)),
    ("two ports keep less than a fifth", 1, lambda case: two_ports(case, 56.249)),
]


@pytest.mark.parametrize(("count", "change"), [pytest.param(count, change, id=what) for what, count, change in BROKEN])
def test_every_broken_limit_of_power_is_counted_once(count: int, change: Change) -> None:
    """As many as there are findings about the power of lines and the budgets of units."""
    case = Case()
    change(case)
    assert facts(case).power.broken == count
    assert sum(len(messages) for messages in case.broken().values()) == count


@pytest.mark.parametrize(
    ("budget_w", "number", "most_w"),
    [(None, 5, 40), (31, 5, 40), (21, 5, 26 / 0.9), (13, 5, 20), (0.001, 5, 5.001 / 0.9), (0, 5, 5 / 0.9), (0, 1, 3.84), (None, 4, 25.5)],
)
def test_a_fed_switch_draws_at_most_what_it_hands_out_and_itself_through_its_converter(
    budget_w: float | None, number: int, most_w: float
) -> None:
    """Its own 5 W and its budget, at 0.9: 26 / 0.9 = 28.889 W for 21 W; no more than its class, and not less than its own draw."""
    case = Case()
    case.model("switches", "mast switch")["budget_w"] = budget_w
    case.unit("mast-1")["fed_by"]["class"] = number
    line = feed(case).solved.line
    assert line is not None
    assert line.end.watts == pytest.approx(most_w, abs=1e-6)


def test_the_line_of_a_feed_is_told_at_what_the_switch_draws() -> None:
    """Three cameras at 6.49 W and their cable, 5 W of its own, at 0.9: (19.5 + 5) / 0.9 = 27.2 W, below the 40 W of class 5."""
    found = feed(Case())
    assert found.line is not None
    assert found.solved.line is not None
    assert found.line.end.watts == pytest.approx((19.5 + 5) / 0.9, abs=0.1)
    assert found.line.end.volts > found.solved.line.end.volts


def test_by_stated_draw_the_port_above_sets_aside_what_the_switch_takes_for_what_hangs_on_it() -> None:
    """Three cameras of 6.49 W and their lines, 5 W of its own, through a converter of 0.9, then 60 m: 27.2 W and the loss."""
    case = Case()
    case.rules["budget_basis"] = "stated"
    found = feed(case)
    assert 27_200 < found.reserved_mw == found.drawn_mw < 28_500


@pytest.mark.parametrize(("in_class", "number"), [(None, 1), (3, 1), (4, 4)])
def test_a_switch_of_which_no_highest_class_is_known_takes_no_more_than_class_3(in_class: int | None, number: int) -> None:
    """Of 10.2 W of its own and 1.5 W for its cameras class 4 carries 25.5 x 0.9; where none does, the smallest is taken."""
    case = Case()
    case.rules["budget_basis"] = "stated"
    case.model("switches", "mast switch").update(own_w=10.2, in_class=in_class)
    case.device("cam").update({"class": 1, "watts": 0.5})
    assert facts(case).units["mast-1"].number == number


def test_only_what_a_port_feeds_has_a_class() -> None:
    assert {name: fact.number for name, fact in facts(Case()).units.items()} == {"hut-1": None, "hut-2": None, "mast-1": 5, "shop-1": None}


@pytest.mark.parametrize("head", [{"group": "none such"}, {"injector": {"unit": "shop-1", "port": 1}}, {"unit": "hut-9"}])
def test_a_switch_fed_from_a_port_that_is_not_there_stands_for_itself(head: dict[str, object]) -> None:
    """Its cameras reserve 3 x 7 W all the same, on the highest class that it takes: 51 x 0.9 - 5 = 40.9 W."""
    case = Case()
    case.unit("mast-1")["fed_by"].update(head)
    found = facts(case)
    fact = found.units["mast-1"]
    assert (fact.number, fact.reserved_mw, float(fact.budget_w)) == (6, 21_000, 40.9)
    assert "mast-1" not in [link.name for link, _ in found.powered()]


def test_a_switch_that_hangs_on_a_circle_is_in_it_too() -> None:
    """The third hangs on the first; the first and the second feed each other."""
    case = Case()
    first = case.unit("mast-1")
    for number, port in ((2, 4), (3, 3)):
        case.kit["units"].append({**first, "unit": f"mast-{number}", "fed_by": {"unit": "mast-1", "group": "out", "port": port}})
    first["fed_by"] = {"unit": "mast-2", "group": "out", "port": 4}
    network = facts(case).network
    path, circle = network.upstream(network.nodes["mast-3"])
    assert ([node.name for node in path], circle) == (["mast-1", "mast-2"], True)


def test_runs_from_a_device_or_from_no_place_feed_no_switch() -> None:
    """A place and a device of one name: the rows of runs are the device's. A row from a place that is not there is nobody's."""
    case = Case()
    case.scenario["runs"].append({"from": "moon", "to": "hut", "run_m": 60})
    assert facts(case).site.feed_routes("moon") == []
    assert [route.run_m for route in facts(case).site.feed_routes("mast")] == [60]
    case.device("light")["device"] = "mast"
    assert facts(case).site.feed_routes("mast") == []


def test_spans_reach_as_far_as_they_are_stated_to_where_the_cable_is_cool() -> None:
    """With derate_reach at 20 C: 100.0005 m from the head and 90.25 m from an extender."""
    case = Case()
    case.rules.update(derate_reach=True, span_m=100.0005)
    case.model("extenders", "ext")["span_m"] = 90.25
    found = facts(case)
    link = next(link for link in found.network.links if link.name == "far")
    assert link.route is not None
    assert [float(reach) for reach in reaches(link.route, link.chain, found.rules)] == [100.0005, 90.25, 90.25, 90.25]
