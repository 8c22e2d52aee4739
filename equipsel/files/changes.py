"""Changes to a site as they are written on the command line: rules.spare_watts_pct=30, devices.dome.watts=40."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from equipsel.columns import Row, columns
from equipsel.files.checks import CATALOG_CHECKS, SCENARIO_CHECKS, SITE_CHECKS
from equipsel.files.draft import Draft
from equipsel.files.problems import InputError, Problem, cell_problem, choose_from, name_mend, nearest, quoted
from equipsel.files.rows import describe, field_of
from equipsel.files.tables import ALL_TABLES, CATALOG_TABLES, SCENARIO_TABLES
from equipsel.scenario import Rules
from equipsel.site import Site
from equipsel.variants import with_rules, with_tables, with_values

SOURCE = "--set"
"""What messages call a change."""

TABLES: dict[str, type[Row]] = {model.table: model for model in ALL_TABLES}
FORM = "write table.name.column=value, such as devices.dome.watts=40, or rules.spare_watts_pct=30"


@dataclass(frozen=True, slots=True)
class Change:
    """One cell to change: its table, the name of its row (empty for a rule), its column, its new text."""

    table: str
    name: str
    column: str
    text: str

    @property
    def spot(self) -> str:
        """The cell as it was written."""
        return ".".join(part for part in (self.table, self.name, self.column) if part)


def changed(site: Site, settings: Iterable[str]) -> Site:
    """The site with every change made, one after the other. Raises InputError with everything that is wrong with them."""
    problems: list[Problem] = []
    for setting in settings:
        change = _parse(setting)
        made = change if isinstance(change, Problem) else _made(site, change)
        if isinstance(made, Problem):
            problems.append(made)
        else:
            site = made
    if not problems:
        problems = list(_fit(site))
    if problems:
        raise InputError(problems)
    return site


def _parse(setting: str) -> Change | Problem:
    cell, equals, text = setting.partition("=")
    table, _, rest = cell.strip().partition(".")
    name, _, column = rest.rpartition(".")
    if not equals or not column:
        return cell_problem(SOURCE, None, "", f"{quoted(setting)} is not a change", FORM)
    if table not in TABLES:
        return cell_problem(SOURCE, None, "", f"{quoted(table)} is not a table", name_mend(table, TABLES, "equipsel tables"))
    model = TABLES[table]
    known = [one.name for one in columns(model)]
    if column not in known:
        close = nearest(column, known)
        hint = f"did you mean {close}?" if close else f"it has {choose_from(known, 30)}"
        return cell_problem(SOURCE, None, cell.strip(), f"{quoted(column)} is not a column of {table}", hint)
    if bool(name) == (model is Rules):
        return cell_problem(SOURCE, None, cell.strip(), "names a row of the rules" if name else "names no row", FORM)
    return Change(table, name, column, text.strip())


def _made(site: Site, change: Change) -> Site | Problem:
    model = TABLES[change.table]
    field = model.model_fields[field_of(model, change.column)]
    if not change.text and field.is_required():
        return cell_problem(SOURCE, None, change.spot, *describe(model, change.column, "missing", ""))
    value = {field_of(model, change.column): change.text or field.default}
    try:
        return with_rules(site, **value) if model is Rules else _with_row(site, change, value)
    except ValidationError as error:
        kind = error.errors(include_url=False, include_context=False, include_input=False)[0]["type"]
        return cell_problem(SOURCE, None, change.spot, *describe(model, change.column, kind, change.text))


def _with_row(site: Site, change: Change, value: dict[str, Any]) -> Site | Problem:
    rows: tuple[Row, ...] = getattr(_owner(site, change.table), change.table)
    names = {row_name(row) for row in rows}
    if change.name not in names:
        wrong = f"{quoted(change.name)} is not in {change.table}"
        return cell_problem(SOURCE, None, change.spot, wrong, name_mend(change.name, names, change.table))
    made = tuple(with_values(row, **value) if row_name(row) == change.name else row for row in rows)
    return with_tables(site, **{change.table: made})


def _owner(site: Site, table: str) -> Any:
    return site.scenario if table in {model.table for model in SCENARIO_TABLES} else site.catalog


KEYS = {"ports": ("model", "group"), "runs": ("from_", "to"), "owned": ("model", "place"), "bundles": ("awg", "cables_up_to")}
"""Tables whose rows are named by two columns, joined by a point."""


def row_name(row: Row) -> str:
    """What a row is called: its first column, or the two that name it joined by a point."""
    first = field_of(type(row), next(columns(type(row))).name)
    return ".".join(str(getattr(row, field)) for field in KEYS.get(row.table, (first,)))


def _fit(site: Site) -> Iterator[Problem]:
    """What no longer fits together after the changes."""
    models: tuple[type[Row], ...] = (*SCENARIO_TABLES, *CATALOG_TABLES)
    names = {model.table: _first_cells(model, getattr(_owner(site, model.table), model.table)) for model in models}
    draft = Draft(site.scenario, site.catalog, names)
    for check in (*CATALOG_CHECKS, *SCENARIO_CHECKS, *SITE_CHECKS):
        yield from check(draft)


def _first_cells(model: type[Row], rows: tuple[Row, ...]) -> frozenset[str]:
    field = field_of(model, next(columns(model)).name)
    return frozenset(str(getattr(row, field)) for row in rows)
