"""The tables a kit was made from as sheets, named and headed as they are read, so that the workbook is its own scenario and catalog."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from equipsel.columns import Column, Row, columns, show, takes_numbers
from equipsel.files.rows import field_of
from equipsel.files.tables import CATALOG_TABLES, SCENARIO_TABLES, SETTING_COLUMNS, SETTINGS
from equipsel.scenario import Rules
from equipsel.site import Site
from equipsel.workbook import Cell, Field, Form, Sheet

SETTING_FIELDS = (Field("key"), Field("value", form=Form.PLAIN, width=24), Field("unit"), Field("meaning", width=80))


def input_sheets(site: Site, title: str) -> Iterable[Sheet]:
    """The scenario's settings, then every table that has rows."""
    yield settings_sheet(site, title)
    for owner, models in ((site.scenario, SCENARIO_TABLES), (site.catalog, CATALOG_TABLES)):
        for model in models:
            rows = getattr(owner, model.table)
            if rows:
                yield table_sheet(model, rows, title)


def settings_sheet(site: Site, title: str) -> Sheet:
    """Title, currency and every rule. It names no catalog: the workbook holds it."""
    said = {"title": site.scenario.title, "currency": site.scenario.currency}
    rows: list[tuple[Cell, ...]] = [_setting(one, said[one.name]) for one in SETTING_COLUMNS if one.name in said]
    rows += [_setting(one, cell_of(Rules, one.name, site.rules), "rules.") for one in columns(Rules)]
    return Sheet(SETTINGS, title, SETTING_FIELDS, rows, key_columns=1)


def _setting(one: Column, value: Cell, prefix: str = "") -> tuple[Cell, ...]:
    return prefix + one.name, value, one.unit, f"{one.meaning} ({one.allowed})"


def table_sheet(model: type[Row], rows: tuple[Row, ...], title: str) -> Sheet:
    """One table: the columns that must be given or differ from their default in some row, then those carried along."""
    listed = [one for one in columns(model) if one.required or any(_given(model, one.name, row) for row in rows)]
    carried = tuple(dict.fromkeys(name for row in rows for name, _ in row.carried))
    fields = [Field(one.name, form=form_of(model, one.name)) for one in listed] + [Field(name) for name in carried]
    return Sheet(model.table, title, fields, [_cells(model, listed, carried, row) for row in rows], key_columns=1)


def form_of(model: type[Row], column: str) -> Form:
    """How a column of a table is shown."""
    return Form.PLAIN if takes_numbers(model, field_of(model, column)) else Form.TEXT


def _given(model: type[Row], column: str, row: Row) -> bool:
    name = field_of(model, column)
    return bool(getattr(row, name) != model.model_fields[name].default)


def _cells(model: type[Row], listed: list[Column], carried: tuple[str, ...], row: Row) -> tuple[Cell, ...]:
    notes = dict(row.carried)
    return (*(cell_of(model, one.name, row) for one in listed), *(notes.get(name, "") for name in carried))


def cell_of(model: type[Row], column: str, row: Row) -> Cell:
    """What a column of a row is written as: numbers as numbers, the rest as a user would write it."""
    value: Any = getattr(row, field_of(model, column))
    if value is None or isinstance(value, str | bool | int | Decimal):
        return value
    return show(value)
