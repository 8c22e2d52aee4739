"""The raw tables of a folder of CSV files."""

from dataclasses import dataclass, field
from pathlib import Path

from equipsel.columns import Row
from equipsel.files.csv_table import read_csv
from equipsel.files.problems import Problem, file_problem, nearest
from equipsel.files.raw import RawTable
from equipsel.files.tables import REQUIRED, TABLE_NAMES


@dataclass(frozen=True, slots=True)
class Found:
    """The raw tables that were found by name, the names of those that are there and cannot be read, and what is wrong."""

    tables: dict[str, RawTable] = field(default_factory=dict)
    unreadable: frozenset[str] = frozenset()
    problems: tuple[Problem, ...] = ()


def csv_files(folder: Path) -> dict[str, Path]:
    """The CSV files of a folder by the table they are called after, in lower case. Raises OSError if it cannot be listed."""
    files = sorted(folder.iterdir(), key=lambda path: path.name, reverse=True)
    return {path.name.lower().removesuffix(".csv"): path for path in files if path.name.lower().endswith(".csv")}


def read_folder(files: dict[str, Path], models: tuple[type[Row], ...]) -> Found:
    """The wanted tables among the CSV files of a folder; a required one that is not there is a problem."""
    tables: dict[str, RawTable] = {}
    problems: list[Problem] = []
    unreadable = set()
    for name in (model.table for model in models):
        if name in files:
            table = read_csv(files[name], files[name].name)
            if isinstance(table, RawTable):
                tables[name] = table
            else:
                problems.append(table)
                unreadable.add(name)
        elif name in REQUIRED:
            problems.append(_missing(name, files))
            unreadable.add(name)
    problems += _misnamed(files, models)
    return Found(tables, frozenset(unreadable), tuple(problems))


def _missing(name: str, files: dict[str, Path]) -> Problem:
    close = nearest(name, files.keys() - TABLE_NAMES, 0.7)
    mend = f"rename {files[close].name} to {name}.csv" if close else "add it: `equipsel tables` shows its columns"
    return file_problem(f"{name}.csv", "does not exist", mend)


def _misnamed(files: dict[str, Path], models: tuple[type[Row], ...]) -> list[Problem]:
    """CSV files named almost like an optional table, which would go unread; others are none of our business."""
    optional = [model.table for model in models if model.table not in REQUIRED and model.table not in files]
    close = {name: nearest(name, optional, 0.8) for name in files if name not in TABLE_NAMES}
    return [
        file_problem(files[name].name, f"is no table, but named almost like {table}.csv", f"rename it to {table}.csv, or to something else")
        for name, table in close.items()
        if table
    ]
