"""Rules of lines at their boundaries: bundles of cables, classes of devices that take no power, every limit told by where it is."""

import pytest
from good_kit import Case, Table

from equipsel.audit import limits
from equipsel.audit.check_lines import _of_limit
from equipsel.audit.facts import build_facts
from equipsel.audit.limits import Limit
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


@pytest.mark.parametrize("limit", limits.LIMITS)
def test_a_rule_made_of_a_limit_tells_every_breach_where_it_is(limit: Limit) -> None:
    """Weak extenders at the end of a weak line, and a two-pair cable for the light."""
    case = Case()
    case.model("extenders", "ext").update(in_class=4, port_w=5, min_volts=54)
    case.device("light")["cable"] = "thin"
    facts = build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))
    rule = _of_limit(limit)
    breaches = [(solved.link.where, message) for solved in facts.solved() for message in limit(solved)]
    assert [(found.where, found.message) for found in rule(facts)] == breaches
    assert rule.__doc__ == limit.__doc__


def test_some_of_those_limits_are_broken() -> None:
    case = Case()
    case.model("extenders", "ext").update(in_class=4, port_w=5, min_volts=54)
    case.device("light")["cable"] = "thin"
    assert {"extender class", "extender output", "pairs", "volts"} <= case.broken().keys()


def _data_only(case: Case) -> None:
    case.device("light").pop("class")
    case.device("light").update(watts=0)
    case.row("light").update(group="data", port=2)


def test_a_class_stated_for_a_device_that_takes_no_power_is_told() -> None:
    case = Case()
    _data_only(case)
    case.row("light")["class"] = 3
    assert case.broken() == {"class": ["device light: Class 3 is stated for the device; it takes no power."]}


def _bundles(*rows: tuple[int, float]) -> list[Table]:
    return [{"awg": 23, "cables_up_to": cables, "amps_per_conductor": amps} for cables, amps in rows]


@pytest.mark.parametrize(
    ("cables", "told"),
    [
        (1, []),
        (10, []),
        (11, ["device light: A conductor carries 0.255 A; allowed are 0.2 A in bundles of up to 50 cables of 23 AWG."]),
        (50, ["device light: A conductor carries 0.255 A; allowed are 0.2 A in bundles of up to 50 cables of 23 AWG."]),
        (51, ["device light: Its bundle has 51 cables; the largest with a limit has 50 cables of 23 AWG."]),
    ],
)
def test_the_smallest_bundle_that_holds_its_cables_counts_in_whatever_order_they_are_given(cables: int, told: list[str]) -> None:
    """51 W at 50 V with no length to speak of: 1.02 A, over the eight conductors of four pairs (four out, four back) 0.255 A."""
    case = Case()
    case.catalog["bundles"] = _bundles((50, 0.2), (10, 0.5))
    case.model("switches", "core")["volts"] = 50
    case.device("light").update(run_m=0, bundle=cables)
    assert case.broken().get("bundle", []) == told


@pytest.mark.parametrize(("amps", "right"), [(0.255, True), (0.254999, False)])
def test_a_conductor_may_carry_just_what_is_allowed(amps: float, right: bool) -> None:
    """51 W at 50 V over no length: 1.02 / 4 A."""
    case = Case()
    case.catalog["bundles"] = _bundles((10, amps))
    case.model("switches", "core")["volts"] = 50
    case.device("light")["run_m"] = 0
    assert ("bundle" not in case.broken()) == right


def test_a_line_that_carries_no_power_may_lie_in_any_bundle_and_those_after_it_are_still_looked_at() -> None:
    case = Case()
    case.catalog["bundles"] = _bundles((10, 2))
    _data_only(case)
    case.device("light")["bundle"] = 99
    assert case.broken() == {}
    case.device("reader")["bundle"] = 11
    assert [message.partition(":")[0] for message in case.broken()["bundle"]] == ["device reader.1", "device reader.2"]
