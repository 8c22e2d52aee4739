"""The raw tables of an .xlsx workbook, a sheet per table. Needs openpyxl (the optional extra `equipsel[xlsx]`)."""

import zipfile
import zlib
from collections.abc import Iterator
from datetime import date, datetime, time, timedelta
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from equipsel.columns import Row
from equipsel.files.csv_table import unreadable
from equipsel.files.folder import Found
from equipsel.files.problems import Problem, file_problem
from equipsel.files.raw import RawRow, RawTable, trimmed
from equipsel.files.tables import REQUIRED

LARGEST_BYTES = 200_000_000
"""A workbook that unpacks to more is refused (our own limit)."""

CHUNK = 1_000_000
NOT_INSTALLED = "install it with pip install 'equipsel[xlsx]', or save the sheets as CSV files in a folder"


def read_workbook(path: Path, models: tuple[type[Row], ...], *others: str) -> Found:
    """The sheets called after the wanted tables (and the others asked for, which are required); hidden sheets count too."""
    names = [*(model.table for model in models), *others]
    problem = _unfit(path)
    sheets = problem or _sheets(path, names)
    if isinstance(sheets, Problem):
        return Found(unreadable=frozenset(names), problems=(sheets,))
    problems = [
        file_problem(path.name, f"has no sheet called {name}", "add it: `equipsel tables` shows its columns")
        for name in names
        if name not in sheets and (name in REQUIRED or name in others)
    ]
    unreadable = frozenset(name for name in names if name not in sheets and name in REQUIRED)
    return Found(sheets, unreadable, tuple(problems))


def _unfit(path: Path) -> Problem | None:
    """Why a file cannot be taken for a workbook, if it cannot: it is unpacked once, counting, before anything parses it."""
    if find_spec("openpyxl") is None:
        return file_problem(path.name, "is a workbook, and openpyxl is not installed", NOT_INSTALLED)
    try:
        with zipfile.ZipFile(path) as archive:
            size = sum(_unpacked_bytes(archive))
    except OSError as error:
        return unreadable(str(path), error)
    except (ValueError, RuntimeError, EOFError, zipfile.BadZipFile, zlib.error):
        return file_problem(path.name, "is not a workbook", "save it as .xlsx, without a password")
    if size > LARGEST_BYTES:
        return file_problem(path.name, f"unpacks to more than {LARGEST_BYTES // 1_000_000} MB", "leave out what is not part of the tables")
    return None


def _unpacked_bytes(archive: zipfile.ZipFile) -> Iterator[int]:
    left = LARGEST_BYTES
    for item in archive.infolist():
        with archive.open(item) as packed:
            while left >= 0 and (chunk := packed.read(CHUNK)):
                left -= len(chunk)
                yield len(chunk)


def _sheets(path: Path, names: list[str]) -> dict[str, RawTable] | Problem:
    openpyxl = import_module("openpyxl")
    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
        sheets = {sheet.title.strip().lower(): sheet for sheet in book.worksheets}
        tables = {name: _table(sheets[name], f"{path.name} sheet {name}") for name in names if name in sheets}
        book.close()
    except (KeyError, ValueError, TypeError, IndexError, AttributeError, SyntaxError, OSError) as error:
        return file_problem(path.name, f"is not a workbook that can be read ({error.__class__.__name__})", "save it again as .xlsx")
    return {name: table for name, table in tables.items() if table}


def _table(sheet: Any, source: str) -> RawTable | None:
    sheet.reset_dimensions()
    rows = [RawRow(line, tuple(_text(value) for value in row)) for line, row in enumerate(sheet.iter_rows(values_only=True), 1)]
    width = max((len(row.cells) for row in rows), default=0)
    rows = trimmed([RawRow(row.line, row.cells + ("",) * (width - len(row.cells))) for row in rows])
    return RawTable(source, rows[0], tuple(rows[1:]), decimal_comma=True) if rows else None


def _text(value: Any) -> str:
    """A cell as the user would write it in a CSV file."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime | date | time | timedelta):
        return f"{value} (a date or time)"
    return str(value).strip()
