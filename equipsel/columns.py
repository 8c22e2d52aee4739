"""The one schema: a table is a frozen pydantic model whose every field is a column with a unit, a default and a meaning.

The models, the messages about wrong cells and `equipsel tables` all read the same fields.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, ClassVar, get_args

from annotated_types import Ge, Gt, Le, Lt
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

Ip = tuple[int, int]
"""Ingress protection as its two digits (IEC 60529): (6, 6) for IP66; a digit given as X counts as 0."""

CARRIED = re.compile(r"part_no|supplier|label|note.*")
"""Columns carried unchanged from the tables into the schedules."""


NUMBER = re.compile(r"[+-]?(?:[0-9]{1,30}(?:\.[0-9]{0,30})?|\.[0-9]{1,30})(?:[eE][+-]?[0-9]{1,2})?")
"""A number as people and spreadsheets write it; short enough that no cell can make the arithmetic run away."""


def parse_number(value: Any) -> Any:
    """Decimal of a cell's text. Raises ValueError for text that is no number (NaN, infinity, 1_000 and 12 W included)."""
    if not isinstance(value, str):
        return value
    if not NUMBER.fullmatch(value.strip()):
        raise ValueError("not a number")
    return Decimal(value.strip())


def parse_percent(value: Any) -> Any:
    """Decimal of a percentage, with or without its sign: 20 and 20% are the same."""
    return parse_number(value.strip().removesuffix("%")) if isinstance(value, str) else value


def parse_share(value: Any) -> Any:
    """Decimal of a share of one, also where it is written as a percentage: 0.9 and 90% are the same."""
    if isinstance(value, str) and value.strip().endswith("%"):
        return parse_number(value.strip().removesuffix("%")) / 100
    return parse_number(value)


def parse_yes_no(value: Any) -> Any:
    """True or False of yes, no, true, false, 1, 0 in any case."""
    words = {"yes": True, "true": True, "1": True, "no": False, "false": False, "0": False}
    return words.get(value.strip().lower(), value) if isinstance(value, str) else value


def parse_ip(value: Any) -> Any:
    """The two digits of an ingress protection code such as IP66, 66, IP6X or none."""
    if not isinstance(value, str):
        return value
    text = value.strip().upper()
    if text == "NONE":
        return (0, 0)
    match = re.fullmatch(r"(?:IP)?([0-6X])([0-9X])K?", text)
    if not match:
        raise ValueError("not an IP code")
    first, second = (0 if digit == "X" else int(digit) for digit in match.groups())
    return (first, second)


def parse_lower(value: Any) -> Any:
    """A word from a list, in any case."""
    return value.strip().lower() if isinstance(value, str) else value


LARGEST = Decimal("1e9")
"""No price, power or length is above this: a slip of the finger, not a site (our own limit)."""

Amount = Annotated[Decimal, BeforeValidator(parse_number), Ge(0), Le(LARGEST)]
Positive = Annotated[Decimal, BeforeValidator(parse_number), Gt(0), Le(LARGEST)]
Temperature = Annotated[Decimal, BeforeValidator(parse_number), Ge(-90), Le(150)]
Percent = Annotated[Decimal, BeforeValidator(parse_percent), Ge(0), Le(100)]
PercentBelow = Annotated[Decimal, BeforeValidator(parse_percent), Ge(0), Lt(100)]
Ratio = Annotated[Decimal, BeforeValidator(parse_share), Gt(0), Le(1)]
Count = Annotated[int, BeforeValidator(parse_number), Ge(0), Le(1_000_000)]
Share = Annotated[Decimal, BeforeValidator(parse_share), Ge(0), Lt(1)]
CountOfOne = Annotated[int, BeforeValidator(parse_number), Ge(1), Le(1_000_000)]
Slots = Annotated[int, BeforeValidator(parse_number), Ge(1), Le(16)]
ClassNumber = Annotated[int, BeforeValidator(parse_number), Ge(0), Le(8)]
InClass = Annotated[int, BeforeValidator(parse_number), Ge(3), Le(8)]
Gauge = Annotated[int, BeforeValidator(parse_number), Ge(10), Le(32)]
PortVolts = Annotated[Decimal, BeforeValidator(parse_number), Ge(30), Le(57)]
YesNo = Annotated[bool, BeforeValidator(parse_yes_no)]
IpCode = Annotated[Ip, BeforeValidator(parse_ip)]
Name = Annotated[str, Field(min_length=1, max_length=200)]


def column(meaning: str, default: Any = ..., unit: str = "") -> Any:
    """A column: what it means, its default (none: it must be given) and its unit."""
    return Field(default, description=meaning, json_schema_extra={"unit": unit})


class Row(BaseModel):
    """One row of a table. `line` is its row number in the file (the header is row 1); `carried` its free columns."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", str_strip_whitespace=True, populate_by_name=True, alias_generator=lambda name: name.rstrip("_")
    )
    table: ClassVar[str] = ""

    line: int = Field(0, exclude=True, repr=False)
    carried: tuple[tuple[str, str], ...] = Field((), repr=False)


NOT_COLUMNS = frozenset({"line", "carried"})


@dataclass(frozen=True, slots=True)
class Column:
    """One column of the schema as people read it."""

    table: str
    name: str
    unit: str
    required: bool
    default: str
    allowed: str
    meaning: str


def columns(model: type[Row]) -> Iterator[Column]:
    """The columns of a table, the required ones first, and of those the one that names the row."""
    fields = [item for item in model.model_fields.items() if item[0] not in NOT_COLUMNS]
    for name, field in sorted(fields, key=lambda item: (not item[1].is_required(), _overrides(model, item[0]))):
        extra = field.json_schema_extra
        unit = str(extra.get("unit", "")) if isinstance(extra, dict) else ""
        default = "" if field.is_required() or field.default is None else show(field.default)
        yield Column(model.table, field.alias or name, unit, field.is_required(), default, allowed(model, name), field.description or "")


def _overrides(model: type[Row], name: str) -> bool:
    """Whether a table restates a column that it shares with others (which puts it in front of the table's own)."""
    return name in model.__annotations__ and any(name in getattr(base, "model_fields", {}) for base in model.__bases__)


def show(value: Any) -> str:
    """A default or a cell as the user would write it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "IP" + "".join(str(digit) for digit in value)
    return str(value)


def allowed(model: type[Row], name: str) -> str:
    """What a column takes, in words."""
    kind, marks = _kind(model, name)
    if kind is bool:
        return "yes or no"
    if kind is Ip:
        return "an IP code such as IP66, or none"
    if kind in (int, Decimal):
        return _number_words("a whole number" if kind is int else "a number", marks)
    return ", ".join(str(choice) for choice in kind) if isinstance(kind, tuple) else "text"


@cache
def takes_numbers(model: type[Row], name: str) -> bool:
    """Whether the column holds a number."""
    return _kind(model, name)[0] in (int, Decimal)


def choices(model: type[Row], name: str) -> tuple[str, ...]:
    """The words a column chooses from; none for a column that takes other things."""
    kind = _kind(model, name)[0]
    return tuple(str(choice) for choice in kind) if isinstance(kind, tuple) else ()


def _kind(model: type[Row], name: str) -> tuple[Any, list[Any]]:
    """What a field holds (bool, Ip, int, Decimal, a tuple of choices, or str), and the bounds on it."""
    field = model.model_fields[name]
    marks = list(field.metadata)
    kinds = [field.annotation]
    while kinds:
        kind = kinds.pop()
        marks += getattr(kind, "__metadata__", ())
        if kind in (bool, Ip, int, Decimal):
            return kind, marks
        words = tuple(part for part in get_args(kind) if isinstance(part, str | int))
        if words:
            return words, marks
        kinds += [part for part in get_args(kind) if part is not type(None)]
    return str, marks


def _number_words(noun: str, marks: list[Any]) -> str:
    bounds = [getattr(mark, "metadata", None) or [mark] for mark in marks]
    flat = [part for group in bounds for part in group]
    least = next((mark.ge for mark in flat if isinstance(mark, Ge)), None)
    most = next((mark.le for mark in flat if isinstance(mark, Le) and mark.le != LARGEST), None)
    if least is not None and most is not None:
        return f"{noun} from {least} to {most:,}"
    low = f"of at least {least}" if least is not None else next((f"above {mark.gt}" for mark in flat if isinstance(mark, Gt)), "")
    high = f"at most {most:,}" if most is not None else next((f"below {mark.lt}" for mark in flat if isinstance(mark, Lt)), "")
    return " and ".join(part for part in (f"{noun} {low}".strip(), high) if part)
