"""A table as it stands in a file, before anything is known of what its cells mean; the same from CSV and from a workbook."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from equipsel.files.problems import Problem

UNSEEN = {ord(letter): None for letter in "\u200b\u2060\ufeff\u00ad"}
"""Letters without width or meaning that come along when text is copied from a web page."""


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row: its number in the file (the header is row 1) and its cells as text without surrounding blanks."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong with a workbook's cell itself, and how to mend it. `in_notes`: also in a column that is only carried along."""

    wrong: str
    mend: str
    in_notes: bool = True


@dataclass(frozen=True, slots=True)
class RawTable:
    """One table. `source` is what messages call it: a file name, or a workbook with its sheet.

    decimal_comma: 12,95 may stand for 12.95 in it. faults: cells that cannot be taken as they are, by row number and position.
    """

    source: str
    header: RawRow
    rows: tuple[RawRow, ...]
    decimal_comma: bool
    faults: Mapping[tuple[int, int], Fault] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Found:
    """The raw tables that were found by name, the names of those that are there and cannot be read, what is wrong, and what is odd."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    unreadable: frozenset[str] = frozenset()
    problems: tuple[Problem, ...] = ()
    warnings: tuple[Problem, ...] = ()


def tidy(text: str) -> str:
    """A cell with single plain blanks in it: no-break spaces, line ends and letters that nobody sees make no difference."""
    return " ".join(text.translate(UNSEEN).split()) if not text.isascii() or len(text.split()) > 1 else text


def trimmed(rows: list[RawRow]) -> list[RawRow]:
    """The rows that hold something, without the blank cells at their ends that a spreadsheet leaves."""
    held = [row for row in rows if any(row.cells)]
    widest = max((_last(row) for row in held[:1]), default=0)
    return [RawRow(row.line, row.cells[: max(widest, _last(row))]) for row in held]


def _last(row: RawRow) -> int:
    return max((position for position, cell in enumerate(row.cells, 1) if cell), default=0)
