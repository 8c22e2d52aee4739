"""What is printed for a person."""

import pytest

from equipsel.console import amount, bar, clean, findings_text, kit_text, number, ranges, table, wrapped
from equipsel.kit import Connection, Finding, Kit, Line, Severity, Status, Unit

UNIT = Unit(unit="hall-1", model="plain", place="hall", budget_w=120, reserved_w=45, heat_w=10, mains_w=55)
KIT = Kit(
    status=Status.OPTIMAL,
    currency="EUR",
    cost=1234.5,
    lower_bound=1234.5,
    gap=0,
    seconds=0.42,
    lines=(Line(model="plain", kind="switch", place="hall", count=2, unit_cost=617.25, cost=1234.5),),
    units=(UNIT,),
    connections=tuple(Connection(device=f"cam.{one}", place="hall", unit="hall-1", group="all", port=one) for one in (1, 2, 3)),
    findings=(
        Finding(rule="bundle", severity=Severity.WARNING, where="device cam.1", message="A conductor carries 0.31 A."),
        Finding(rule="assumed", severity=Severity.NOTE, where="", message="Class 0 is assumed."),
    ),
)


def test_the_whole_answer() -> None:
    assert kit_text(KIT, "Invented kiosk", 80).split("\n\n")[:-1] == [
        "Invented kiosk",
        "The cheapest kit: proven. (0.4 s)\nCost EUR 1,234.50; no kit can cost less than 1,234.50.",
        "Bill of materials (EUR)\n"
        "  kind    model  place  count    each      cost\n"
        "  switch  plain  hall       2  617.25  1,234.50\n"
        "  total                                1,234.50",
        "Load of each unit (watts reserved against its budget)\n  hall-1  [#########...............]  45 of 120 W  38 %",
        "Heat and mains draw of each place, at what is reserved\n  place  heat W  BTU/h  mains W\n  hall       10     34       55",
        "What plugs in where\n  hall-1 (plain): cam.1-3\n  --out DIR writes the schedules of every port, cable and reading.",
        "Warnings\n  - device cam.1: A conductor carries 0.31 A.",
        "Notes\n  - Class 0 is assumed.",
    ]


def test_the_cautions_come_last_and_fit_the_width() -> None:
    text = kit_text(KIT, "Invented kiosk", 60)
    assert text.split("\n\n")[-1].startswith("Cautions\n  - Mains work by licensed electricians")
    assert max(len(line) for line in text.split("Cautions")[1].splitlines()) <= 60


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "The cheapest kit: proven."),
        ({"lower_bound": 1220.0, "gap": 0.0117}, "A kit within the gap asked for: at most 1.2 % above the cheapest possible."),
        (
            {"status": Status.FEASIBLE, "lower_bound": 1209.1, "gap": 0.0206},
            "The best kit found so far: at most 2.2 % above the cheapest possible.",
        ),
        (
            {"status": Status.FEASIBLE, "lower_bound": 0, "gap": 1},
            "The best kit found so far; nothing is proven of how cheap a kit can be.",
        ),
        ({"status": Status.INFEASIBLE}, "No kit satisfies every rule (0.4 s)."),
        ({"status": Status.STOPPED}, "Stopped at a limit with no kit (0.4 s)"),
    ],
)
def test_the_status_in_words(changes: dict[str, object], words: str) -> None:
    assert words in kit_text(KIT.model_copy(update=changes), "", 200)


def test_no_kit_prints_no_bill_and_no_cautions() -> None:
    text = kit_text(Kit(status=Status.INFEASIBLE, reasons=("hut: no port carries class 8",)), "Hut")
    assert text == "Hut\n\nNo kit satisfies every rule.\n\nWhy\n  - hut: no port carries class 8\n"


def test_the_outcome_of_a_re_check() -> None:
    error = Finding(rule="budget", severity=Severity.ERROR, where="hall-1", message="reserves 130 W of 120 W")
    assert findings_text([]) == "No rule broken.\n"
    assert findings_text([error]) == "1 broken rule.\n\nRules broken\n  - hall-1: reserves 130 W of 120 W\n"
    assert findings_text([error, error, *KIT.findings]).startswith("2 broken rules.\n\nRules broken\n")


@pytest.mark.parametrize(
    ("budget_w", "reserved_w", "drawn"),
    [
        (100, 0, "[....]"),
        (100, 1, "[#...]"),
        (100, 25, "[#...]"),
        (100, 26, "[##..]"),
        (100, 100, "[####]"),
        (100, 999, "[####]"),
        (0, 0, "[    ]"),
    ],
)
def test_a_bar_is_full_only_where_all_is_reserved(budget_w: float, reserved_w: float, drawn: str) -> None:
    assert bar(UNIT.model_copy(update={"budget_w": budget_w, "reserved_w": reserved_w}), 4) == drawn


def test_numbered_names_are_drawn_together() -> None:
    assert ranges(["cam.10", "cam.9", "ap", "cam.1", "cam.2", "door.1", "v1.x"]) == ["ap", "cam.1-2", "cam.9-10", "door.1", "v1.x"]


def test_columns_are_cut_where_the_terminal_is_narrow() -> None:
    lines = table(("name", "cost"), [("a very long name indeed", "1.00")], (False, True), 24)
    assert lines == ["  name              cost", "  a very long na..  1.00"]


def test_nothing_from_a_table_disturbs_the_terminal() -> None:
    assert clean("a\x1b[2J\nb") == "a?[2J?b"
    assert "\x1b" not in kit_text(KIT, "\x1b]0;x\x07", 80)


def test_text_is_wrapped_between_words() -> None:
    assert wrapped("- ", "one two three", 12) == ["  - one two", "    three"]
    assert wrapped("", "averyveryverylongword", 8) == ["  averyveryverylongword"]


def test_numbers_and_money() -> None:
    assert (amount(1234567.891), amount(None), number(45.0), number(45.25), number(1234)) == ("1,234,567.89", "-", "45", "45.2", "1,234")
