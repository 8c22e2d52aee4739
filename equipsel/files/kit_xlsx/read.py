"""The kit back from its workbook, from the sheets that people see and may have changed: the re-check is of what stands there."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from equipsel.files.kit_json import field_problems
from equipsel.files.kit_xlsx import names
from equipsel.files.kit_xlsx.fields import column_of
from equipsel.files.kit_xlsx.summary import COST, CURRENCY, GAP, INPUTS, LOWER_BOUND, STATUS
from equipsel.files.problems import InputError, Problem, cell_problem, file_problem
from equipsel.files.raw import Found, RawTable
from equipsel.files.workbook import read_workbook
from equipsel.kit import Kit

Cells = dict[str, str]
NEEDED = (names.PORTS, names.POWER)
MEND = "give the kit.xlsx that `equipsel kit --out` writes, or a kit.json"
EXTENDER = re.compile(r"(.+?) at (\d+(?:\.\d+)?) m(?:; |$)")
UNIT_COLUMNS = ("unit", "model", "place", "owned", "budget_w", "reserved_w", "draw_w", "heat_w", "mains_w", "traffic_mbps")
LINE_COLUMNS = ("model", "kind", "place", "count", "unit_cost", "cost")
RUN_COLUMNS = ("run_m", "cable", "class", "reserved_w", "pse_w", "pd_w", "pd_volts", "amps")
ANSWER = {STATUS: "status", COST: "cost", LOWER_BOUND: "lower_bound", GAP: "gap", CURRENCY: "currency", INPUTS: "inputs_sha256"}


def read_kit_workbook(path: Path) -> Kit:
    """The kit on the sheets of a kit.xlsx. Raises InputError with everything that keeps it from being read as one."""
    found = read_workbook(path, (names.SUMMARY, names.BILL, names.PORTS, names.POWER))
    problems = [*found.problems, *_missing(found, path), *_faults(found)]
    if problems:
        raise InputError(problems)
    try:
        return Kit.model_validate(_values(found))
    except ValidationError as error:
        raise InputError(field_problems(error, path.name)) from error


def _missing(found: Found, path: Path) -> Iterator[Problem]:
    for name in NEEDED:
        if name not in found.tables and name not in found.unreadable:
            yield file_problem(path.name, f"has no sheet called {name}, or nothing on it", MEND)


def _faults(found: Found) -> Iterator[Problem]:
    for table in found.tables.values():
        for (line, position), fault in table.faults.items():
            heading = table.header.cells[position] if position < len(table.header.cells) else ""
            if column_of(heading):
                yield cell_problem(table.source, line, heading, fault.wrong, fault.mend)


def _values(found: Found) -> dict[str, Any]:
    ports = list(_records(found.tables[names.PORTS]))
    leads = {row.get("connected_to", ""): row for row in ports if row.get("use") == "injector data"}
    kit: dict[str, Any] = _answer(found.tables.get(names.SUMMARY))
    feeds = {row.get("connected_to"): _run(row, leads) for row in ports if row.get("use") == "switch"}
    kit["units"] = [_unit(row, feeds) for row in _records(found.tables[names.POWER])]
    places = {unit.get("unit"): unit.get("place") for unit in kit["units"]}
    kit["connections"] = [_connection(row, leads, places) for row in ports if row.get("use") == "device"]
    if names.BILL in found.tables:
        kit["lines"] = [_some(row, LINE_COLUMNS) for row in _records(found.tables[names.BILL])]
    return kit


def _records(table: RawTable) -> Iterator[Cells]:
    """The rows by column, without empty cells and without the totals."""
    columns = [column_of(written) for written in table.header.cells]
    for row in table.rows:
        if row.cells[0] != "total" or row is not table.rows[-1]:
            yield {column: text for column, text in zip(columns, row.cells, strict=False) if column and text}


def _answer(summary: RawTable | None) -> dict[str, Any]:
    said = {row.cells[0]: row.cells[1] for row in summary.rows if len(row.cells) > 1} if summary else {}
    return {field: said[item] for item, field in ANSWER.items() if said.get(item)}


def _some(row: Cells, columns: tuple[str, ...]) -> dict[str, Any]:
    return {column: row[column] for column in columns if column in row}


def _unit(row: Cells, feeds: dict[str | None, dict[str, Any]]) -> dict[str, Any]:
    supplies = row["supplies"].split("; ") if "supplies" in row else []
    return {**_some(row, UNIT_COLUMNS), "supplies": supplies, "fed_by": feeds.get(row.get("unit"))}


def _connection(row: Cells, leads: dict[str, Cells], places: dict[Any, Any]) -> dict[str, Any]:
    run = _run(row, leads)
    own = {"device": row.get("connected_to"), "place": places.get(run.get("unit"), row.get("place"))}
    return {**own, **run, **_some(row, ("port_w",))}


def _run(row: Cells, leads: dict[str, Cells]) -> dict[str, Any]:
    """What a port feeds; where it is an injector's, the port is that of the switch which carries the data."""
    lead = leads.get(f"{row.get('unit')} port {row.get('port')}")
    here = {"unit": row.get("unit"), "group": row.get("group", ""), "port": row.get("port")}
    start = {**_some(lead, ("unit", "group", "port")), "injector": _some(row, ("unit", "port"))} if lead else here
    return {**start, **_some(row, RUN_COLUMNS), "extenders": _extenders(row.get("extenders", ""))}


def _extenders(text: str) -> list[dict[str, str]]:
    """The extenders that a cell lists: model and metres, or where no metres are told the models alone."""
    placed = [{"model": match[1], "at_m": match[2]} for match in EXTENDER.finditer(text)]
    return placed or [{"model": model} for model in text.split("; ") if model]
