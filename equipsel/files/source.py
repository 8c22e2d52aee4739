"""Where a scenario or a catalog is read from: a folder, the scenario.toml in it, or one workbook."""

from dataclasses import replace
from os.path import exists, isdir  # unlike pathlib they answer no, rather than raise, for a name that no disk can hold
from pathlib import Path

from equipsel.columns import Row
from equipsel.files.decode import unreadable
from equipsel.files.folder import Listing, is_workbook, listing, read_folder
from equipsel.files.problems import Problem, file_problem
from equipsel.files.raw import Found
from equipsel.files.settings import read_sheet, read_toml
from equipsel.files.tables import CATALOG_TABLES, SCENARIO_TABLES, SETTINGS
from equipsel.files.workbook import missing_sheets, read_workbook

TOML = f"{SETTINGS}.toml"
SCENARIO_MEND = f"give a folder that holds {TOML} and devices.csv, that {TOML}, or an .xlsx workbook with those sheets"
CATALOG_MEND = "give a folder that holds switches.csv and ports.csv, or an .xlsx workbook with those sheets"
OTHER_SPREADSHEETS = frozenset({".xls", ".xlsb", ".xltx", ".xltm", ".ods", ".fods", ".ots"})


def _names(models: tuple[type[Row], ...]) -> tuple[str, ...]:
    return tuple(model.table for model in models)


CATALOG_NAMES = _names(CATALOG_TABLES)
SCENARIO_NAMES = _names(SCENARIO_TABLES)


def catalog_source(path: Path) -> Found:
    """The raw tables of a catalog, or why there are none."""
    if is_workbook(path):
        return missing_sheets(read_workbook(path, CATALOG_NAMES), path, CATALOG_NAMES)
    files = _files_of(path, "catalog", CATALOG_MEND)
    if isinstance(files, Problem):
        return _nothing(files, CATALOG_NAMES)
    if not files.books and not files.csvs.keys() & set(CATALOG_NAMES):
        return _nothing(file_problem(str(path), "is a folder without any table of a catalog", CATALOG_MEND), CATALOG_NAMES)
    return read_folder(files, CATALOG_NAMES)


def scenario_source(path: Path) -> tuple[str, dict[str, str], Found]:
    """What holds a scenario's settings, the settings by dotted key, and its raw tables, or why there are none."""
    if is_workbook(path):
        found = missing_sheets(read_workbook(path, (*SCENARIO_NAMES, SETTINGS)), path, (*SCENARIO_NAMES, SETTINGS))
        return _with_sheet(found, path.name)
    folder, toml = (path.parent, path) if path.suffix.lower() == ".toml" and not isdir(path) else (path, path / TOML)
    files = _files_of(folder, "scenario", SCENARIO_MEND)
    if isinstance(files, Problem):
        return str(path), {}, _nothing(files, (*SCENARIO_NAMES, SETTINGS))
    if not exists(toml) and not files.books and "devices" not in files.csvs:
        wrong = file_problem(str(path), f"holds neither {toml.name} nor devices.csv", SCENARIO_MEND)
        return str(path), {}, _nothing(wrong, (*SCENARIO_NAMES, SETTINGS))
    found = read_folder(files, SCENARIO_NAMES, SETTINGS)
    if not exists(toml) and (SETTINGS in found.tables or SETTINGS in found.unreadable):
        return _with_sheet(found, files.books[0].name)
    return _with_toml(found, toml)


def _with_sheet(found: Found, book: str) -> tuple[str, dict[str, str], Found]:
    """The settings on the sheet of a workbook."""
    if SETTINGS not in found.tables:
        return book, {}, found
    sheet = found.tables[SETTINGS]
    flat, problems = read_sheet(sheet)
    return sheet.source, flat, replace(found, problems=(*found.problems, *problems))


def _with_toml(found: Found, toml: Path) -> tuple[str, dict[str, str], Found]:
    """The settings in scenario.toml, which must not stand on a sheet too."""
    flat, problems = read_toml(toml, toml.name)
    if SETTINGS in found.tables:
        wrong = f"holds settings that stand in {found.tables[SETTINGS].source} too"
        problems.append(file_problem(toml.name, wrong, "keep one of the two"))
    not_there = found.unreadable - {SETTINGS} if flat or not problems else found.unreadable | {SETTINGS}
    return toml.name, flat, replace(found, unreadable=not_there, problems=(*problems, *found.problems))


def _files_of(folder: Path, what: str, mend: str) -> Listing | Problem:
    if folder.suffix.lower() in OTHER_SPREADSHEETS and exists(folder) and not isdir(folder):
        return file_problem(str(folder), f"is a spreadsheet of a kind that is not read ({folder.suffix})", "save it as .xlsx")
    try:
        return listing(folder)
    except FileNotFoundError:
        return file_problem(str(folder), "does not exist", mend)
    except NotADirectoryError:
        return file_problem(str(folder), f"is not a {what}", mend)
    except (OSError, ValueError) as error:
        return unreadable(ascii(str(folder))[1:-1], error)


def _nothing(problem: Problem, names: tuple[str, ...]) -> Found:
    return Found(unreadable=frozenset(names), problems=(problem,))
