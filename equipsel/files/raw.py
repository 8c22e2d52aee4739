"""A table as it stands in a file, before anything is known of what its cells mean; the same from CSV and from a workbook."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RawRow:
    """One row: its number in the file (the header is row 1) and its cells as text without surrounding blanks."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RawTable:
    """One table. `source` is what messages call it: a file name, or a workbook with its sheet.

    decimal_comma: 12,95 may stand for 12.95 in it.
    """

    source: str
    header: RawRow
    rows: tuple[RawRow, ...]
    decimal_comma: bool


def trimmed(rows: list[RawRow]) -> list[RawRow]:
    """The rows that hold something, without the blank cells at their ends that a spreadsheet leaves."""
    held = [row for row in rows if any(row.cells)]
    widest = max((_last(row) for row in held[:1]), default=0)
    return [RawRow(row.line, row.cells[: max(widest, _last(row))]) for row in held]


def _last(row: RawRow) -> int:
    return max((position for position, cell in enumerate(row.cells, 1) if cell), default=0)
