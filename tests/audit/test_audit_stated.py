"""What a kit states of money, gaps and figures: to the cent and to the last decimal it is written in, and in whole words."""

from typing import Any

import pytest
from good_kit import Case


def stated() -> Case:
    case = Case()
    case.state_everything()
    return case


def told(case: Case, rule: str) -> list[str]:
    return case.broken().get(rule, [])


def by_the_metre(case: Case, **figures: float) -> None:
    """485.25 m at 1.80: 873.45."""
    case.device("light")["run_m"] = 50.25
    case.line("cable", "cat6").update({"count": 485.25, "cost": 873.45, **figures})
    case.kit["cost"] = round(sum(line["cost"] for line in case.kit["lines"]), 2)


@pytest.mark.parametrize(("count", "fits"), [(485.25, True), (485.2505, True), (485.2495, True), (485.2506, False), (485.249, False)])
def test_a_length_is_stated_to_three_decimals(count: float, fits: bool) -> None:
    """Half a thousandth of a metre is rounding; what it costs stays what the exact length costs."""
    case = stated()
    by_the_metre(case, count=count)
    assert (told(case, "lines") == []) is fits


@pytest.mark.parametrize("where", ["switch", "extender"])
def test_a_count_of_pieces_is_exact(where: str) -> None:
    case = stated()
    line = case.line(where, {"switch": "core", "extender": "ext"}[where])
    line["count"] += 0.0004
    assert "; the units and connections take " in told(case, "lines")[0]


@pytest.mark.parametrize(
    ("count", "unit_cost", "cost", "fits"),
    [(3, 90, 270, True), (3, 90, 270.005, True), (3, 90, 270.00501, False), (3, 90, 269.995, True), (3, 90.0017, 270.005, True)],
)
def test_count_times_unit_cost_is_the_cost_to_half_a_cent(count: float, unit_cost: float, cost: float, fits: bool) -> None:
    case = stated()
    case.line("extender", "ext").update(count=count, unit_cost=unit_cost, cost=cost)
    assert any(f"; {count} at {unit_cost} cost" in message for message in told(case, "lines")) is not fits


def test_a_measure_is_multiplied_as_exactly_as_it_is_stated() -> None:
    """485.25 m stated as 485.2504 m at 1.80 may be 873.45: half a thousandth of a metre is 0.09 cents; 874 is not."""
    case = stated()
    by_the_metre(case, count=485.2504)
    assert told(case, "lines") == []
    by_the_metre(case, count=485.2504, cost=873.46)
    assert len(told(case, "lines")) == 2


def test_a_measure_of_a_dear_unit_may_be_off_by_its_rounding() -> None:
    """20.0004 kWh at 30 are 600.01; stated as 20 kWh they are 600: within half a thousandth at 30, a cent and a half."""
    case = stated()
    line = {"kind": "energy", "model": "energy", "place": None, "count": 20.0, "unit_cost": 30, "cost": 600.019}
    case.kit["lines"].append(line)
    assert not any("at 30 cost" in message for message in told(case, "lines"))
    line["cost"] = 600.021
    assert "line energy energy: It costs 600.021; 20.0 at 30 cost 600." in told(case, "lines")


def test_money_is_told_in_cents() -> None:
    """A cable at 1.001 a metre: 485 m are 485.485, to the cent 485.49 (half up)."""
    case = stated()
    case.model("cables", "cat6").update(price_per_m=0.001)
    assert "line cable cat6: It costs 873; by the catalog 485 cost 485.49." in told(case, "lines")
    assert "kit: Its cost is 1993; by the catalog it is 1605.49." in told(case, "cost")
    case.kit["lines"].remove(case.line("cable", "cat6"))
    assert "line cable cat6: The line is missing: 485 for 485.49." in told(case, "lines")


def test_money_stated_finer_than_cents_is_told_in_cents() -> None:
    case = stated()
    case.line("switch", "core")["cost"] = 220.014
    case.kit["cost"] = 1993.026
    assert told(case, "lines")[0] == "line switch core in hut: It costs 220.01; by the catalog 1 cost 220."
    assert told(case, "lines")[1] == "line switch core in hut: It costs 220.014; 1 at 220 cost 220."
    assert told(case, "cost") == [
        "kit: Its cost is 1993.03; by the catalog it is 1993.", "kit: Its cost is 1993.03; its lines add up to 1993.01.",
    ]  # fmt: skip


def test_a_line_without_cost_over_the_whole_site_may_be_left_out_but_not_in_a_place() -> None:
    case = stated()
    case.model("extenders", "ext")["price"] = 0
    case.kit["lines"].remove(case.line("extender", "ext"))
    assert not any("ext:" in message for message in told(case, "lines"))
    case.kit["lines"].remove(case.line("switch", "desk"))
    assert "line switch desk in shop: The line is missing: 1 for 0." in told(case, "lines")


@pytest.mark.parametrize(("minutes", "lines", "told_so"), [(0, False, True), (1, False, False), (0.5, False, False), (1, True, True)])
def test_a_cost_without_lines_is_not_looked_at_where_batteries_may_be_in_it(minutes: float, lines: bool, told_so: bool) -> None:
    case = stated()
    case.rules["backup_minutes"] = minutes
    case.kit["cost"] = 1
    if not lines:
        case.kit["lines"] = None
    assert any("by the catalog it is 1993" in message for message in told(case, "cost")) is told_so


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"status": "infeasible"}, "kit: Its status is infeasible, and it has units."),
        ({"lower_bound": 1993.004}, "kit: Its lower bound is 1993; its cost is 1993."),
        ({"lower_bound": 2000.126}, "kit: Its lower bound is 2000.13; its cost is 1993."),
        ({"lower_bound": 1993, "gap": 0}, None),
        ({"lower_bound": 1793.7, "gap": 0.1}, None),
        ({"lower_bound": 1793.7, "gap": 0.100001}, None),
        ({"lower_bound": 1793.7, "gap": 0.100002}, "kit: Its gap is 0.100002; by its cost and bound it is 0.100000."),
        ({"lower_bound": 1793.7, "gap": 0.099998}, "kit: Its gap is 0.099998; by its cost and bound it is 0.100000."),
        ({"lower_bound": 1793.7, "gap": None}, None),
        ({"lower_bound": 0, "gap": 1}, None),
    ],
)
def test_status_bound_and_gap_go_together(fields: dict[str, Any], words: str | None) -> None:
    case = stated()
    case.kit.update(fields)
    assert told(case, "cost") == ([words] if words else [])


def test_a_kit_that_costs_nothing_has_no_gap_to_compare() -> None:
    case = Case()
    case.kit.update(cost=0, lower_bound=0, gap=0)
    assert all("gap" not in message for message in told(case, "cost"))


@pytest.mark.parametrize(("mbps", "fits"), [(20.0005, True), (19.9995, True), (20.0006, False)])
def test_traffic_is_stated_to_three_decimals(mbps: float, fits: bool) -> None:
    case = stated()
    case.unit("hut-1")["traffic_mbps"] = mbps
    assert (told(case, "unit figures") == []) is fits


@pytest.mark.parametrize(("field", "good", "step"), [("pd_volts", 50.307, 0.001), ("amps", 1.0138, 0.0001), ("loss_w", 1.716, 0.001)])
def test_figures_of_a_line_are_stated_to_their_last_decimal(field: str, good: float, step: float) -> None:
    """The light: 51 W behind 50 m of 23 AWG on four pairs at 52 V."""
    for value, fits in ((good, True), (round(good + step, 4), False), (round(good - step, 4), False)):
        case = stated()
        case.row("light")[field] = value
        assert (told(case, "connection figures") == []) is fits, value


@pytest.mark.parametrize(("watts", "fits"), [(21.032, False), (None, True)])
def test_what_a_feed_draws_is_that_of_its_load_behind_its_line(watts: float | None, fits: bool) -> None:
    """The mast takes (3 x 6.49 + losses + 5) / 0.9 W at its end; the figure is that of the port above."""
    case = Case()
    above = case.unit("mast-1")["fed_by"]
    case.unit("mast-1")["fed_by"]["pse_w"] = 1
    found = told(case, "connection figures")[0].rpartition("recomputed it is ")[2].removesuffix(" W.")
    assert (3 * 6.49 + 5) / 0.9 < float(found) < (3 * 7 + 5) / 0.9 + 2
    above["pse_w"] = float(found) if fits else watts
    assert (told(case, "connection figures") == []) is fits
