"""The header of a table: which cell of a row goes to which column of the schema."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from equipsel.columns import CARRIED, Column, Row, columns
from equipsel.files.limits import LOOKED_AT
from equipsel.files.problems import Problem, choose_from, nearest, quoted, table_problem
from equipsel.files.raw import RawRow, RawTable, tidy

BETWEEN_WORDS = re.compile(r"[\s_-]+")
WITH_UNIT = re.compile(r"(.+?)\s*[\[(]\s*(.*?)\s*[\])]")


@dataclass(frozen=True, slots=True)
class Place:
    """Where a column stands: the name the user gave it, the schema's name for it, and whether it is in feet or carried."""

    position: int
    written: str
    name: str
    feet: bool = False
    carried: bool = False


@dataclass(frozen=True, slots=True)
class Header:
    """The columns of a table that are there, and the required ones that are not."""

    places: tuple[Place, ...]
    width: int
    absent: tuple[str, ...]


def in_feet(name: str) -> str:
    """What a column in metres is called when it is given in feet: run_ft for run_m."""
    return name.removesuffix("_m") + "_ft"


def feet_names(names: list[str]) -> dict[str, str]:
    """The columns in metres by what they are called in feet."""
    return {in_feet(name): name for name in names if name.endswith("_m")}


def name_of(written: str) -> str:
    """A column name as the schema writes it: Run m, RUN-M and run_m are one."""
    return BETWEEN_WORDS.sub("_", tidy(written).lower())


def _name_in(written: str, schema: list[Column]) -> str:
    """The name of a column, without the unit in brackets behind it where that is the column's: price [EUR], watts (W)."""
    match = WITH_UNIT.fullmatch(tidy(written))
    if match:
        unit = next((column.unit for column in schema if column.name == name_of(match[1])), "")
        if unit and (match[2].lower() == unit.lower() or (unit == "currency" and len(match[2]) <= 3)):
            return name_of(match[1])
    return name_of(written)


def read_header(model: type[Row], table: RawTable) -> tuple[Header | None, list[Problem]]:
    """The header of a table and what is wrong with it; no header where the first row holds none of the column names."""
    schema = list(columns(model))
    if title := _title_row(table, schema):
        return None, [title]
    places, problems = _places(table, schema)
    given = {place.name for place in places}
    absent = [column for column in schema if column.required and column.name not in given]
    for column in absent:
        what = f"{column.meaning}, in {column.unit}" if column.unit else column.meaning
        feet = f" (or {in_feet(column.name)})" if column.name.endswith("_m") else ""
        wrong = f"the column {column.name} is missing"
        problems.append(table_problem(table.source, wrong, f"add {column.name}{feet}: {what}"))
    return Header(tuple(places), len(table.header.cells), tuple(column.name for column in absent)), problems


def _title_row(table: RawTable, schema: list[Column]) -> Problem | None:
    """The problem of a first row that holds none of the column names; None where it holds one."""
    if _names_in(table.header, schema):
        return None
    known = [column.name for column in schema]
    found = next((row.line for row in table.rows[:LOOKED_AT] if _names_in(row, schema) > 1), None)
    shown = quoted(next(cell for cell in table.header.cells if cell))
    mend = f"delete what stands above row {found}, which holds them" if found else f"write them there: {choose_from(known)}"
    return table_problem(table.source, f"the first row must hold the column names, not {shown}", mend, table.header.line)


def _names_in(row: RawRow, schema: list[Column]) -> int:
    known = [column.name for column in schema]
    names = {*known, *feet_names(known)}
    return sum(_name_in(cell, schema) in names for cell in row.cells)


def _places(table: RawTable, schema: list[Column]) -> tuple[list[Place], list[Problem]]:
    known = [column.name for column in schema]
    feet = feet_names(known)
    places: list[Place] = []
    problems: list[Problem] = []
    for position, written in enumerate(table.header.cells):
        lower = _name_in(written, schema)
        if lower in known or lower in feet:
            places.append(Place(position, written, feet.get(lower, lower), feet=lower in feet))
        elif CARRIED.fullmatch(lower):
            places.append(Place(position, written, written if lower.startswith("note") else lower, carried=True))
        elif written or any(len(row.cells) > position and row.cells[position] for row in table.rows):
            problems.append(_unknown(table, position, written, [*known, *feet]))
    return places, problems + list(_twice(table, places))


def _unknown(table: RawTable, position: int, written: str, known: list[str]) -> Problem:
    line = table.header.line
    if not written:
        return table_problem(table.source, f"cell {position + 1} is empty, and values stand below it", "name the column, or empty it", line)
    close = nearest(written, known)
    hint = f"did you mean {close}?" if close else f"the columns are {choose_from(known, 30)}"
    return table_problem(table.source, "is not a column of this table", f"{hint} (a column beginning note is carried along)", line, written)


def _twice(table: RawTable, places: list[Place]) -> Iterator[Problem]:
    seen: dict[str, Place] = {}
    for place in places:
        first = seen.setdefault(place.name, place)
        if first is place:
            continue
        if first.feet != place.feet:
            wrong, mend = f"both {first.written} and {place.written} are given", "keep one of them"
        else:
            wrong, mend = f"stands in cells {first.position + 1} and {place.position + 1}", "keep one of the two columns"
        yield table_problem(table.source, wrong, mend, table.header.line, place.written)
