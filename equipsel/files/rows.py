"""Raw rows to the schema's models, and what pydantic has against them in the user's words."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from functools import cache
from typing import Any, Generic, TypeVar

from pydantic import ValidationError

from equipsel.columns import LARGEST, NUMBER, Row, allowed, choices, columns, takes_numbers
from equipsel.files.header import Header, Place, read_header
from equipsel.files.limits import LONGEST_CELL, MOST_OF_A_KIND
from equipsel.files.problems import Problem, cell_problem, more_of, nearest, quoted, table_problem
from equipsel.files.raw import RawRow, RawTable, tidy
from equipsel.files.tables import REQUIRED
from equipsel.lengths import METRES_PER_FOOT

UNPRINTABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f]")
"""Characters that neither a spreadsheet nor a terminal shows (line ends and tabs aside)."""

NUMBER_MENDS = (
    (NUMBER, "write one that is"),
    (re.compile(r"([+-]?\d+),(\d+)"), "write the decimal comma as a point: {}.{}"),
    (
        re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}|\d{1,2}[-.] ?[^\W\d_]{3,9}\.?|[^\W\d_]{3,9}\.?-\d{1,4}"),
        "a spreadsheet took it for a date: set the cell's format to a number, and write it again",
    ),
    (re.compile(r"[+-]?[\d.,' ]*\d[\d.,' ]*"), "write it without thousands separators, with a point for the decimals"),
    (re.compile(r"[+-]?[\d.,]+ ?%"), "this column takes no percentage: write the number itself"),
    (re.compile(r"([+-]?\d+(?:\.\d+)?)\s*[A-Za-z/.]+"), "write the number without its unit: {}"),
)
"""How to mend what should be a number, by what it looks like; the first that fits."""

R = TypeVar("R", bound=Row)


@dataclass(frozen=True)
class Table(Generic[R]):
    """A table as read: the rows that are right, and the names in the first column of all rows, right or not."""

    rows: tuple[R, ...]
    names: frozenset[str]
    readable: bool


NOTHING: Table[Any] = Table((), frozenset(), readable=True)


def read_rows(model: type[R], raw: RawTable) -> tuple[Table[R], list[Problem]]:
    """The rows of a table and everything that is wrong with it."""
    header, problems = read_header(model, raw)
    if header is None:
        return Table((), frozenset(), readable=False), problems
    if not raw.rows and model.table in REQUIRED:
        problems.append(table_problem(raw.source, "has column names and no rows", "add a row"))
    rows = []
    told: Counter[str] = Counter()
    for raw_row in raw.rows:
        row, wrong = _read_row(model, raw, header, raw_row)
        problems += _not_too_many(wrong, told)
        rows += [row] if row else []
    key = next(columns(model)).name
    names = _names(header, raw, key)
    return Table(tuple(rows), names, key not in header.absent), problems


def _not_too_many(problems: list[Problem], told: Counter[str]) -> Iterator[Problem]:
    """The problems, but of each column only so many; the first one too many announces the rest."""
    for problem in problems:
        told[problem.column] += 1
        if told[problem.column] <= MOST_OF_A_KIND:
            yield problem
        elif told[problem.column] == MOST_OF_A_KIND + 1:
            yield more_of(problem)


def _names(header: Header, raw: RawTable, key: str) -> frozenset[str]:
    places = [place for place in header.places if place.name == key]
    return frozenset(tidy(row.cells[place.position]) for place in places for row in raw.rows if len(row.cells) > place.position)


def _read_row(model: type[R], raw: RawTable, header: Header, row: RawRow) -> tuple[R | None, list[Problem]]:
    if ragged := _ragged(raw, header, row):
        return None, [ragged]
    if unfit := list(_unfit_cells(raw, header, row)):
        return None, unfit
    cells: dict[str, Any] = {"line": row.line}
    carried = []
    for place in header.places:
        text = row.cells[place.position]
        if place.carried:
            carried.append((place.name, text))
        elif text:
            cells[place.name] = _value(model, place, text, raw.decimal_comma)
    try:
        return model.model_validate({**cells, "carried": tuple(carried)}), []
    except ValidationError as error:
        return None, list(_cell_problems(error, model, raw, header, row))


def _unfit_cells(raw: RawTable, header: Header, row: RawRow) -> Iterator[Problem]:
    """The cells of a row that cannot be taken as they are, whatever their column takes."""
    for place in header.places:
        text = row.cells[place.position]
        fault = raw.faults.get((row.line, place.position)) if raw.faults else None
        if fault and (fault.in_notes or not place.carried):
            yield cell_problem(raw.source, row.line, place.written, fault.wrong, fault.mend)
        elif len(text) > LONGEST_CELL:
            wrong = f"{quoted(text)} is {len(text):,} characters long"
            yield cell_problem(raw.source, row.line, place.written, wrong, f"write at most {LONGEST_CELL if place.carried else 200:,}")
        elif UNPRINTABLE.search(text):
            yield cell_problem(raw.source, row.line, place.written, f"{quoted(text)} holds a control character", "write it again by hand")


def _ragged(raw: RawTable, header: Header, row: RawRow) -> Problem | None:
    if len(row.cells) == header.width:
        return None
    wrong = f"has {len(row.cells)} cells where the header has {header.width}"
    if len(row.cells) < header.width:
        return table_problem(raw.source, wrong, "add the missing separators (an empty cell takes the default)", row.line)
    return table_problem(raw.source, wrong, "put quotation marks around a cell that holds the separator, or name the column", row.line)


def _value(model: type[Row], place: Place, text: str, decimal_comma: bool) -> Any:
    """What a cell is given to its model as: a decimal comma as a point, feet as metres, else its text."""
    if not takes_numbers(model, field_of(model, place.name)):
        return tidy(text)
    text = text.removeprefix("'").strip()
    if decimal_comma and text.count(",") == 1 and "." not in text:
        text = text.replace(",", ".")
    return to_metres(place.name, text) if place.feet else text


def to_metres(name: str, text: str) -> Any:
    """A number given in feet, in metres; a price per foot, per metre; text that is no number as it is."""
    if not NUMBER.fullmatch(text):
        return text
    feet = Decimal(text)
    return feet / METRES_PER_FOOT if "_per_" in name else feet * METRES_PER_FOOT


@cache
def field_of(model: type[Row], column: str) -> str:
    """The field of a column; empty if the model has none of that name."""
    return next((name for name in (column, f"{column}_") if name in model.model_fields), "")


def _cell_problems(error: ValidationError, model: type[Row], raw: RawTable, header: Header, row: RawRow) -> Iterator[Problem]:
    for place, name, kind in _wrong_columns(error, header):
        written = place.written if place else name
        text = row.cells[place.position] if place else ""
        yield cell_problem(raw.source, row.line, written, *describe(model, name, kind, text))


def _wrong_columns(error: ValidationError, header: Header) -> Iterator[tuple[Place | None, str, str]]:
    """Each wrong column once, with what is wrong; a column that is missing from the whole table is told once, not for every row."""
    seen = set()
    for one in error.errors(include_url=False, include_context=False, include_input=False):
        name = str(one["loc"][0])
        if name in header.absent or name in seen:
            continue
        seen.add(name)
        yield next((place for place in header.places if place.name == name), None), name, one["type"]


def describe(model: type[Row], column: str, kind: str, text: str) -> tuple[str, str]:
    """What is wrong with a cell and how to mend it, from pydantic's kind of error and the cell's text."""
    field = field_of(model, column)
    words = allowed(model, field)
    meaning = model.model_fields[field].description or ""
    if kind == "missing":
        return "is empty", f"write {words}: {meaning}" if words != "text" else f"it must be given: {meaning}"
    if kind == "string_too_long":
        return f"{quoted(text)} is {len(text):,} characters long", "write at most 200"
    if kind == "less_than_equal" and not any(bound in words for bound in (" to ", "at most")):
        return f"{quoted(text)} is too large", f"write at most {int(LARGEST):,}"
    if options := choices(model, field):
        close = nearest(text, options)
        return f"{quoted(text)} is not one of {words}", f"did you mean {close}?" if close else "write one of these"
    if words == "text":
        return f"{quoted(text)} does not fit", f"write {meaning}"
    return f"{quoted(text)} is not {words}", _number_mend(text) if takes_numbers(model, field) else f"write {words}"


def _number_mend(text: str) -> str:
    matches = ((pattern.fullmatch(text), mend) for pattern, mend in NUMBER_MENDS)
    return next((mend.format(*match.groups()) for match, mend in matches if match), "write a number")
