"""Every rule and default in force, and who set it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from equipsel.circuit import CCA_RATIO
from equipsel.columns import Column, columns, show
from equipsel.columns import Row as TableRow
from equipsel.report.html import Content, bullets, element
from equipsel.report.table import Row, decimals, table
from equipsel.report.view import View
from equipsel.scenario import Rules
from equipsel.standard import TYPES


def assumptions(view: View) -> tuple[Content, ...]:
    """The rules with who set them, the defaults that cells of the tables were left to, and what lies behind the figures."""
    heads = ("Rule", "In force", "Unit", "Set by", "Default", "Meaning")
    rules = (_rule(column, view.site.rules) for column in columns(Rules))
    left = list(_left_open(view))
    defaults = [table("Cells left to their default", ("Column", "Default", "Rows", "Meaning"), left, class_="fine")] if left else []
    return (
        table("Rules in force", heads, rules, class_="fine"),
        *defaults,
        element("h3", "Behind the figures"),
        bullets(_behind(view)),
    )


def _rule(column: Column, rules: Rules) -> Row:
    value = getattr(rules, column.name)
    by = "user" if column.name in rules.model_fields_set else "default"
    return Row((column.name, "none" if value is None else show(value), column.unit, by, column.default or "none", column.meaning))


@dataclass(frozen=True, slots=True)
class _Used:
    """The rows of a table that the kit makes use of."""

    rows: Sequence[TableRow]


def _left_open(view: View) -> Iterator[Row]:
    """Columns that at least one row in use leaves empty, with the default they take."""
    for used in _tables(view):
        for column in columns(type(used.rows[0])):
            empty = sum(_field(column, row) not in row.model_fields_set for row in used.rows)
            if empty and not column.required:
                default = f"{column.default} {column.unit}".strip() if column.default else "none"
                yield Row((f"{column.table}.{column.name}", default, f"{empty} of {len(used.rows)}", column.meaning))


def _field(column: Column, row: TableRow) -> str:
    """The field behind a column: a name that is a word of Python has a _ at its end."""
    return column.name if column.name in type(row).model_fields else f"{column.name}_"


def _tables(view: View) -> Iterator[_Used]:
    scenario, catalog = view.site.scenario, view.site.catalog
    kit = view.kit
    named = {unit.model for unit in kit.units} | {model for unit in kit.units for model in unit.supplies}
    named |= (
        {line.model for line in kit.lines or ()}
        | {item.model for run in view.runs for item in run.extenders}
        | {run.cable or "" for run in view.runs}
    )
    places = tuple(row for row in scenario.places if row.place in view.places)
    equipment = (catalog.switches, catalog.ports, catalog.supplies, catalog.injectors, catalog.extenders, catalog.cables, catalog.backups)
    chosen = [tuple(row for row in rows if row.model in named) for rows in equipment]
    for rows in (places, scenario.devices, scenario.runs, *chosen):
        if rows:
            yield _Used(rows)


def _behind(view: View) -> Iterator[str]:
    rules = view.site.rules
    minima = ", ".join(f"type {row.number}: {row.port_w} W, {decimals(row.min_v)} V" for row in TYPES.values())
    yield f"A port whose unit states no voltage is taken at the least its type allows (IEEE 802.3, clauses 33 and 145; {minima})."
    yield "Classes 5 to 8 use four pairs; a lower class uses the pairs of its port."
    yield f"Conductors are at {decimals(rules.cable_c)} C all along a run, and share the current evenly; unbalance comes on top."
    yield f"Copper-clad aluminium is reckoned at {CCA_RATIO} times the resistance of copper where only its gauge is given."
    yield "Lines with extenders are solved whole: an extender repeats the data and lowers, never raises, the voltage."
    yield "A device draws its stated watts at every voltage; all devices draw their most at the same time."
    assumed = sum(row.count for row in view.site.scenario.devices if row.class_ is None and row.watts)
    if assumed:
        yield f"The class of {assumed} device{'' if assumed == 1 else 's'} is assumed from the watts stated."
    yield "Messages of the re-check and prices by length are in metres."
