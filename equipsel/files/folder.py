"""The raw tables of a folder: CSV files, and one workbook for those that stand in none."""

from dataclasses import dataclass, field
from os.path import isdir  # unlike pathlib it answers no, rather than raise, for a name that no disk can hold
from pathlib import Path

from equipsel.files.csv_table import read_csv
from equipsel.files.problems import Problem, file_problem, nearest
from equipsel.files.raw import Found, RawTable
from equipsel.files.tables import REQUIRED, TABLE_NAMES
from equipsel.files.workbook import read_workbook

WORKBOOKS = frozenset({".xlsx", ".xlsm"})
"""Macros in the second kind are left alone."""

OUR_OWN = "kit.xlsx"
"""The workbook a kit is handed on in may lie beside the tables it was made from: it is not read as one of them."""


@dataclass(frozen=True, slots=True)
class Listing:
    """The files of a folder that may hold tables: CSV files by the table they are called after, in lower case, and workbooks."""

    csvs: dict[str, Path] = field(default_factory=dict)
    books: tuple[Path, ...] = ()


def listing(folder: Path) -> Listing:
    """The files of a folder that may hold tables, but for the marks that spreadsheets leave. Raises OSError if it cannot be listed."""
    files = sorted(folder.iterdir(), key=lambda path: path.name, reverse=True)
    csvs = {path.name.lower().removesuffix(".csv"): path for path in files if path.name.lower().endswith(".csv")}
    books = [path for path in files if is_workbook(path) and not path.name.startswith(("~$", ".")) and path.name.lower() != OUR_OWN]
    return Listing(csvs, tuple(reversed(books)))


def is_workbook(path: Path) -> bool:
    """Whether a path is read as a workbook: by its name, and if it is no folder."""
    return path.suffix.lower() in WORKBOOKS and not isdir(path)


def read_folder(files: Listing, names: tuple[str, ...], *others: str) -> Found:
    """The wanted tables of a folder, each from its CSV file or a sheet; the others only from a sheet. A required one must be there."""
    from_csv = _from_csv(files.csvs, names)
    from_book = _from_book(files, (*names, *others))
    doubles = [_double(files.csvs[name], from_book.tables[name]) for name in names if name in files.csvs and name in from_book.tables]
    tables = {**from_book.tables, **from_csv.tables}
    unreadable = from_csv.unreadable | (from_book.unreadable - from_csv.tables.keys())
    absent = [name for name in names if name in REQUIRED and name not in tables and name not in unreadable]
    problems = (*from_csv.problems, *from_book.problems, *doubles, *(_missing(name, files) for name in absent))
    misnamed = _misnamed(files.csvs, [name for name in names if name not in REQUIRED and name not in tables])
    return Found(tables, unreadable | set(absent), (*problems, *misnamed), (*from_csv.warnings, *from_book.warnings))


def _from_csv(csvs: dict[str, Path], names: tuple[str, ...]) -> Found:
    tables: dict[str, RawTable] = {}
    problems: list[Problem] = []
    warnings: list[Problem] = []
    for name in (one for one in names if one in csvs):
        table, odd = read_csv(csvs[name], csvs[name].name)
        warnings += odd
        if isinstance(table, RawTable):
            tables[name] = table
        else:
            problems.append(table)
    unreadable = frozenset(name for name in names if name in csvs and name not in tables)
    return Found(tables, unreadable, tuple(problems), tuple(warnings))


def _from_book(files: Listing, names: tuple[str, ...]) -> Found:
    if not files.books:
        return Found()
    if len(files.books) == 1:
        return read_workbook(files.books[0], names)
    shown = ", ".join(path.name for path in files.books[:3]) + (" ..." if len(files.books) > 3 else "")
    where = files.books[0].parent
    wrong = f"holds {len(files.books)} workbooks: {shown}"
    problem = file_problem(str(where), wrong, "give the one that is meant instead of the folder, or move the others away")
    return Found(unreadable=frozenset(names), problems=(problem,))


def _double(csv: Path, sheet: RawTable) -> Problem:
    return file_problem(csv.name, f"holds a table that stands in {sheet.source} too", "keep one of the two")


def _missing(name: str, files: Listing) -> Problem:
    close = nearest(name, files.csvs.keys() - TABLE_NAMES, 0.7)
    if close:
        return file_problem(f"{name}.csv", "does not exist", f"rename {files.csvs[close].name} to {name}.csv")
    beside = f", and {files.books[0].name} has no sheet called {name}" if files.books else ""
    return file_problem(f"{name}.csv", f"does not exist{beside}", "add it: `equipsel tables` shows its columns")


def _misnamed(csvs: dict[str, Path], optional: list[str]) -> list[Problem]:
    """CSV files named almost like an optional table, which would go unread; others are none of our business."""
    close = {name: nearest(name, optional, 0.8) for name in csvs if name not in TABLE_NAMES}
    return [
        file_problem(csvs[name].name, f"is no table, but named almost like {table}.csv", f"rename it to {table}.csv, or to something else")
        for name, table in close.items()
        if table
    ]
