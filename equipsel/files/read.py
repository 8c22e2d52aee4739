"""Reads scenarios and catalogs whole: every table, every check, and every problem in one go."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from os.path import isdir
from pathlib import Path
from typing import Any

from equipsel.catalog import Catalog
from equipsel.columns import Row
from equipsel.files.checks import CATALOG_CHECKS, ODDITIES, SCENARIO_CHECKS, SITE_CHECKS
from equipsel.files.draft import Check, Draft
from equipsel.files.folder import is_workbook
from equipsel.files.limits import MOST_OF_A_KIND
from equipsel.files.problems import InputError, Problem, file_problem, more_of, quoted
from equipsel.files.raw import Found
from equipsel.files.rows import read_rows
from equipsel.files.settings import settings
from equipsel.files.source import catalog_source, scenario_source
from equipsel.files.tables import CATALOG_TABLES, SCENARIO_TABLES, SETTINGS
from equipsel.scenario import Scenario
from equipsel.site import Site

PathLike = str | Path


def read_catalog(path: PathLike) -> Catalog:
    """The catalog in a folder or workbook. Raises InputError with everything that is wrong with it."""
    draft, problems = _catalog(catalog_source(Path(path)), _empty())
    return _checked(draft, problems, CATALOG_CHECKS).catalog


def read_scenario(path: PathLike, catalog: Catalog | None = None) -> Scenario:
    """The scenario in a folder, its scenario.toml, or a workbook; checked against a catalog if one is given.

    Raises InputError with everything that is wrong with it.
    """
    draft, problems = _scenario(Path(path))
    if catalog is None:
        return _checked(draft, problems, SCENARIO_CHECKS).scenario
    draft = replace(draft, catalog=catalog, names={**draft.names, **_names_of(catalog)})
    return _checked(draft, problems, (*SCENARIO_CHECKS, *SITE_CHECKS)).scenario


def read_site(scenario_path: PathLike, catalog_path: PathLike | None = None) -> Site:
    """A scenario and its catalog: the one given, else the one it names (relative to its own file), else the one beside its tables.

    Its warnings say what is legal but odd. Raises InputError with everything that is wrong with either.
    """
    draft, problems = _scenario(Path(scenario_path))
    where = _catalog_path(Path(scenario_path), draft, catalog_path)
    if where is None:
        # A scenario that cannot be read at all says nothing about its catalog: only then is a missing one no problem of its own.
        return _site(draft, problems + ([] if SETTINGS in draft.unreadable else [_no_catalog(draft)]), SCENARIO_CHECKS)
    found = catalog_source(where)
    if catalog_path is None:
        found = replace(found, problems=tuple(_as_named(draft, where, problem) for problem in found.problems))
    draft, wrong = _catalog(found, draft)
    return _site(draft, problems + wrong, (*CATALOG_CHECKS, *SCENARIO_CHECKS, *SITE_CHECKS))


def _site(draft: Draft, problems: list[Problem], checks: tuple[Check, ...]) -> Site:
    checked = _checked(draft, problems, checks)
    odd = [*draft.warnings, *(problem for check in ODDITIES for problem in check(draft))]
    return Site(checked.scenario, checked.catalog, tuple(str(problem) for problem in odd))


def _catalog_path(scenario_path: Path, draft: Draft, given: PathLike | None) -> Path | None:
    if given is not None:
        return Path(given)
    folder = scenario_path if isdir(scenario_path) else scenario_path.parent
    if draft.scenario.catalog or SETTINGS in draft.unreadable:
        return folder / draft.scenario.catalog if draft.scenario.catalog else None
    own = scenario_path if is_workbook(scenario_path) else folder
    return own if catalog_source(own).tables else None


def _as_named(draft: Draft, where: Path, problem: Problem) -> Problem:
    """A problem of the whole catalog is told where the scenario names it."""
    if problem.source != str(where):
        return problem
    wrong = f"{quoted(draft.scenario.catalog)} {problem.wrong}"
    return replace(problem, source=draft.source(SETTINGS), column="catalog", wrong=wrong)


def _no_catalog(draft: Draft) -> Problem:
    mend = 'write catalog = "the path of its folder, relative to this file", or give --catalog'
    return file_problem(draft.source(SETTINGS), "names no catalog", mend)


def _empty() -> Draft:
    return Draft(Scenario(), Catalog())


def _checked(draft: Draft, problems: list[Problem], checks: tuple[Check, ...]) -> Draft:
    found = [*problems, *(problem for check in checks for problem in _at_most(check(draft)))]
    if found:
        raise InputError(found)
    return draft


def _at_most(problems: Iterator[Problem]) -> Iterator[Problem]:
    yield from islice(problems, MOST_OF_A_KIND)
    for one in islice(problems, 1):
        yield more_of(one)


def _names_of(catalog: Catalog) -> dict[str, frozenset[str]]:
    """The names in each table of a catalog that has been read before."""
    tables = ("switches", "supplies", "injectors", "extenders", "cables", "backups")
    return {table: frozenset(row.model for row in getattr(catalog, table)) for table in tables}


def _scenario(path: Path) -> tuple[Draft, list[Problem]]:
    source, flat, found = scenario_source(path)
    said, wrong = settings(flat, source)
    draft, tables, problems = _tables(found, SCENARIO_TABLES, _empty())
    scenario = Scenario(title=said.title, currency=said.currency, catalog=said.catalog, rules=said.rules, **tables)
    sources = {**draft.sources, SETTINGS: source}
    return replace(draft, scenario=scenario, sources=sources), [*found.problems, *wrong, *problems]


def _catalog(found: Found, draft: Draft) -> tuple[Draft, list[Problem]]:
    draft, tables, problems = _tables(found, CATALOG_TABLES, draft)
    return replace(draft, catalog=Catalog(**tables)), [*found.problems, *problems]


def _tables(found: Found, models: tuple[type[Row], ...], draft: Draft) -> tuple[Draft, dict[str, Any], list[Problem]]:
    """The rows of every table found, added to what the draft knows of names and sources."""
    rows: dict[str, Any] = {}
    problems: list[Problem] = []
    names, sources, unreadable = dict(draft.names), dict(draft.sources), set(draft.unreadable | found.unreadable)
    for model in (one for one in models if one.table in found.tables):
        raw = found.tables[model.table]
        table, wrong = read_rows(model, raw)
        problems += wrong
        rows[model.table], names[model.table], sources[model.table] = table.rows, table.names, raw.source
        unreadable |= set() if table.readable else {model.table}
    warnings = (*draft.warnings, *found.warnings)
    return replace(draft, names=names, sources=sources, unreadable=frozenset(unreadable), warnings=warnings), rows, problems
