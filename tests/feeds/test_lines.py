from decimal import Decimal
from math import sqrt
from typing import Any

import pytest

from equipsel.catalog import Cable, Extender
from equipsel.feeds.lines import Feed, Head, Load, Refusal, Route, feed, reaches, reserved_mw, span_lengths
from equipsel.scenario import Rules
from equipsel.standard import smallest_class

COLD = Rules(cable_c=20)
COPPER = Cable(model="plain", price_per_m=0, ohm_per_100m="8.42")
EXTENDER = Extender(model="ext", price=0, own_w=3, in_class=8, port_w=60)
CLASS_4 = Load(4, 25.5, 42.5, Decimal(100))
CLASS_3 = Load(3, 12.95, 37.0, Decimal(100))
DATA = Load(None, 0.0, 0.0, Decimal(100))


def head(volts: float, port_w: float, pairs: int = 2, mbps: int = 1000) -> Head:
    return Head(volts, Decimal(str(port_w)), pairs, Decimal(mbps))


def route(run_m: float = 100, cable: Cable = COPPER, most_amps: float | None = None) -> Route:
    return Route("hall", Decimal(str(run_m)), cable, None, 0, None, None, None, most_amps)


def fed(load: Load, run: Route, port: Head, *chain: Extender, rules: Rules = COLD) -> Feed:
    found = feed(load, run, port, chain, rules)
    assert isinstance(found, Feed), found
    return found


def refused(load: Load, run: Route, port: Head, *chain: Extender, rules: Rules = COLD) -> Refusal:
    found = feed(load, run, port, chain, rules)
    assert isinstance(found, Refusal), found
    return found


def test_a_span_of_100_m_at_50_v() -> None:
    # 24 AWG, 100 m, 20 C, two pairs, 25.5 W: 0.5635 A, 45.26 V, 28.17 W (derived)
    found = fed(CLASS_4, route(), head(50, 30))
    assert (found.number, found.pairs, found.chain, found.at_m) == (4, 2, (), ())
    assert found.line.head_amps == pytest.approx(0.5635, abs=0.0005)
    assert found.line.end.volts == pytest.approx(45.26, abs=0.02)
    assert found.line.head_w == pytest.approx(28.17, abs=0.02)


def test_four_pairs_halve_the_loop_where_the_port_gives_them() -> None:
    # 8.42 / 2 = 4.21 ohm: (50 - sqrt(2500 - 4 x 4.21 x 25.5)) / (2 x 4.21) = 0.53441 A
    found = fed(CLASS_4, route(), head(50, 30, pairs=4))
    assert found.pairs == 4
    assert found.line.head_amps == pytest.approx((50 - sqrt(2500 - 4 * 4.21 * 25.5)) / 8.42, abs=1e-5)


def test_class_5_and_up_use_four_pairs_whatever_the_port_says() -> None:
    found = fed(Load(6, 51.0, 42.5, Decimal(100)), route(50), head(50, 60, pairs=2))
    # 24 AWG, 50 m, 20 C, four pairs, 50 V, 51 W: 1.068 A, 47.75 V, 53.40 W (derived)
    assert found.pairs == 4
    assert found.line.head_w == pytest.approx(53.40, abs=0.02)


def test_a_class_5_device_needs_a_cable_of_four_pairs() -> None:
    two = COPPER.model_copy(update={"pairs": 2})
    assert refused(Load(5, 40.0, 44.3, Decimal(100)), route(10, two), head(50, 60)).rule == "pairs"


def test_the_cable_s_two_pairs_are_all_a_four_pair_port_has() -> None:
    assert fed(CLASS_4, route(cable=COPPER.model_copy(update={"pairs": 2})), head(50, 30, pairs=4)).pairs == 2


@pytest.mark.parametrize(
    ("basis", "watts", "run_m", "expected_mw"),
    [
        ("class", 20, 0, 30_000),
        ("stated", 20, 0, 20_000),
        ("granted", 20, 0, 22_600),  # 50 V, 12.5 ohm, 20 W: 22.54 W, in steps of 0.1 W
        ("granted", 25.5, 100, 30_000),
    ],
)
def test_what_a_port_reserves_by_each_basis(basis: Any, watts: float, run_m: float, expected_mw: int) -> None:
    load = Load(4, watts, 42.5, Decimal(100))
    assert fed(load, route(run_m), head(50, 30), rules=Rules(cable_c=20, budget_basis=basis)).reserved_mw == expected_mw


def test_stated_is_the_draw_rounded_up_to_the_milliwatt() -> None:
    found = fed(CLASS_4, route(), head(50, 30), rules=Rules(cable_c=20, budget_basis="stated"))
    exact_mw = 50 * (50 - sqrt(2500 - 4 * 8.42 * 25.5)) / (2 * 8.42) * 1000
    assert exact_mw <= found.reserved_mw < exact_mw + 1
    assert found.pse_mw == found.reserved_mw


def test_by_class_a_greater_draw_is_reserved_instead() -> None:
    # 28 AWG at 44 V, 6.49 W: 7.034 W at the port, above the 7 W of class 2
    thin = COPPER.model_copy(update={"ohm_per_100m": Decimal("21.29")})
    found = fed(Load(2, 6.49, 37.0, Decimal(100)), route(cable=thin), head(44, 15.4))
    assert found.reserved_mw == 7035


def test_granted_is_never_below_the_draw() -> None:
    assert reserved_mw(4, 31.0, 25.5, Rules(budget_basis="granted")) == 31_000


@pytest.mark.parametrize(("input_w", "number"), [(3.84, 1), (3.85, 2), (6.5, 3), (12.95, 3), (12.96, 4), (71.3, 8), (71.31, None)])
def test_an_extender_takes_the_smallest_class_that_carries_its_input(input_w: float, number: int | None) -> None:
    assert smallest_class(input_w) == number


def test_a_port_that_does_not_carry_the_class_is_refused() -> None:
    found = refused(CLASS_4, route(), head(50, 15.4))
    assert found.rule == "class"
    assert "class 4 (30 W)" in found.message


def test_too_few_volts_are_refused_with_both_figures() -> None:
    # 8.42 x 1.55 ohm at 50 V, 25.5 W: 42.09 V, and class 4 needs 42.5 V
    clad = COPPER.model_copy(update={"ohm_per_100m": Decimal("8.42") * Decimal("1.55")})
    found = refused(CLASS_4, route(cable=clad), head(50, 60))
    assert found.rule == "volts"
    assert "42.1 V at the far end, 42.5 V needed" in found.message


def test_a_device_s_own_least_volts_count() -> None:
    assert isinstance(feed(Load(4, 25.5, 45.2, Decimal(100)), route(), head(50, 30), (), COLD), Feed)
    assert refused(Load(4, 25.5, 45.3, Decimal(100)), route(), head(50, 30)).rule == "volts"


def test_the_current_of_a_pairset_is_limited_by_the_class() -> None:
    # 21.29 ohm at 44 V, 12.95 W: 0.3554 A, and class 3 stands 0.350 A
    thin = COPPER.model_copy(update={"ohm_per_100m": Decimal("21.29")})
    found = refused(Load(3, 12.95, 20.0, Decimal(100)), route(cable=thin), head(44, 30))
    assert found.rule == "current"
    assert "0.355 A in a pairset, 0.35 A allowed" in found.message


@pytest.mark.parametrize(("most_amps", "allowed"), [(0.2818, True), (0.2817, False)])
def test_a_bundle_limits_the_current_of_one_conductor(most_amps: float, allowed: bool) -> None:
    # 0.56352 A in a pairset is 0.28176 A in each of its conductors
    found = feed(CLASS_4, route(most_amps=most_amps), head(50, 30), (), COLD)
    assert isinstance(found, Feed) is allowed
    assert allowed or (isinstance(found, Refusal) and found.rule == "bundle")


def test_a_line_never_draws_more_than_its_port_gives() -> None:
    # four pairs of 28 AWG, 120 m: 12.774 ohm; 25.5 W take 30.15 W at 50 V
    thin = COPPER.model_copy(update={"ohm_per_100m": Decimal("21.29")})
    load, far = Load(4, 25.5, 40.0, Decimal(100)), Rules(cable_c=20, span_m=200)
    found = refused(load, route(120, thin), head(50, 30, pairs=4), rules=far)
    assert found.rule == "port watts"
    assert "the line draws 30.1 W" in found.message
    assert isinstance(feed(load, route(120, thin), head(50, 45, pairs=4), (), far), Feed)


def test_a_line_without_operating_point_is_refused_as_a_collapse() -> None:
    # V^2 / 4R = 2500 / (4 x 25.26) = 24.7 W, below 25.5 W
    found = refused(CLASS_4, route(300), head(50, 30), rules=Rules(cable_c=20, span_m=300))
    assert found.rule == "collapse"
    assert "25.5 W at 300 m" in found.message


# Chains: 24 AWG, 305 m in spans of 100, 100, 100 and 5 m, extenders of 3 W


@pytest.mark.parametrize(
    ("volts", "load", "head_w", "amps", "end_v"),
    [(52, CLASS_3, 24.03, 0.462, 46.87), (52, CLASS_4, 41.40, 0.796, 42.62), (55, CLASS_4, 40.34, 0.733, 46.36)],
)
def test_305_m_over_three_extenders(volts: float, load: Load, head_w: float, amps: float, end_v: float) -> None:
    # computed by an independent sweep (derived)
    found = fed(load, route(305), head(volts, 90, pairs=4), EXTENDER, EXTENDER, EXTENDER)
    assert found.line.head_w == pytest.approx(head_w, abs=0.02)
    assert found.line.head_amps == pytest.approx(amps, abs=0.001)
    assert found.line.end.volts == pytest.approx(end_v, abs=0.02)
    assert found.at_m == (100, 200, 300)


def test_the_head_reserves_for_the_first_extender_not_for_the_device() -> None:
    # the first extender takes 23.1 W: class 4, 30 W; the camera behind it is of class 3
    assert fed(CLASS_3, route(305), head(52, 90, pairs=4), *[EXTENDER] * 3).reserved_mw == 30_000


def test_a_two_pair_port_feeds_a_chain_of_class_5_on_four_pairs() -> None:
    # on two pairs the first extender would take 25.65 W, class 5: solved again on four pairs, and class 5 it stays
    found = fed(CLASS_3, route(305), head(50, 60, pairs=2), *[EXTENDER] * 3)
    assert (found.number, found.pairs, found.reserved_mw) == (5, 4, 45_000)


def test_a_chain_that_collapses_on_two_pairs_is_fed_on_four() -> None:
    found = fed(CLASS_4, route(305), head(55, 90, pairs=2), *[EXTENDER] * 3)
    assert found.pairs == 4
    assert found.line.head_w == pytest.approx(40.34, abs=0.02)


@pytest.mark.parametrize(("run_m", "first_w"), [(130, 64.8), (140, 65.46), (150, 66.15), (160, 66.88)])
def test_a_chain_that_asks_two_pairs_for_more_than_any_class_is_fed_on_four(run_m: int, first_w: float) -> None:
    """60 W behind an extender of 3 W: over two pairs it would draw class 8 at 130 m, 71.6 and 75.9 W at 140 and 150, then collapse.

    Over four pairs 100 m are 4.21 ohm: each of them is of class 8.
    """
    strong = EXTENDER.model_copy(update={"port_w": Decimal(90)})
    found = fed(Load(7, 60.0, 42.5, Decimal(100)), route(run_m), head(57, 90, pairs=2), strong)
    assert (found.number, found.pairs) == (8, 4)
    assert found.line.spans[0].watts == pytest.approx(first_w, abs=0.01)


def test_a_short_chain_stays_on_the_port_s_own_pairs() -> None:
    found = fed(CLASS_3, route(105), head(50, 30, pairs=2), EXTENDER)
    assert (found.number, found.pairs) == (4, 2)


def test_a_30_w_port_feeds_no_class_5_chain() -> None:
    found = refused(CLASS_3, route(305), head(50, 30, pairs=2), *[EXTENDER] * 3)
    assert found.rule == "class"
    assert "class 5 (45 W)" in found.message


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"in_class": 3}, " W as class 4, above its class 3"),  # 12.95 + 3 W and the loss
        ({"port_w": Decimal("15.3")}, "gives 15.3 W; below it class 3 (15.4 W)"),
    ],
)
def test_an_extender_too_weak_is_refused_with_the_figure(change: dict[str, Any], words: str) -> None:
    found = refused(CLASS_3, route(105), head(50, 60), EXTENDER.model_copy(update=change))
    assert found.rule == "extender"
    assert words in found.message


def test_an_extender_s_output_must_give_the_watts_drawn_below_it() -> None:
    # the class of the next extender (12.5 W: class 3, 15.4 W) is within 16 W, and so is what the second span draws
    light = Load(2, 6.0, 37.0, Decimal(100))
    chain = [EXTENDER.model_copy(update={"port_w": Decimal("15.4")}), EXTENDER]
    assert fed(light, route(205), head(50, 60), *chain).number == 3
    heavy = EXTENDER.model_copy(update={"own_w": Decimal("13.3"), "port_w": Decimal("60")})
    assert refused(light, route(205), head(50, 60), chain[0], heavy).rule == "extender"


def test_an_extender_needs_its_own_volts() -> None:
    picky = EXTENDER.model_copy(update={"min_volts": Decimal(49)})
    found = refused(CLASS_3, route(105), head(50, 60), picky)
    assert found.rule == "volts"
    assert "at extender ext, 49 V needed" in found.message


@pytest.mark.parametrize("slow", ["port", "cable", "extender"])
def test_every_link_of_the_way_must_be_fast_enough(slow: str) -> None:
    fast = Load(3, 5.0, 37.0, Decimal(1000))
    cable = COPPER.model_copy(update={"mbps": Decimal(100)}) if slow == "cable" else COPPER
    extender = EXTENDER.model_copy(update={"port_mbps": Decimal(100)}) if slow == "extender" else EXTENDER
    port = head(50, 60, mbps=100 if slow == "port" else 1000)
    found = refused(fast, route(105, cable), port, extender)
    assert found.rule == "speed"
    assert "needs a 1000 Mb/s link" in found.message
    assert "has 100 Mb/s" in found.message


def test_a_data_only_device_takes_any_port_and_no_power() -> None:
    found = fed(DATA, route(), head(44, 0))
    assert (found.number, found.reserved_mw, found.pse_mw) == (None, 0, 0)


def test_extenders_of_a_data_only_device_are_powered_by_its_port() -> None:
    assert refused(DATA, route(105), head(44, 0), EXTENDER).rule == "class"
    found = fed(DATA, route(105), head(44, 15.4), EXTENDER)
    assert (found.number, found.reserved_mw) == (1, 4000)


def test_spans_are_as_long_as_they_reach() -> None:
    short = EXTENDER.model_copy(update={"span_m": Decimal(50)})
    assert span_lengths(route(160), (short, EXTENDER), COLD) == [100, 50, 10]


def test_heat_shortens_the_spans_only_where_asked() -> None:
    # 40 C, unscreened: 20 x 0.4 % = 8 %; 100 / 1.08 = 92.592 m
    hot = Rules(cable_c=40)
    assert reaches(COPPER, (EXTENDER,), hot) == [100, 100]
    assert reaches(COPPER, (EXTENDER,), hot.model_copy(update={"derate_reach": True})) == [Decimal("92.592")] * 2
