"""Workbooks for tests: tables of the small site as sheets, written by one library or with their XML edited by hand."""

import csv
import io
import zipfile
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import openpyxl
import xlsxwriter
from small_site import CATALOG, SCENARIO

from equipsel.files import InputError, read_site

SETTINGS = [["key", "value"], ["title", "Invented kiosk"], ["catalog", "catalog.xlsx"], ["rules.spare_watts_pct", 20]]
Rows = list[list[Any]]


def number(text: str) -> Any:
    try:
        return float(text)
    except ValueError:
        return text or None


def table(text: str) -> Rows:
    return [[number(cell) for cell in row] for row in csv.reader(io.StringIO(text))]


def write(path: Path, sheets: Mapping[str, Rows]) -> Path:
    """Write a workbook as programs do that only write: formulas have no values."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def write_shared(path: Path, sheets: Mapping[str, Rows]) -> Path:
    """Write a workbook as spreadsheets do: texts shared between cells."""
    with xlsxwriter.Workbook(path) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for line, row in enumerate(rows):
                sheet.write_row(line, 0, row)
    return path


def write_both(folder: Path, **changes: Rows) -> Path:
    write(folder / "catalog.xlsx", {name.removesuffix(".csv"): table(text) for name, text in CATALOG.items()})
    return write(folder / "site.xlsx", {"scenario": SETTINGS, "devices": table(SCENARIO["devices.csv"]), **changes})


def edited(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
    """Change one part of a workbook in place."""
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    parts[part] = change(parts[part])
    return packed(path, parts)


def packed(path: Path, parts: Mapping[str, bytes]) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return path


def problems_of(path: Path) -> list[str]:
    try:
        read_site(path)
    except InputError as error:
        return [str(problem) for problem in error.problems]
    return []
