"""One CSV file to a raw table: comma, semicolon or tab; any line ends; as spreadsheets export it."""

import csv
import io
import re
from collections.abc import Iterator
from pathlib import Path

from equipsel.files import limits
from equipsel.files.decode import decode_table, read_bytes
from equipsel.files.problems import Problem, file_problem, table_problem
from equipsel.files.raw import RawRow, RawTable, trimmed

DELIMITERS = (",", ";", "\t")
STATED = re.compile(r"sep=([,;\t])(?:\r\n|\r|\n|$)", re.IGNORECASE)
"""A first line in which some spreadsheets state the separator."""

LOOKED_AT = 100_000
"""Characters among which the first line is looked for, to tell its separator."""

GUARDED = re.compile(r"'(?=[=+\-@\t\r])")
"""The apostrophe that our own schedules, and people, put before a text that a spreadsheet would take for a formula."""


def read_csv(path: Path, source: str) -> tuple[RawTable | Problem, list[Problem]]:
    """The table in a CSV file, or why there is none; and what is odd about the file."""
    content = read_bytes(path, source)
    text = content if isinstance(content, Problem) else decode_table(content, source)
    if isinstance(text, Problem):
        return text, []
    return parse_csv(text.text, source), [_guessed(source)] if text.guessed else []


def _guessed(source: str) -> Problem:
    wrong = "is not UTF-8 text, and is read as Windows-1252"
    return file_problem(source, wrong, "check its accented letters, or save it in UTF-8 (a spreadsheet calls it CSV UTF-8)")


def parse_csv(text: str, source: str) -> RawTable | Problem:
    """The table in the text of a CSV file. Rows are counted as a spreadsheet shows them, blank ones too."""
    stated = STATED.match(text)
    delimiter = stated[1] if stated else delimiter_of(text)
    rows: list[RawRow] = []
    problem = None
    try:
        for row in _rows(text[stated.end() :] if stated else text, delimiter, 2 if stated else 1):
            rows.append(row)
            if problem := _too_much(source, row, len(rows)):
                break
    except csv.Error as error:
        line = rows[-1].line + 1 if rows else 1
        return table_problem(source, f"cannot be taken apart into cells ({error})", "look for a quotation mark left open", line)
    if problem:
        return problem
    rows = trimmed(rows)
    if not rows:
        return table_problem(source, "is empty", "give it a row with the column names, and rows below it")
    return RawTable(source, rows[0], tuple(rows[1:]), decimal_comma=delimiter != ",")


def delimiter_of(text: str) -> str:
    """The separator that cuts the first row with anything on it into most cells; a comma if none cuts it."""
    return max(DELIMITERS, key=lambda mark: _cells_of_first(text[:LOOKED_AT], mark))


def _cells_of_first(text: str, delimiter: str) -> int:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    return next((len(cells) for cells in reader if any(cell.strip(" \t;,") for cell in cells)), 0)


def _rows(text: str, delimiter: str, first: int) -> Iterator[RawRow]:
    """The rows that hold something; what is blank beyond the last column that may be is left out."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    for line, cells in enumerate(reader, first):
        beyond = [cell for cell in cells[limits.MOST_COLUMNS :] if cell.strip()]
        if any(cells):
            yield RawRow(line, tuple(_cell(cell) for cell in [*cells[: limits.MOST_COLUMNS], *beyond]))


def _cell(text: str) -> str:
    return GUARDED.sub("", text, count=1) if text.startswith("'") else text.strip()


def _too_much(source: str, row: RawRow, number: int) -> Problem | None:
    if number > limits.MOST_ROWS + 1:
        return table_problem(source, f"has more than {limits.MOST_ROWS:,} rows", "leave out what is not part of the site")
    if len(row.cells) > limits.MOST_COLUMNS:
        return table_problem(source, f"has more than {limits.MOST_COLUMNS} columns", "leave out what is not part of the table", row.line)
    return None
