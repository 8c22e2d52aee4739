"""`equipsel tables`: every table and column with unit, default, what it takes and what it means."""

import json
from dataclasses import asdict

from equipsel.columns import Column, columns
from equipsel.commands.speech import say, say_json
from equipsel.console import terminal_width, wrapped
from equipsel.files.tables import ALL_TABLES, CATALOG_TABLES, REQUIRED, SETTING_COLUMNS
from equipsel.scenario import Rules

LAST_WORDS = (
    "Columns part_no, supplier, label and any beginning note are carried unchanged into the schedules.",
    "A column ending _m may be given ending _ft instead: metres = feet x 0.3048, a price per metre = per foot / 0.3048.",
    "An empty cell takes the default.",
)


def run(as_json: bool) -> None:
    """Print the dictionary of all tables."""
    listed = {name: list(rows) for name, rows in _listed()}
    if as_json:
        everything = [asdict(column) for rows in listed.values() for column in rows]
        say_json(json.dumps(everything, indent=2, ensure_ascii=False) + "\n")
        return
    width = terminal_width()
    blocks = [[heading(name), *layout(rows, width)] for name, rows in listed.items()]
    say("\n\n".join("\n".join(block) for block in [*blocks, [*LAST_WORDS]]) + "\n")


def _listed() -> list[tuple[str, list[Column]]]:
    tables = [(model.table, list(columns(model))) for model in ALL_TABLES]
    return [(SETTING_COLUMNS[0].table, list(SETTING_COLUMNS)), *tables]


def heading(table: str) -> str:
    """The name of a table, and where it stands."""
    if table == SETTING_COLUMNS[0].table:
        return "scenario.toml (in a workbook: sheet scenario, columns key and value)"
    if table == Rules.table:
        return "scenario.toml, below [rules]"
    where = "catalog" if table in {model.table for model in CATALOG_TABLES} else "scenario"
    return f"{table}.csv in the {where} ({'required' if table in REQUIRED else 'optional'})"


def layout(rows: list[Column], width: int) -> list[str]:
    """The columns of a table, one beneath the other: name, unit, default, meaning and what it takes."""
    sizes = [max(len(text(row)) for row in rows) for text in (_name, _unit, _default)]
    lines = []
    for row in rows:
        cells = (text(row).ljust(size) for text, size in zip((_name, _unit, _default), sizes, strict=True))
        lead = "  ".join(cells) + "  "
        first, *others = wrapped("", f"{row.meaning} ({row.allowed})", width - len(lead))
        lines += [f"  {lead}{first.strip()}", *(f"  {' ' * len(lead)}{line.strip()}" for line in others)]
    return lines


def _name(column: Column) -> str:
    return column.name


def _unit(column: Column) -> str:
    return column.unit or "-"


def _default(column: Column) -> str:
    return "required" if column.required else column.default or "none"
