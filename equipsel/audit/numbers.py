"""Numbers of a kit file that are none (infinite, not a number, absurdly large): told, and taken as not given."""

from math import isfinite
from typing import TypeVar

from equipsel.audit.words import Found, error
from equipsel.kit import Kit, Line, Number, Part

LARGEST = 1e12
"""No figure of a kit is above this (our own limit)."""

AnyPart = TypeVar("AnyPart", bound=Part)


def without_bad_numbers(kit: Kit) -> tuple[Kit, list[Found]]:
    """The kit with every impossible optional figure left out and every such line dropped, and what was found."""
    found: list[Found] = []
    units = tuple(_clean(unit, f"unit {unit.unit}", found) for unit in kit.units)
    connections = tuple(_clean(row, f"device {row.device}", found) for row in kit.connections)
    lines = kit.lines and tuple(line for line in kit.lines if _usable(line, found))
    top = _clean(kit.model_copy(update={"units": (), "connections": (), "lines": None, "findings": ()}), "kit", found)
    return top.model_copy(update={"units": units, "connections": connections, "lines": lines}), found


def _impossible(value: object) -> bool:
    return isinstance(value, float | int) and not (isfinite(value) and abs(value) <= LARGEST)


def _clean(part: AnyPart, where: str, found: list[Found]) -> AnyPart:
    update: dict[str, object] = {}
    for name, field in type(part).model_fields.items():
        value = getattr(part, name)
        if isinstance(value, Part):
            update[name] = _clean(value, where, found)
        elif isinstance(value, tuple) and value and isinstance(value[0], Part):
            update[name] = tuple(_clean(item, where, found) for item in value)
        elif _impossible(value) and not field.is_required():
            update[name] = None
            found.append(_bad(where, name.rstrip("_")))
    return part.model_copy(update=update)


def _usable(line: Line, found: list[Found]) -> bool:
    figures: dict[str, Number] = {"count": line.count, "unit_cost": line.unit_cost, "cost": line.cost}
    bad = [_bad(f"line {line.kind} {line.model}", name) for name, value in figures.items() if _impossible(value)]
    found += bad
    return not bad


def _bad(where: str, name: str) -> Found:
    return error(where, f"{name} is not a finite number of at most {LARGEST:g}: it was taken as not given.")
