"""Where a scenario or a catalog is read from: a folder, the scenario.toml in it, or one workbook."""

from os.path import exists, isdir  # unlike pathlib they answer no, rather than raise, for a name that no disk can hold
from pathlib import Path

from equipsel.columns import Row
from equipsel.files.csv_table import unreadable
from equipsel.files.folder import Found, csv_files, read_folder
from equipsel.files.problems import Problem, file_problem
from equipsel.files.settings import read_sheet, read_toml
from equipsel.files.tables import CATALOG_TABLES, SCENARIO_TABLES, SETTINGS
from equipsel.files.workbook import read_workbook

TOML = f"{SETTINGS}.toml"
SCENARIO_MEND = f"give a folder that holds {TOML} and devices.csv, that {TOML}, or an .xlsx workbook with those sheets"
CATALOG_MEND = "give a folder that holds switches.csv and ports.csv, or an .xlsx workbook with those sheets"


def catalog_source(path: Path) -> Found:
    """The raw tables of a catalog, or why there are none."""
    if is_workbook(path):
        return read_workbook(path, CATALOG_TABLES)
    files = _files_of(path, "catalog", CATALOG_MEND)
    if isinstance(files, Problem):
        return _nothing(files, CATALOG_TABLES)
    if not files.keys() & {model.table for model in CATALOG_TABLES}:
        return _nothing(file_problem(str(path), "is a folder without any table of a catalog", CATALOG_MEND), CATALOG_TABLES)
    return read_folder(files, CATALOG_TABLES)


def scenario_source(path: Path) -> tuple[str, dict[str, str], Found]:
    """What holds a scenario's settings, the settings by dotted key, and its raw tables, or why there are none."""
    if is_workbook(path):
        return _scenario_workbook(path)
    folder, toml = (path.parent, path) if path.suffix.lower() == ".toml" and not isdir(path) else (path, path / TOML)
    files = _files_of(folder, "scenario", SCENARIO_MEND)
    if isinstance(files, Problem):
        return str(path), {}, _nothing(files, SCENARIO_TABLES, SETTINGS)
    if not exists(toml) and "devices" not in files:
        wrong = file_problem(str(path), f"holds neither {toml.name} nor devices.csv", SCENARIO_MEND)
        return str(path), {}, _nothing(wrong, SCENARIO_TABLES, SETTINGS)
    flat, problems = read_toml(toml, toml.name)
    found = read_folder(files, SCENARIO_TABLES)
    unreadable = found.unreadable if flat or not problems else found.unreadable | {SETTINGS}
    return toml.name, flat, Found(found.tables, unreadable, (*problems, *found.problems))


def is_workbook(path: Path) -> bool:
    """Whether a path is read as a workbook."""
    return path.suffix.lower() in {".xlsx", ".xlsm"} and not isdir(path)


def _scenario_workbook(path: Path) -> tuple[str, dict[str, str], Found]:
    found = read_workbook(path, SCENARIO_TABLES, SETTINGS)
    if SETTINGS not in found.tables:
        return path.name, {}, Found(found.tables, found.unreadable | {SETTINGS}, found.problems)
    sheet = found.tables[SETTINGS]
    flat, problems = read_sheet(sheet)
    return sheet.source, flat, Found(found.tables, found.unreadable, (*found.problems, *problems))


def _files_of(folder: Path, what: str, mend: str) -> dict[str, Path] | Problem:
    try:
        return csv_files(folder)
    except FileNotFoundError:
        return file_problem(str(folder), "does not exist", mend)
    except NotADirectoryError:
        return file_problem(str(folder), f"is not a {what}", mend)
    except (OSError, ValueError) as error:
        return unreadable(ascii(str(folder))[1:-1], error)


def _nothing(problem: Problem, models: tuple[type[Row], ...], *others: str) -> Found:
    return Found(unreadable=frozenset({*(model.table for model in models), *others}), problems=(problem,))
