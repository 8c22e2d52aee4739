"""What a solved line may not do, at the edge of each limit and in its words."""

import re

import pytest
from good_kit import Case

from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.limits import rank
from equipsel.audit.lines import extender_class
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def test_class_0_ranks_as_class_3() -> None:
    assert [rank(number) for number in range(9)] == [3, 1, 2, 3, 4, 5, 6, 7, 8]


@pytest.mark.parametrize(
    ("watts", "number"),
    [(0, 1), (3.84, 1), (3.841, 2), (6.49, 2), (12.95, 3), (25.5, 4), (40, 5), (51, 6), (62, 7), (71.3, 8), (71.300001, None)],
)
def test_an_extender_draws_the_smallest_class_that_carries_its_input(watts: float, number: int | None) -> None:
    """Device watts of the classes: IEEE 802.3 (confirmed)."""
    assert extender_class(watts) == number


def test_a_line_that_collapses_is_told_with_its_length_to_a_decimal() -> None:
    """12.9 W over 450.25 m of 28 AWG at 44 V: at most 5 W arrive."""
    case = Case()
    case.device("phone").update(cable="thin", run_m=450.25, watts=12.9)
    case.device("phone").pop("class")
    told = case.broken()["operating point"]
    assert told[0] == "device phone.1: The line over 450.2 m has no operating point: it collapses under its load."


def test_a_first_extender_above_every_class_is_told_with_its_watts() -> None:
    """Three extenders of 16 W and a device of 25.5 W: 73.5 W and what the last two spans lose arrive at the first."""
    case = Case()
    case.model("extenders", "ext")["own_w"] = 16
    solved = next(power.solved for link, power in facts(case).powered() if link.name == "far")
    assert solved.line is not None
    assert (solved.number, solved.classes[0]) == (None, None)
    watts = float(re.findall(r"would draw ([\d.]+) W, more than any class \(71.3 W\)", " ".join(case.broken()["class"]))[0])
    assert watts == pytest.approx(solved.line.spans[0].watts, abs=0.0005)
    assert watts > 73.5 > solved.line.spans[1].watts
    assert f"Extender ext would draw {watts:g} W; it takes class 8 at most." in " ".join(case.broken()["extender class"])


@pytest.mark.parametrize(("number", "told"), [(4, False), (5, True), (6, True)])
def test_four_pairs_are_needed_from_class_5_on(number: int, told: bool) -> None:
    case = Case()
    case.device("light").update({"class": number, "cable": "thin"})
    assert ("pairs" in case.broken()) is told
    if told:
        assert case.broken()["pairs"] == [f"device light: Class {number} needs four pairs; cable thin has 2."]


@pytest.mark.parametrize(("low_c", "high_c", "fits"), [(5, 40, True), (0, 45, True), (-1, 40, False), (0, 46, False)])
def test_equipment_rated_to_the_very_degree_fits(low_c: int, high_c: int, fits: bool) -> None:
    """The core and its supplies are rated from 0 to 45 C."""
    case = Case()
    case.place("hut").update(low_c=low_c, high_c=high_c)
    assert ("ambient" not in case.broken()) is fits


@pytest.mark.parametrize(("watts", "fits"), [(75.0, True), (74.999, False)])
def test_an_extender_may_give_exactly_what_it_has_to(watts: float, fits: bool) -> None:
    """44 W, two extenders of 3 W and three spans: the second draws above 51 W, so class 7, and the first must give 75 W."""
    case = Case()
    case.device("far").update({"class": 6, "watts": 44})
    case.model("extenders", "ext")["port_w"] = watts
    assert ("extender output" not in case.broken()) is fits


def test_a_device_that_gets_exactly_its_lowest_voltage_works() -> None:
    case = Case()
    solved = next(power.solved for link, power in facts(case).powered() if link.name == "light")
    assert solved.line is not None
    volts = solved.line.end.volts
    case.device("light")["min_volts"] = volts
    assert "volts" not in case.broken()
    case.device("light")["min_volts"] = round(volts + 1e-6, 6)
    assert "volts" in case.broken()


def test_an_extender_that_gets_exactly_its_lowest_voltage_works() -> None:
    case = Case()
    solved = next(power.solved for link, power in facts(case).powered() if link.name == "far")
    assert solved.line is not None
    volts = solved.line.spans[2].volts
    case.model("extenders", "ext")["min_volts"] = volts
    assert "volts" not in case.broken()
    case.model("extenders", "ext")["min_volts"] = round(volts + 1e-6, 6)
    assert len(case.broken()["volts"]) == 1


def test_the_length_after_which_too_little_arrives_is_told_to_a_decimal() -> None:
    case = Case()
    case.device("light").update(run_m=50.27, min_volts=51)
    assert "V arrive after 50.3 m; 51 V are needed." in case.broken()["volts"][0]


def test_an_extender_may_draw_the_very_class_it_takes() -> None:
    case = Case()
    solved = next(power.solved for link, power in facts(case).powered() if link.name == "far")
    highest = max(number or 9 for number in solved.classes)
    case.model("extenders", "ext")["in_class"] = highest
    assert "extender class" not in case.broken()
    case.model("extenders", "ext")["in_class"] = highest - 1
    assert "extender class" in case.broken()
