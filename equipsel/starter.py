"""Starter tables: an invented site and catalog with one example row of each kind, headed from the schema, that run as they are."""

from collections.abc import Iterable
from dataclasses import dataclass

from equipsel.columns import Column, Row, choices, columns
from equipsel.files.csv_out import to_csv
from equipsel.files.kit_xlsx.inputs import SETTING_FIELDS, cell_of, form_of
from equipsel.files.rows import field_of
from equipsel.files.schedules import Schedule
from equipsel.files.source import TOML
from equipsel.files.tables import CATALOG_TABLES, SCENARIO_TABLES, SETTINGS
from equipsel.scenario import Rules
from equipsel.workbook import Cell, Field, Sheet, references, workbook

TITLE = "Starter site (invented)"
SAY = "invented example: put your own here"
RULES = {"spare_watts_pct": "10", "spare_ports_pct": "10", "backup_minutes": "10"}
"""What the starter asks for besides the defaults."""

CURRENCY = "EUR"
ROOM = 500
"""Empty rows below the examples that formats and drop-down lists also cover."""

EXAMPLES: dict[str, tuple[dict[str, str], ...]] = {
    "places": (
        {"place": "cabinet", "mains": "yes", "low_c": "5", "high_c": "40", "rack_u": "8", "outlets": "8", "circuit_a": "16",
         "circuit_v": "230"},
        {"place": "mast", "mains": "no", "ip": "IP54", "low_c": "-20", "high_c": "50"},
    ),
    "devices": (
        {"device": "camera", "place": "cabinet", "run_m": "45", "count": "4", "kind": "camera", "watts": "9", "class": "3", "mbps": "8"},
        {"device": "access-point", "place": "cabinet", "run_m": "30", "class": "4", "mbps": "40", "port_mbps": "1000"},
        {"device": "door", "place": "cabinet", "run_m": "25", "watts": "20", "backup": "yes", "priority": "critical"},
        {"device": "recorder", "place": "cabinet", "run_m": "3", "watts": "0", "port_mbps": "1000"},
        {"device": "far-camera", "place": "cabinet", "run_m": "160", "kind": "camera", "watts": "9", "class": "3", "mbps": "8"},
        {"device": "mast-camera", "place": "mast", "run_m": "12", "count": "2", "kind": "camera", "watts": "9", "class": "3", "mbps": "8"},
    ),
    "runs": ({"from": "mast", "to": "cabinet", "run_m": "70"},),
    "owned": ({"model": "injector-60w", "place": "cabinet", "count": "1"},),
    "growth": ({"stage": "next year", "device": "camera", "add": "2"},),
    "switches": (
        {"model": "switch-mains", "price": "180", "feed": "mains", "budget_w": "150", "own_w": "8", "rack_u": "1", "low_c": "0",
         "high_c": "45"},
        {"model": "switch-supply", "price": "210", "feed": "supply", "supply_fit": "rail", "supply_slots": "2", "own_w": "8",
         "rack_u": "1", "low_c": "0", "high_c": "45"},
        {"model": "switch-fed", "price": "160", "feed": "port", "in_class": "6", "own_w": "4", "ip": "IP66", "low_c": "-30",
         "high_c": "60"},
    ),
    "ports": (
        {"model": "switch-mains", "group": "power", "count": "8", "port_w": "30"},
        {"model": "switch-mains", "group": "data", "count": "2", "port_w": "0"},
        {"model": "switch-supply", "group": "power", "count": "8", "port_w": "60"},
        {"model": "switch-fed", "group": "power", "count": "4", "port_w": "15.4"},
    ),
    "supplies": ({"model": "supply-240w", "price": "60", "fit": "rail", "watts": "240", "low_c": "0", "high_c": "50"},),
    "injectors": ({"model": "injector-60w", "price": "40", "ports": "1", "port_w": "60", "low_c": "0", "high_c": "45"},),
    "extenders": (
        {"model": "extender-30w", "price": "75", "own_w": "2", "in_class": "4", "port_w": "30", "low_c": "-20", "high_c": "60"},
    ),
    "cables": ({"model": "cable-23awg", "price_per_m": "0.60", "awg": "23", "install_cost_per_m": "0.90"},),
    "backups": ({"model": "battery-600w", "price": "260", "watts": "600", "watt_hours": "500", "rack_u": "2"},),
    "bundles": ({"awg": "23", "cables_up_to": "24", "amps_per_conductor": "0.5"},),
    "extras": ({"item": "patch cord", "price": "2.50", "per": "port"},),
}  # fmt: skip
"""One row of each kind for every table. All figures are invented."""

NAMED_BY = {
    ("devices", "place"): "places", ("devices", "cable"): "cables", ("runs", "to"): "places", ("runs", "cable"): "cables",
    ("owned", "place"): "places", ("growth", "place"): "places", ("growth", "cable"): "cables", ("ports", "model"): "switches",
    ("growth", "device"): "devices",
}  # fmt: skip
"""Columns that hold names from the first column of another table."""

OPEN = frozenset({("growth", "device")})
"""Of these the ones that may also hold a new name."""


@dataclass(frozen=True, slots=True)
class Table:
    """One starter table: its model and its example rows by column."""

    model: type[Row]
    rows: tuple[dict[str, str], ...]

    @property
    def columns(self) -> tuple[Column, ...]:
        """Every column of the schema."""
        return tuple(columns(self.model))


def tables() -> tuple[Table, ...]:
    """Every starter table, the scenario's first."""
    return tuple(Table(model, EXAMPLES[model.table]) for model in (*SCENARIO_TABLES, *CATALOG_TABLES))


def starter_folder() -> dict[str, bytes]:
    """The files of a starter folder: scenario.toml and one CSV file a table; the catalog's tables lie beside the scenario's."""
    made = {f"{table.model.table}.csv": to_csv(_schedule(table)) for table in tables()}
    return {TOML: settings_toml().encode("utf-8"), **made}


def _schedule(table: Table) -> Schedule:
    names = tuple(column.name for column in table.columns)
    rows = tuple((*(row.get(name, "") for name in names), SAY) for row in table.rows)
    return Schedule(table.model.table, (*names, "note"), rows)


def settings_toml() -> str:
    """The text of scenario.toml: every rule with its unit, default and meaning, those that stay at the default as comments."""
    head = [f'title = "{TITLE}"', f'currency = "{CURRENCY}"', "# catalog: left out, since its tables lie in this folder", "", "[rules]"]
    return "\n".join([*head, *(line for column in columns(Rules) for line in _rule(column))]) + "\n"


def _rule(column: Column) -> Iterable[str]:
    unit = f", {column.unit}" if column.unit else ""
    default = f"; default {column.default}" if column.default else ""
    yield f"# {column.name}{unit}: {column.meaning} ({column.allowed}{default})"
    value = RULES.get(column.name)
    yield f'{column.name} = "{value}"' if value else f'# {column.name} = "{column.default}"'


def starter_workbook() -> bytes:
    """A starter workbook: a sheet for the settings and one for each table, with notes, formats and drop-down lists."""
    return workbook([_settings_sheet(), *(_sheet(table) for table in tables())], title=TITLE)


def _settings_sheet() -> Sheet:
    rules = Rules.model_validate(RULES)
    rows: list[tuple[Cell, ...]] = [
        ("title", TITLE, "", "what the site is called"),
        ("currency", CURRENCY, "", "what all prices are in"),
    ]
    rows += [(f"rules.{one.name}", cell_of(Rules, one.name, rules), one.unit, f"{one.meaning} ({one.allowed})") for one in columns(Rules)]
    listed = enumerate(columns(Rules), len(rows) - len(list(columns(Rules))))
    offers = {(row, 1): offered for row, column in listed if (offered := _words(Rules, column))}
    return Sheet(SETTINGS, TITLE, SETTING_FIELDS, rows, key_columns=1, offers=offers)


def _words(model: type[Row], column: Column) -> tuple[str, ...]:
    """The words a column chooses from."""
    return ("yes", "no") if column.allowed == "yes or no" else choices(model, field_of(model, column.name))


def _sheet(table: Table) -> Sheet:
    model = table.model
    fields = [*(_field(model, column) for column in table.columns), Field("note", note="Columns beginning note are carried along.")]
    rows = [(*_cells(model, row), SAY) for row in table.rows]
    return Sheet(model.table, TITLE, fields, rows, key_columns=1, room=ROOM)


def _cells(model: type[Row], row: dict[str, str]) -> tuple[Cell, ...]:
    """The cells of an example: what it gives as the schema reads it, the rest empty."""
    read = model.model_validate(row)
    return tuple(cell_of(model, column.name, read) if column.name in row else "" for column in columns(model))


def _field(model: type[Row], column: Column) -> Field:
    key = model.table, column.name
    default = "required" if column.required else f"default: {column.default}" if column.default else "may stay empty"
    note = "\n".join([column.meaning, *([f"unit: {column.unit}"] if column.unit else []), column.allowed, default])
    offered = f"={references(NAMED_BY[key], 0, ROOM)}" if key in NAMED_BY else _words(model, column)
    return Field(column.name, form=form_of(model, column.name), note=note, choices=offered, must=key not in OPEN)
