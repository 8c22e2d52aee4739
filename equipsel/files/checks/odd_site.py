"""What is legal in a scenario and odd all the same: most often a slip of the finger, or a figure still to be filled in."""

from collections.abc import Iterator
from decimal import Decimal

from equipsel.columns import columns
from equipsel.files.checks.odd_catalog import some_of
from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, cell_problem, quoted, table_problem
from equipsel.files.tables import SETTINGS
from equipsel.scenario import Rules

MUCH_W = 10_000
"""Devices of one site that ask for more than this together are told of (our own limit: 400 devices of 25 W)."""

SHORT_M = 10
FEW_ROWS = 3
"""Runs that are all of one length up to SHORT_M in at least so many rows look like figures still to be filled in (our own limits)."""


def watts_beyond_belief(draft: Draft) -> Iterator[Problem]:
    """A device list of many kilowatts is most often a count, or the watts of all devices where those of one were meant."""
    rows = draft.scenario.devices
    total = sum((row.count * row.pd_w for row in rows), Decimal(0))
    if total > MUCH_W:
        most = max(rows, key=lambda row: row.count * row.pd_w)
        part = f"{most.count} x {most.pd_w:f} W of it in row {most.line} ({quoted(most.device)})"
        wrong = f"the devices ask for {total:,.0f} W together, {part}"
        yield table_problem(draft.source("devices"), wrong, "check count and watts: watts are those of one device")


def runs_all_alike(draft: Draft) -> Iterator[Problem]:
    """One short length in every row is a figure that was copied down and never measured."""
    rows = draft.scenario.devices
    lengths = {row.run_m for row in rows}
    if len(rows) >= FEW_ROWS and len(lengths) == 1 and (run_m := rows[0].run_m) <= SHORT_M:
        wrong = f"every run is {run_m.normalize():f} m"
        yield table_problem(draft.source("devices"), wrong, "write the length of each cable, port to device: it decides volts and cost")


def runs_beyond_reach(draft: Draft) -> Iterator[Problem]:
    """A run longer than a span needs an extender, and none is to be had."""
    rules = draft.scenario.rules
    if draft.catalog.extenders and rules.max_extenders:
        return
    near = {row.from_ for row in draft.scenario.runs if rules.run_m(row.run_m) <= rules.span_m}
    far = [row for row in draft.scenario.devices if rules.run_m(row.run_m) > rules.span_m and row.device not in near]
    why = "max_extenders is 0" if draft.catalog.extenders else "the catalog has no extenders"
    if far:
        wrong = f"{some_of(row.device for row in far)}: beyond the {rules.span_m:f} m that data reaches, and {why}"
        yield draft.problem(far[0], "run_m", wrong, "shorten the run, name a nearer place, or allow extenders")


def places_nobody_uses(draft: Draft) -> Iterator[Problem]:
    """A place that no other table names."""
    scenario = draft.scenario
    used = {row.place for row in scenario.devices} | {row.place for row in scenario.owned} | {row.place for row in scenario.growth}
    used |= {name for row in scenario.runs for name in (row.from_, row.to)}
    idle = [row for row in scenario.places if row.place not in used]
    if idle:
        wrong = f"{some_of(row.place for row in idle)}: no device, run or owned unit is there"
        yield draft.problem(idle[0], "place", wrong, "check the name")


def percentages_below_one(draft: Draft) -> Iterator[Problem]:
    """0.2 in a percentage is a fifth of a percent, and was most often meant as 20."""
    for column in columns(Rules):
        value = getattr(draft.scenario.rules, column.name)
        if column.unit == "%" and 0 < value < 1:
            mend = f"write {(value * 100).normalize():f} if {(value * 100).normalize():f} % was meant"
            yield cell_problem(draft.source(SETTINGS), None, f"rules.{column.name}", f"{value} is less than one percent", mend)
