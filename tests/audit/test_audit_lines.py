"""What the audit recomputes about lines: ladders, pairs, data-only devices, classes at every hop."""

import pytest
from good_kit import Case

from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.power import LinkPower
from equipsel.catalog import Catalog
from equipsel.kit import Kit
from equipsel.scenario import Scenario


def _facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def _power(case: Case, device: str) -> LinkPower:
    return next(power for link, power in _facts(case).powered() if link.name == device)


@pytest.mark.parametrize(
    ("volts", "cable_c", "watts", "head_w", "amps", "end_v"),
    [
        (52, 20, 12.95, 24.03, 0.462, 46.87),
        (52, 20, 25.5, 41.40, 0.796, 42.62),
        (52, 45, 25.5, 42.50, 0.817, 41.41),
        (55, 20, 25.5, 40.34, 0.733, 46.36),
    ],
)
def test_ladder_of_three_extenders(volts: float, cable_c: float, watts: float, head_w: float, amps: float, end_v: float) -> None:
    """305 m of 24 AWG, extenders of 3 W, four pairs: figures of an independent backward-forward sweep."""
    case = Case()
    case.model("injectors", "inj90")["volts"] = volts
    case.model("cables", "cat6")["awg"] = 24
    case.rules["cable_c"] = cable_c
    case.device("far")["watts"] = watts
    line = _power(case, "far").solved.line
    assert line is not None
    assert line.head_w == pytest.approx(head_w, abs=0.02)
    assert line.head_amps == pytest.approx(amps, abs=0.001)
    assert line.end.volts == pytest.approx(end_v, abs=0.02)


def test_two_pair_port_feeds_four_pairs_once_the_first_extender_takes_class_5() -> None:
    case = Case()
    case.model("injectors", "inj90")["pairs"] = 2
    solved = _power(case, "far").solved
    assert (solved.number, solved.pairs) == (5, 4)


def test_the_first_extender_of_a_line_fed_on_four_pairs_takes_class_5_whatever_it_draws_there() -> None:
    case = Case()
    case.model("injectors", "inj90").update(pairs=2, volts=50)
    case.model("cables", "cat6")["awg"] = 24
    case.device("far").update({"class": 3, "watts": 12.95})
    solved = _power(case, "far").solved
    assert (solved.pairs, solved.classes) == (4, (5, 4, 4))
    assert solved.line is not None
    assert solved.line.spans[0].watts < 25.5
    assert "extender class" not in case.broken()
    case.model("extenders", case.row("far")["extenders"][0]["model"])["in_class"] = 4
    told = " ".join(case.broken()["extender class"])
    assert "as class 5; it takes class 4 at most" in told


def test_two_pair_port_keeps_two_pairs_for_a_small_load() -> None:
    case = Case()
    case.model("injectors", "inj90").update(pairs=2, volts=55)
    case.device("far").update({"class": 2, "watts": 3})
    solved = _power(case, "far").solved
    assert (solved.number, solved.pairs) == (3, 2)


def test_every_hop_has_a_class_of_its_own() -> None:
    solved = _power(Case(), "far").solved
    assert solved.classes == (5, 5, 5)
    assert solved.lengths == (100, 100, 100, 5)


def test_data_only_device_takes_a_port_and_no_power() -> None:
    case = Case()
    case.device("light").pop("class")
    case.device("light").update(watts=0, mbps=10)
    case.row("light").update(group="data", port=2, reserved_w=0, pse_w=0, amps=0, loss_w=0, port_w=0)
    assert case.broken() == {}
    assert _power(case, "light").reserved_mw == 0


def test_data_only_device_far_away_needs_power_for_its_extenders() -> None:
    case = Case()
    case.device("far").pop("class")
    case.device("far")["watts"] = 0
    power = _power(case, "far")
    assert power.solved.number == 3
    assert power.reserved_mw == 15_400
    assert power.solved.line is not None
    assert 9 < power.solved.line.head_w < 11


def test_slack_lengthens_a_run() -> None:
    case = Case()
    case.rules.update(run_slack_pct=10, run_extra_m=2)
    assert _power(case, "light").solved.lengths == (57,)


def test_ports_of_a_fed_switch_give_what_reaches_it_at_the_most_it_may_draw() -> None:
    case = Case()
    facts = _facts(case)
    feed = next(power for link, power in facts.powered() if link.fed)
    cam = _power(case, "cam.1").solved.line
    assert feed.solved.line is not None
    assert cam is not None
    assert cam.head_w == pytest.approx(feed.solved.line.end.volts * cam.head_amps, abs=1e-4)
    assert feed.drawn_mw < feed.solved.pse_mw
    assert feed.reserved_mw == 45_000


def test_stated_volts_of_a_fed_switch_hold_at_its_ports() -> None:
    case = Case()
    case.model("switches", "mast switch")["volts"] = 54
    cam = _power(case, "cam.1").solved.line
    assert cam is not None
    assert cam.head_w == pytest.approx(54 * cam.head_amps, abs=1e-4)


def test_injector_can_feed_a_switch() -> None:
    case = Case()
    case.kit["units"].append({"unit": "hut-3", "model": "inj90", "place": "hut"})
    case.unit("mast-1")["fed_by"].update(group="data", port=2, injector={"unit": "hut-3", "port": 1})
    assert case.broken() == {}
    assert _facts(case).units["hut-1"].reserved_mw == 74_000
    assert _facts(case).units["hut-3"].reserved_mw == 45_000


def test_screened_cable_reaches_further_in_heat() -> None:
    """At 45 C: 100 / (1 + 0.2 % x 25) = 95.2 m screened, 100 / (1 + 0.4 % x 20 + 0.6 % x 5) = 90.1 m unscreened."""
    case = Case()
    case.rules.update(cable_c=45, derate_reach=True)
    case.device("light")["run_m"] = 95
    case.kit["connections"].remove(case.row("far"))
    assert "heat-reduced reach" in case.broken()
    case.model("cables", "cat6")["shielded"] = True
    assert "heat-reduced reach" not in case.broken()


def test_extenders_stand_at_the_heat_reduced_reach() -> None:
    """At 45 C a span reaches 90.09 m, so 305 m take three extenders, the last at 270.27 m."""
    case = Case()
    case.rules.update(cable_c=45, derate_reach=True)
    case.row("far")["extenders"] = [{"model": "ext", "at_m": at} for at in (90.09, 180.18, 270.27)]
    assert "extender position" not in case.broken()
    case.row("far")["extenders"][2]["at_m"] = 300
    assert "extender position" in case.broken()
