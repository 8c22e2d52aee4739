"""Reads kit.json, ours or made by hand."""

import json
from math import isfinite
from pathlib import Path
from typing import Any, get_args

from pydantic import ValidationError

from equipsel.files.decode import decode, read_bytes
from equipsel.files.problems import InputError, Problem, cell_problem, file_problem, nearest, quoted
from equipsel.kit import Kit, Part

UNION_TAGS = frozenset({"float", "int"})
"""Where pydantic says which member of a union it tried; no part of the path to a field."""

SHOWN_PROBLEMS = 50
"""A kit with more wrong fields than this is told of the first ones (our own limit)."""

EXPECTED = {
    "string_type": "a text",
    "bool_type": "true or false",
    "tuple_type": "a list",
    "model_type": "an object",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
}
"""What a field should have been, by pydantic's kind of error."""


def read_kit_json(path: str | Path) -> Kit:
    """The kit in a JSON file. Raises InputError with everything that keeps it from being read as one."""
    source = Path(path).name
    content = read_bytes(Path(path), str(path))
    text = content if isinstance(content, Problem) else decode(content, source)
    values = text if isinstance(text, Problem) else _parse(text, source)
    if isinstance(values, Problem):
        raise InputError([values])
    try:
        return Kit.model_validate(values)
    except ValidationError as error:
        raise InputError(field_problems(error, source)) from error


def _parse(text: str, source: str) -> Any | Problem:
    try:
        values = json.loads(text, parse_constant=_finite, parse_float=_finite)
    except json.JSONDecodeError as error:
        return file_problem(source, f"is not JSON: {error.msg} at line {error.lineno}, column {error.colno}", "mend it there")
    except (ValueError, RecursionError) as error:
        return file_problem(source, f"is not JSON that can be used ({error})", "write plain numbers, and no deeper nesting than a kit has")
    return (
        values if isinstance(values, dict) else file_problem(source, "holds no object", "it must begin with { and hold units, connections")
    )


def _finite(text: str) -> float:
    """The number a JSON text stands for. Raises ValueError for NaN and infinity, which no kit holds."""
    number = float(text)
    if not isfinite(number):
        raise ValueError(f"{text} is not a finite number")
    return number


def field_problems(error: ValidationError, source: str) -> list[Problem]:
    """What pydantic has against the fields of a kit, in words, the first ones of many."""
    problems: dict[str, Problem] = {}
    for one in error.errors(include_url=False):
        path = tuple(part for part in one["loc"] if part not in UNION_TAGS)
        spot = _spot(path)
        wrong, mend = _words(one["type"], path, one["input"], one["msg"])
        problems.setdefault(spot, cell_problem(source, None, spot, wrong, mend))
    found = list(problems.values())
    left_out = len(found) - SHOWN_PROBLEMS
    more = [file_problem(source, f"has {left_out} more wrong fields", "mend these first")] if left_out > 0 else []
    return found[:SHOWN_PROBLEMS] + more


def _spot(path: tuple[int | str, ...]) -> str:
    """The path to a field as people write it: connections[3].port."""
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path).lstrip(".")


def _words(kind: str, path: tuple[int | str, ...], found: Any, message: str) -> tuple[str, str]:
    if kind == "missing":
        return "is missing", "add it"
    if kind == "extra_forbidden":
        close = nearest(str(path[-1]), _fields(path[:-1]))
        return "is not a field of a kit", f"did you mean {close}?" if close else "leave it out"
    shown = quoted(json.dumps(found, default=str))[1:-1]
    if kind in {"enum", "literal_error"}:
        return f"{shown} is not one of the words it may be", message.replace("Input should be", "write")
    expected = EXPECTED.get(kind)
    return f"{shown} is not {expected or 'right here'}", f"write {expected}" if expected else message


def _fields(path: tuple[int | str, ...]) -> list[str]:
    """The fields of the part of a kit that a path leads to."""
    part: type[Part] = Kit
    for name in (one for one in path if isinstance(one, str)):
        field = next((field for key, field in part.model_fields.items() if name in (key, field.alias)), None)
        part = _part_in(field.annotation) if field else part
    return [field.alias or name for name, field in part.model_fields.items()]


def _part_in(kind: Any) -> type[Part]:
    """The part of a kit that a type holds, inside tuples and unions; a kit itself where it holds none."""
    kinds = [kind]
    while kinds:
        one = kinds.pop()
        if isinstance(one, type) and issubclass(one, Part):
            return one
        kinds += get_args(one)
    return Kit
