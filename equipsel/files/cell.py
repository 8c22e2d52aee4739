"""One cell of a workbook: the text a user would write for it in a CSV file, and what is wrong with it where it holds none."""

from datetime import date, datetime, time, timedelta
from typing import Any

from equipsel.files.problems import quoted
from equipsel.files.raw import Fault

SHOWN_DIGITS = 15
"""Significant digits that a spreadsheet shows; what lies behind them is binary noise, as in 30.000000000000004."""

DATE = "a spreadsheet makes dates of 12.5 or 3-5: set the cell's format to a number (or text, for a name) and write it again"
RECALCULATE = "open the workbook in a spreadsheet and save it, or write the value itself"


def text_of(cell: Any) -> tuple[str, Fault | None]:
    """The text of a cell with a value, and its fault if it has one."""
    value = cell.value
    if cell.data_type == "e":
        return str(value), Fault(f"holds the error {quoted(str(value))[1:-1]}", "mend its formula, or write the value itself")
    if isinstance(value, str):
        return value.strip(), None
    if isinstance(value, bool):
        return "yes" if value else "no", None
    if isinstance(value, int | float):
        return _number(value, cell.number_format), None
    if isinstance(value, datetime | date | time | timedelta):
        shown = _when(value)
        return shown, Fault(f"holds a date or time, {shown}", DATE, in_notes=False)
    return str(value).strip(), None


def uncalculated(formula: str) -> Fault:
    """The fault of a formula whose value was never saved, as programs that only write workbooks leave it."""
    return Fault(f"holds the formula {quoted(formula)} and no value", RECALCULATE)


def _number(value: float, number_format: str | None) -> str:
    """A number as it is shown, and of a cell that is formatted as a percentage: 0.2 shown as 20% is 20%."""
    if number_format and "%" in number_format:
        return f"{value * 100:.{SHOWN_DIGITS}g}%"
    return f"{value:.{SHOWN_DIGITS}g}" if isinstance(value, float) else str(value)


def _when(value: datetime | date | time | timedelta) -> str:
    at_midnight = isinstance(value, datetime) and (value.hour, value.minute, value.second) == (0, 0, 0)
    return str(value.date() if isinstance(value, datetime) and at_midnight else value)
