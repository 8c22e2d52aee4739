"""Every figure of a kit that cannot be a number is told once, where it stands and what it is called; the kit goes on without it."""

from typing import Any

import pytest
from good_kit import Case

from equipsel.audit.numbers import LARGEST, without_bad_numbers
from equipsel.kit import Kit

TOLD = "is not a finite number of at most 1e+12: it was taken as not given."


def cleaned(case: Case) -> tuple[Kit, list[str]]:
    kit, found = without_bad_numbers(Kit.model_validate(case.kit))
    return kit, [f"{one.where}: {one.message}" for one in found]


def stated() -> Case:
    case = Case()
    case.state_everything()
    return case


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), float("-inf"), 1.1e12, -1.1e12, 10**13])
def test_a_figure_of_the_kit_itself(bad: float) -> None:
    case = stated()
    case.kit.update(cost=bad, gap=bad)
    kit, told = cleaned(case)
    assert told == [f"kit: cost {TOLD}", f"kit: gap {TOLD}"]
    assert (kit.cost, kit.gap) == (None, None)


def test_the_largest_is_a_number() -> None:
    case = stated()
    case.kit.update(cost=LARGEST, gap=-LARGEST)
    assert cleaned(case)[1] == []


def test_figures_of_units_feeds_and_connections_by_the_names_of_the_file() -> None:
    case = stated()
    case.unit("hut-1")["budget_w"] = float("nan")
    case.unit("mast-1")["fed_by"].update({"run_m": float("inf"), "class": 10**13})
    case.row("light")["amps"] = float("nan")
    case.row("far")["extenders"] = [{"model": "ext", "at_m": at} for at in (100, float("nan"), 300)]
    kit, told = cleaned(case)
    assert sorted(told) == sorted([
        f"unit hut-1: budget_w {TOLD}", f"unit mast-1: run_m {TOLD}", f"unit mast-1: class {TOLD}", f"device light: amps {TOLD}",
        f"device far: at_m {TOLD}",
    ])  # fmt: skip
    far = next(row for row in kit.connections if row.device == "far")
    assert [item.at_m for item in far.extenders] == [100, None, 300]


@pytest.mark.parametrize("name", ["count", "unit_cost", "cost"])
def test_a_line_with_such_a_figure_is_left_out(name: str) -> None:
    case = stated()
    line: dict[str, Any] = case.kit["lines"][1]
    line[name] = float("nan")
    kit, told = cleaned(case)
    assert told == [f"line {line['kind']} {line['model']}: {name} {TOLD}"]
    assert len(kit.lines or ()) == len(case.kit["lines"]) - 1


def test_each_is_told_once_and_nothing_else_changes() -> None:
    case = stated()
    kit, told = cleaned(case)
    assert (kit, told) == (Kit.model_validate(case.kit), [])
