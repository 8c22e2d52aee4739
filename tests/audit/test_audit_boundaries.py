"""Lines that meet every limit to the last digit, by hand; lines that meet none; and what is kept of a kit before it is looked at."""

import pytest
from good_kit import Case, Table

from equipsel.audit.extras import count_extra
from equipsel.audit.facts import Facts, build_facts
from equipsel.audit.limits import LIMITS, breaches
from equipsel.audit.lines import IDLE, Solved, _granted_mw, solve_again
from equipsel.audit.numbers import without_bad_numbers
from equipsel.audit.power import LinkPower
from equipsel.catalog import Catalog, Extra
from equipsel.kit import Kit
from equipsel.scenario import Scenario

BASES = ["class", "stated", "granted"]


def facts(case: Case) -> Facts:
    return build_facts(Kit.model_validate(case.kit), Scenario.model_validate(case.scenario), Catalog.model_validate(case.catalog))


def power(case: Case, name: str) -> LinkPower:
    return next(found for link, found in facts(case).powered() if link.name == name)


def twenty_ohm_cable(case: Case) -> None:
    """100 m of the thin cable are a loop of 20 ohm."""
    case.model("cables", "thin").pop("awg")
    case.model("cables", "thin")["ohm_per_100m"] = 20


def worst_phone(**figures: object) -> Case:
    """The standard's worst case of class 3: 12.95 W over 20 ohm at 44 V.

    I = (44 - sqrt(44 x 44 - 4 x 20 x 12.95)) / 40 = (44 - 30) / 40 = 0.35 A; 44 x 0.35 = 15.4 W at the port, 44 - 7 = 37 V arrive.
    """
    case = Case()
    twenty_ohm_cable(case)
    case.device("phone").update({"class": 3, "watts": 12.95, "cable": "thin", "run_m": 100, **figures})
    return case


def test_a_line_may_be_the_standards_very_worst_case() -> None:
    """Its volts, its current and its watts are exactly what class 3 allows."""
    solved = power(worst_phone(), "phone.1").solved
    assert solved.line is not None
    assert (solved.line.end.volts, solved.amps_per_pairset, solved.line.head_w, solved.pse_mw) == (37, 0.35, 15.4, 15_400)
    assert breaches(solved) == 0
    assert worst_phone().broken() == {}


@pytest.mark.parametrize("figures", [{"run_m": 100.001, "min_volts": 37}, {"watts": 12.951, "min_volts": 37}])
def test_a_thousandth_beyond_the_worst_case_breaks_volts_current_and_watts(figures: Table) -> None:
    case = worst_phone(**figures)
    assert {"volts", "pairset current", "port watts"} <= case.broken().keys()
    assert breaches(power(case, "phone.1").solved) == 3


def worst_extender(port_w: float, min_volts: float = 44) -> Case:
    """The same worst case behind an extender that draws nothing itself, 10 m (2 ohm) out: 44 + 2 x 0.35 = 44.7 V at the head."""
    case = Case()
    twenty_ohm_cable(case)
    case.rules["span_m"] = 10
    case.model("injectors", "inj90").update(volts=44.7, port_w=30, pairs=2)
    case.model("extenders", "ext").update(own_w=0, in_class=4, port_w=port_w, min_volts=min_volts)
    case.device("far").update({"class": 3, "watts": 12.95, "cable": "thin", "run_m": 110})
    case.row("far")["extenders"] = [{"model": "ext"}]
    return case


@pytest.mark.parametrize(
    ("port_w", "min_volts", "told"),
    [
        (15.4, 44, []),
        (15.4, 44.001, ["volts"]),
        (15.399, 44, ["extender output"]),
    ],
)
def test_an_extender_may_give_and_get_exactly_what_it_must(port_w: float, min_volts: float, told: list[str]) -> None:
    """It gives 15.4 W, the class's very watts, and gets 44 V; the port gives 44.7 x 0.35 = 15.645 W."""
    case = worst_extender(port_w, min_volts)
    line = power(case, "far").solved.line
    assert line is not None
    assert (line.head_w, line.spans[0].volts, line.spans[0].watts, line.end.volts) == (15.645, 44, 15.4, 37)
    broken = case.broken()
    assert [rule for rule in ("volts", "extender output", "extender class", "pairset current", "class") if rule in broken] == told


def test_every_sentence_about_a_line_is_one_broken_limit() -> None:
    """A class 6 light on two thin pairs: the cable has too few, its pairset carries too much, and too little arrives."""
    case = Case()
    case.device("light")["cable"] = "thin"
    solved = power(case, "light").solved
    said = [message for limit in LIMITS for message in limit(solved)]
    assert len(said) == 3
    assert breaches(solved) == 3


@pytest.mark.parametrize("device", ["light", "far"])
def test_the_lowest_voltage_of_what_takes_no_power_is_none(device: str) -> None:
    """A recorder for data only: on a plain run no voltage arrives; behind three extenders less than the 57 V it states."""
    case = Case()
    case.device(device).pop("class")
    case.device(device).update(watts=0, mbps=1, min_volts=57)
    assert case.broken() == {}


def test_a_run_for_data_only_has_its_length_and_no_class() -> None:
    case = Case()
    case.device("light").pop("class")
    case.device("light").update(watts=0, mbps=1)
    solved = power(case, "light").solved
    assert (solved.number, solved.load_number, solved.pairs, solved.lengths, solved.classes) == (None, None, 2, (50,), ())
    assert solved.line is IDLE
    assert (power(case, "light").reserved_mw, power(case, "light").drawn_mw) == (0, 0)


@pytest.mark.parametrize(
    ("number", "first_w", "granted_mw"),
    [(1, 3.84, 4_100), (3, 12.95, 15_400), (3, 12.950001, 0), (4, 25.5, 30_000), (6, 51, 60_000), (6, 51.000001, 0), (8, 71.3, 90_100)],
)
def test_up_to_the_watts_of_its_class_a_device_is_granted_the_standards_channel(number: int, first_w: float, granted_mw: int) -> None:
    """V I with I from V = I R + P / I, up to 0.1 W: classes 3, 4 and 6 at their most give 15.4, 30 and 60 W exactly.

    Class 1: 44 V, 20 ohm: 0.09104 A, 4.006 W. Class 8: 52 V, 6.25 ohm: 1.7315 A, 90.04 W. Above its class nothing is granted.
    """
    assert _granted_mw(number, first_w) == granted_mw


@pytest.mark.parametrize(("number", "watts", "reserved_mw"), [(6, 51, 60_000), (3, 12.95, 15_400)])
def test_as_granted_a_port_sets_aside_what_the_class_at_its_most_is_granted(number: int, watts: float, reserved_mw: int) -> None:
    case = Case()
    case.rules["budget_basis"] = "granted"
    case.device("light").update({"class": number, "watts": watts})
    assert power(case, "light").reserved_mw == reserved_mw


@pytest.mark.parametrize("watts", [20, 30])
def test_what_draws_more_than_its_class_is_set_aside_as_drawn(watts: float) -> None:
    """The channel of class 3 (44 V, 20 ohm) would take 28 W for 20 W, and collapses above 24.2 W: neither is granted."""
    case = Case()
    case.rules["budget_basis"] = "granted"
    case.device("light").update({"class": 3, "watts": watts})
    found = power(case, "light")
    assert watts * 1000 < found.reserved_mw == found.drawn_mw < watts * 1030


def fed_at_50_v(watts: float) -> Solved:
    """305 m of 24 AWG with three extenders of 3 W behind a two-pair port of 50 V."""
    case = Case()
    case.model("injectors", "inj90").update(pairs=2, volts=50)
    case.model("cables", "cat6")["awg"] = 24
    case.device("far").update({"class": 4, "watts": watts})
    return power(case, "far").solved


def test_a_line_that_collapses_on_two_pairs_is_fed_on_four() -> None:
    """25.5 W cannot be had over two pairs (an independent sweep finds no point); over four the first extender is of class 5."""
    solved = fed_at_50_v(25.5)
    assert solved.line is not None
    assert (solved.pairs, solved.number, solved.classes[0]) == (4, 5, 5)
    assert 25.5 < solved.line.spans[0].watts < 40


def test_a_line_fed_on_four_pairs_is_of_class_5_at_its_port_though_it_draws_less() -> None:
    """12.95 W: 28.36 W over two pairs are class 5; over four the first extender draws less than the 25.5 W of class 4."""
    solved = fed_at_50_v(12.95)
    assert solved.line is not None
    assert solved.line.spans[0].watts < 25.5
    assert (solved.pairs, solved.number, solved.classes) == (4, 5, (5, 4, 4))


@pytest.mark.parametrize("run_m", [150, 160, 180, 200])
def test_a_chain_that_asks_two_pairs_for_class_5_or_more_or_too_much_is_fed_on_four(run_m: float) -> None:
    """60 W behind an extender of 3 W at 57 V: over two pairs it draws 69.7 W at 150 m, 71.6 W (no class) at 160 m, collapses at 200 m.

    Over four it draws 65.3, 65.8 and 68.1 W: class 8.
    """
    assert one_extender(run_m) == {}


def one_extender(run_m: float) -> dict[str, list[str]]:
    """What is wrong with 60 W behind an extender of 3 W on a two-pair port of 57 V and 90 W."""
    case = Case()
    case.model("injectors", "inj90").update(pairs=2, volts=57)
    case.model("extenders", "ext")["port_w"] = 90
    case.device("far").update({"class": 7, "watts": 60, "run_m": run_m})
    case.row("far")["extenders"] = [{"model": "ext"}]
    return case.broken()


@pytest.mark.parametrize("basis", BASES)
def test_a_line_of_extenders_that_collapses_has_no_class_and_sets_nothing_aside(basis: str) -> None:
    """305 m of 28 AWG over two pairs."""
    case = Case()
    case.rules["budget_basis"] = basis
    case.device("far")["cable"] = "thin"
    found = power(case, "far")
    assert (found.solved.line, found.solved.number, found.solved.classes, found.solved.pairs) == (None, None, (), 2)
    assert (found.reserved_mw, found.drawn_mw) == (0, 0)
    assert case.broken()["operating point"] == [
        "device far: The line over 305 m has no operating point: it collapses under its load."
    ]  # fmt: skip


def test_a_line_at_another_draw_keeps_the_class_and_the_pairs_it_was_settled_with() -> None:
    """Three extenders and a camera of class 4 at 55 V are class 5; with 1 W at the far end they would ask for class 3."""
    case = Case()
    settled = power(case, "far").solved
    again = solve_again(settled, 55, 1, facts(case).rules)
    assert (settled.number, settled.load_number, settled.pairs) == (5, 4, 4)
    assert (again.number, again.load_number, again.pairs, again.lengths) == (5, 4, 4, settled.lengths)
    assert again.classes[0] == 3
    assert again.line is not None
    assert again.line.end.watts == 1


def test_an_extra_by_place_for_a_kind_is_not_bought_where_the_device_hangs_on_no_known_unit() -> None:
    case = Case()
    row = Extra.model_validate({"item": "label", "price": 1, "per": "place", "for": "light"})
    assert count_extra(row, facts(case)) == 1
    case.row("light")["unit"] = "hut-9"
    assert count_extra(row, facts(case)) == 0


def test_of_a_sound_kit_everything_is_kept_but_what_was_found_in_it_before() -> None:
    case = Case()
    case.state_everything()
    kit = Kit.model_validate(case.kit)
    assert dict(without_bad_numbers(kit)[0]) == dict(kit)
    case.kit["findings"] = [{"rule": "rack", "severity": "note", "where": "kit", "message": "told before"}]
    assert dict(without_bad_numbers(Kit.model_validate(case.kit))[0]) == dict(kit)
