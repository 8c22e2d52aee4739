"""A schedule to the bytes of a CSV file that opens safely in a spreadsheet."""

from equipsel.files.schedules.schedule import Cell, Schedule

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A text that starts so would be taken for a formula by a spreadsheet (common practice)."""


def safe(cell: Cell) -> Cell:
    """The cell with an apostrophe before a text that a spreadsheet would take for a formula; numbers as they are."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(FORMULA_STARTS) else cell


def to_csv(schedule: Schedule) -> bytes:
    """The schedule as CSV in UTF-8, comma-separated, a line feed at the end of each row; the same bytes for the same rows."""
    import pandas as pd  # noqa: PLC0415 - half a second that only those who write schedules should wait

    rows = [[safe(cell) for cell in row] for row in schedule.rows]
    frame = pd.DataFrame(rows, columns=[str(safe(name)) for name in schedule.columns], dtype=object)
    return str(frame.to_csv(index=False, lineterminator="\n")).encode("utf-8")
