"""How near a stated bill, answer or figure must be, worked out by hand: as near as it is written. The good kit costs 1993."""

from collections.abc import Callable
from typing import Any

import pytest
from good_kit import COST, Case, Table, _line


def stated() -> Case:
    case = Case()
    case.state_everything()
    return case


def add(case: Case, *line: Any) -> None:
    case.kit["lines"].append(_line(*line))
    case.kit["cost"] = round(case.kit["cost"] + case.kit["lines"][-1]["cost"], 2)


@pytest.mark.parametrize(("metres", "right"), [(485.333, True), (485.334, True), (485.3329, False), (485.3341, False)])
def test_metres_are_stated_to_the_nearest_millimetre_and_paid_for_as_they_are(metres: float, right: bool) -> None:
    """50.3335 m to the light make 485.3335 m at 99 + 1 = 48 533.35; half a millimetre more or less is 5 cents at that price."""
    case = stated()
    case.model("cables", "cat6").update(price_per_m=99, install_cost_per_m=1)
    case.device("light")["run_m"] = 50.3335
    case.line("cable", "cat6").update(count=metres, unit_cost=100, cost=48_533.35)
    case.kit["cost"] = 1993 - 873 + 48_533.35
    told = case.broken()
    assert told.keys() == (set() if right else {"lines"})
    assert right or any("It lists" in message for message in told["lines"])


def test_pieces_are_counted_exactly() -> None:
    """The desk is there already: not even the cost would tell 1.0004 from 1."""
    case = stated()
    case.line("switch", "desk")["count"] = 1.0004
    assert case.broken() == {"lines": ["line switch desk in shop: It lists 1; the units and connections take 1."]}


@pytest.mark.parametrize(("cost", "right"), [(0.34, True), (0.33, False)])
def test_half_a_cent_is_rounded_up(cost: float, right: bool) -> None:
    case = stated()
    case.catalog["extras"].append({"item": "label", "price": 0.335, "per": "unit", "for": "desk"})
    add(case, "extra", "label", None, 1, 0.335)
    case.line("extra", "label")["cost"] = cost
    case.kit["cost"] = COST + cost
    assert case.broken().keys() == (set() if right else {"lines", "cost"})


def test_what_costs_nothing_over_the_whole_site_may_be_left_out_but_no_piece_that_stands_somewhere() -> None:
    case = stated()
    case.catalog["extras"].append({"item": "label", "price": 0, "per": "unit"})
    assert case.broken() == {}
    case.kit["lines"].remove(case.line("switch", "desk"))
    assert case.broken() == {"lines": ["line switch desk in shop: The line is missing: 1 for 0."]}


def test_energy_that_costs_nothing_is_not_on_the_bill() -> None:
    """49.222 W over 2 years of 8760 h, at no price: 862.374 kWh."""
    case = stated()
    case.rules["years"] = 2
    assert case.broken() == {}
    add(case, "energy", "energy", None, 862.374, 0)
    assert case.broken() == {"lines": ["line energy energy: It lists 862.374; the units and connections take 0."]}


def _extender_paid(case: Case) -> None:
    case.line("extender", "ext")["cost"] = 271.006


def _extender_at(case: Case) -> None:
    case.line("extender", "ext")["unit_cost"] = 33.333


def _whole_cost(case: Case) -> None:
    case.kit["cost"] = 1993.016


def _lines_add_up(case: Case) -> None:
    case.line("extra", "surge protector")["cost"] = 250.016


def _bound_above(case: Case) -> None:
    case.kit.update(cost=1993.006, lower_bound=1999.016)


@pytest.mark.parametrize(
    ("spoil", "rule", "message"),
    [
        (_extender_paid, "lines", "line extender ext: It costs 271.01; by the catalog 3 cost 270."),
        (_extender_at, "lines", "line extender ext: It costs 270; 3 at 33.333 cost 100."),
        (_whole_cost, "cost", "kit: Its cost is 1993.02; by the catalog it is 1993."),
        (_whole_cost, "cost", "kit: Its cost is 1993.02; its lines add up to 1993."),
        (_lines_add_up, "cost", "kit: Its cost is 1993; its lines add up to 1993.02."),
        (_bound_above, "cost", "kit: Its lower bound is 1999.02; its cost is 1993.01."),
    ],
)
def test_money_is_told_to_the_cent(spoil: Callable[[Case], None], rule: str, message: str) -> None:
    case = stated()
    spoil(case)
    assert message in case.broken()[rule]


@pytest.mark.parametrize(("minutes", "cost", "right"), [(0, 1993, True), (0, 2293, False), (1, 2293, True), (30, 2293, True)])
def test_without_lines_the_cost_is_judged_unless_batteries_may_be_in_it(minutes: int, cost: int, right: bool) -> None:
    """A battery unit of 300 in the hut: only lines could tell of it."""
    case = stated()
    case.kit.pop("lines")
    case.kit["cost"] = cost
    case.device("cam")["backup"] = True
    case.rules["backup_minutes"] = minutes
    assert case.broken().keys() == (set() if right else {"cost"})


@pytest.mark.parametrize(
    "answer",
    [
        {"lower_bound": 1993, "gap": 0},
        {"lower_bound": 1993},
        {"lower_bound": 996.5},
        {"lower_bound": 996.5, "gap": 0.5},
        {"lower_bound": 996.5, "gap": 0.500001},
        {"lower_bound": 996.5, "gap": 0.499999},
        {"gap": 0.5},
    ],
)
def test_a_bound_may_reach_the_cost_and_a_gap_is_their_difference_by_the_cost_to_a_millionth(answer: Table) -> None:
    """996.5 is half of 1993."""
    case = stated()
    case.kit.update(answer)
    assert case.broken() == {}


@pytest.mark.parametrize(
    ("answer", "message"),
    [
        ({"lower_bound": 996.5, "gap": 0.500002}, "kit: Its gap is 0.500002; by its cost and bound it is 0.500000."),
        ({"lower_bound": 996.5, "gap": 0.499998}, "kit: Its gap is 0.499998; by its cost and bound it is 0.500000."),
        ({"lower_bound": 1494.75, "gap": 0.5}, "kit: Its gap is 0.5; by its cost and bound it is 0.250000."),
        ({"lower_bound": 1993.01}, "kit: Its lower bound is 1993.01; its cost is 1993."),
        ({"status": "stopped"}, "kit: Its status is stopped, and it has units."),
    ],
)
def test_an_answer_is_told_where_it_is_out(answer: Table, message: str) -> None:
    case = stated()
    case.kit.update(answer)
    assert case.broken() == {"cost": [message]}


@pytest.mark.parametrize("gap", [None, 0, 0.5])
def test_nothing_for_nothing_has_no_gap_to_judge(gap: float | None) -> None:
    case = Case()
    case.kit.update(units=[], connections=[], cost=0, lower_bound=0, gap=gap)
    assert "cost" not in case.broken()


@pytest.mark.parametrize(("mbps", "right"), [(20.0005, True), (19.9995, True), (20.000501, False), (19.999499, False)])
def test_traffic_is_stated_to_the_nearest_thousandth(mbps: float, right: bool) -> None:
    """8 Mb/s of the far camera and 3 x 4 Mb/s from the mast."""
    case = stated()
    case.unit("hut-1")["traffic_mbps"] = mbps
    assert case.broken().keys() == (set() if right else {"unit figures"})


@pytest.mark.parametrize(("watts", "right"), [(5.000501, True), (4.999499, True), (5.000502, False), (4.999498, False)])
def test_a_figure_of_a_line_is_stated_to_the_nearest_thousandth_and_calculated_to_a_millionth(watts: float, right: bool) -> None:
    """The reader draws 5 W."""
    case = stated()
    case.row("reader.1")["pd_w"] = watts
    assert case.broken().keys() == (set() if right else {"connection figures"})


def _round_mast() -> Case:
    """A mast of round figures; its feed reserves class 5, 45 W.

    Cable of 10 ohm / 100 m. A camera: 10 m on two pairs are 1 ohm, so 50 V x 0.1 A = 5 W at the port leave 4.99 W at the camera.
    The switch: (5 + 3 x 5) / 0.8 = 25 W in. Its feed: 60 m on four pairs are 3 ohm, so 51.5 V x 0.5 A = 25.75 W at the port leave
    25 W at 50 V. Class 4 would leave it 25.5 x 0.8 - 5 = 15.4 W for 3 x 7 W, class 5 leaves 27 W.
    """
    case = Case()
    case.catalog["cables"].append({"model": "ten ohm", "price_per_m": 1, "ohm_per_100m": 10})
    case.device("cam").update(watts=4.99, cable="ten ohm")
    case.scenario["runs"][0]["cable"] = "ten ohm"
    case.model("switches", "mast switch").update(efficiency=0.8, volts=50)
    case.model("switches", "core")["volts"] = 51.5
    case.unit("mast-1").update(reserved_w=21, draw_w=15, budget_w=27)
    case.row("cam.1").update(pse_w=5, pd_w=4.99, amps=0.1, loss_w=0.01, pd_volts=49.9, reserved_w=7)
    case.unit("mast-1")["fed_by"].update(reserved_w=45, pse_w=25.75)
    return case


@pytest.mark.parametrize(("watts", "right"), [(25.75, True), (25.751, False), (25.749, False), (25.724, False)])
def test_what_a_feed_is_said_to_draw_is_what_the_switch_draws_through_its_run(watts: float, right: bool) -> None:
    case = _round_mast()
    case.unit("mast-1")["fed_by"]["pse_w"] = watts
    told = [] if right else [f"feed of mast-1: pse_w is stated as {watts} W; recomputed it is 25.75 W."]
    assert case.broken().get("connection figures", []) == told


RIGHT_FEED = {"pd_w": 25, "pd_volts": 50, "amps": 0.5, "loss_w": 0.75}


def test_the_right_figures_of_the_line_of_a_feed_are_taken() -> None:
    case = _round_mast()
    case.unit("mast-1")["fed_by"].update(RIGHT_FEED)
    assert case.broken() == {}


@pytest.mark.parametrize("figure", RIGHT_FEED)
def test_no_wrong_figure_of_the_line_of_a_feed_is_taken(figure: str) -> None:
    """Twice what it is."""
    case = _round_mast()
    case.unit("mast-1")["fed_by"].update({**RIGHT_FEED, figure: RIGHT_FEED[figure] * 2})
    assert case.broken().keys() == {"connection figures"}
