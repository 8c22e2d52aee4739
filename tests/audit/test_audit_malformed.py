"""A malformed kit gives findings, never an exception."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest
from good_kit import Case
from pydantic import ValidationError

from equipsel.kit import Kit, Severity

STRANGE = (None, "", "none such", "hut-1", "mast-1", -1, 0, 9, 10**15, 1e308, float("nan"), float("-inf"), [])


def _paths(part: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every value in a tree of tables."""
    steps = part.items() if isinstance(part, dict) else enumerate(part) if isinstance(part, list) else ()
    for key, value in steps:
        yield (*path, key)
        yield from _paths(value, (*path, key))


def _replaced(kit: Any, path: tuple[Any, ...], value: Any) -> Any:
    copy = deepcopy(kit)
    part = copy
    for key in path[:-1]:
        part = part[key]
    part[path[-1]] = value
    return copy


def _full() -> Case:
    case = Case()
    case.state_everything()
    case.row("far")["extenders"] = [{"model": "ext", "at_m": at} for at in (100, 200, 300)]
    case.row("light").update({"class": 6, "port_w": 90, "run_m": 50, "cable": "cat6", "pd_volts": 50.3, "amps": 1.0138})
    case.unit("mast-1")["fed_by"].update({"class": 5, "run_m": 60, "cable": "cat6", "extenders": [], "injector": None})
    return case


@pytest.mark.parametrize("value", STRANGE, ids=repr)
def test_any_value_anywhere_gives_findings(value: Any) -> None:
    case = _full()
    kits = 0
    for path in _paths(case.kit):
        spoiled = _replaced(case.kit, path, deepcopy(value))
        try:
            Kit.model_validate(spoiled)
        except ValidationError:
            continue
        kits += 1
        changed = Case(kit=spoiled)
        assert isinstance(changed.audit(), list), path
    assert kits > 3


def test_a_feed_from_every_unit_to_every_other() -> None:
    for feeder in ("hut-1", "hut-2", "mast-1", "shop-1", "nowhere"):
        for unit in ("hut-1", "hut-2", "mast-1", "shop-1"):
            for injector in (None, {"unit": "hut-2", "port": 1}, {"unit": feeder, "port": 1}):
                case = Case()
                case.unit(unit)["fed_by"] = {"unit": feeder, "group": "out", "port": 4, "injector": injector}
                assert any(finding.severity is Severity.ERROR for finding in case.audit())


@pytest.mark.parametrize("circle", [False, True])
def test_five_hundred_switches_in_a_row_or_a_circle(circle: bool) -> None:
    case = Case()
    first = case.unit("mast-1")
    for number in range(2, 501):
        feed = {"unit": f"mast-{number - 1}", "group": "out", "port": 4}
        case.kit["units"].append({**first, "unit": f"mast-{number}", "fed_by": feed})
    if circle:
        first["fed_by"] = {"unit": "mast-500", "group": "out", "port": 4}
    assert len(case.broken()["cascade"]) == (500 if circle else 499)
