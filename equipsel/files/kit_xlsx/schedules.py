"""The schedules of a kit as sheets: figures that follow from others are live formulas, with the kit's own values."""

from collections.abc import Callable, Sequence
from decimal import ROUND_HALF_UP, Decimal

from equipsel.files.kit_xlsx import names
from equipsel.files.kit_xlsx.fields import fields
from equipsel.files.schedules.schedule import Schedule
from equipsel.workbook import Cell, Field, Form, Formula, Mark, Sheet, letters

HIGH_LOAD_PCT = 80
"""A load above this is marked (common practice for continuous loads)."""

READINGS = (Field("Measured", "V", Form.TWO), Field("Measured", "A", Form.THREE), Field("Tested by"), Field("Date"), Field("Remark"))
"""Left empty in the cable schedule, to be filled in on site."""

WIDEST = 17
"""Characters above which a text wraps in the wide schedules, so that a page of them prints large enough to read."""

FORMULA_DIGITS = 6
"""Decimals that a calculated percentage is rounded to, so that binary noise marks nothing."""

Rows = list[tuple[Cell, ...]]


def bill_sheet(bill: Schedule, title: str, currency: str) -> Sheet:
    """The bill of materials: each line's cost is live where count times price gives it, as is their total."""
    own = bill.columns.index("currency")
    count, each, cost = (bill.columns.index(name) for name in ("count", "unit_cost", "cost"))
    rows: Rows = []
    for number, row in enumerate(bill.rows, 2):
        live = _line_cost(number, letters(count), letters(each), row[count], row[each], row[cost])
        cells = [*row[:cost], live, *row[cost + 1 :]]
        rows.append((*cells[:own], *cells[own + 1 :]))
    columns = [*bill.columns[:own], *bill.columns[own + 1 :]]
    return Sheet(names.BILL, title, fields(columns, currency), rows, key_columns=2)


def _line_cost(row: int, count: str, each: str, counted: Cell, price: Cell, cost: Cell) -> Cell:
    """A formula for count times price to the cent; the cost itself where a count that is rounded for showing gives another."""
    exact = (Decimal(str(counted)) * Decimal(str(price))).quantize(Decimal("0.01"), ROUND_HALF_UP)
    due = Decimal(str(cost))
    return Formula(f"=ROUND({count}{row}*{each}{row},2)", due) if exact == due else due


def held(schedule: Schedule, *always: str) -> Schedule:
    """The schedule without the columns that are empty in every row, but for those that are always wanted."""
    if not schedule.rows:
        return schedule
    empty = {name for name, *cells in zip(schedule.columns, *schedule.rows, strict=True) if all(cell in ("", None) for cell in cells)}
    kept = [number for number, name in enumerate(schedule.columns) if name not in empty or name in always]
    rows = tuple(tuple(row[number] for number in kept) for row in schedule.rows)
    return Schedule(schedule.name, tuple(schedule.columns[number] for number in kept), rows)


def port_sheet(ports: Schedule, title: str, currency: str) -> Sheet:
    """Every port of every unit."""
    ports = held(ports)
    return Sheet(names.PORTS, title, fields(ports.columns, currency), ports.rows, widest=WIDEST, key_columns=2)


def cable_sheet(cables: Schedule, title: str, currency: str) -> Sheet:
    """Every run, with empty columns for what the meter reads."""
    cables = held(cables)
    listed = [*fields(cables.columns, currency), *READINGS]
    rows = [(*row, *("" for _ in READINGS)) for row in cables.rows]
    return Sheet(names.CABLES, title, listed, rows, widest=WIDEST, key_columns=1)


def power_sheet(power: Schedule, title: str, currency: str) -> Sheet:
    """Each unit's budget; free watts, load in percent and the word beside a high load are live."""
    power = held(power, "budget_w", "reserved_w", "free_w", "reserved_pct")
    at = power.columns.index
    split = at("reserved_pct") + 1
    live: dict[str, Callable[[int, tuple[Cell, ...]], Cell]] = {
        "free_w": lambda row, cells: _free(letters(at("budget_w")), letters(at("reserved_w")), row, cells[at("free_w")]),
        "reserved_pct": lambda row, cells: load(
            f"{letters(at('reserved_w'))}{row}", f"{letters(at('budget_w'))}{row}", cells[at("reserved_w")], cells[at("budget_w")]
        ),
    }
    rows: Rows = []
    for number, row in enumerate(power.rows, 2):
        cells = [live[name](number, row) if name in live else cell for name, cell in zip(power.columns, row, strict=True)]
        word = high_load(f"{letters(split - 1)}{number}", cells[split - 1], " (1 port)" if row[at("powered_ports")] == 1 else "")
        rows.append((*cells[:split], word, *cells[split:]))
    listed = fields(power.columns, currency)
    shown = [*listed[:split], HIGH_FIELD, *listed[split:]]
    return Sheet(names.POWER, title, shown, rows, marks=high_marks(split - 1), widest=WIDEST, key_columns=2)


HIGH_FIELD = Field("High load", form=Form.PLAIN, width=18)


def high_marks(load_field: int) -> tuple[Mark, ...]:
    """The mark on a field of loads in percent."""
    return (Mark(HIGH_LOAD_PCT, load_field),)


def _free(budget: str, reserved: str, row: int, free: Cell) -> Cell:
    return Formula(f"={budget}{row}-{reserved}{row}", free) if isinstance(free, int | float) else free


def load(part: str, whole: str, part_now: Cell, whole_now: Cell) -> Cell:
    """A live percentage of one cell in another; nothing where one of them is unknown or there is no whole."""
    known = isinstance(part_now, int | float | Decimal) and isinstance(whole_now, int | float | Decimal)
    if not known or not whole_now:
        return None
    now = round(100 * Decimal(str(part_now)) / Decimal(str(whole_now)), FORMULA_DIGITS)
    return Formula(f"=ROUND(100*{part}/{whole},{FORMULA_DIGITS})", now)


def high_load(cell: str, now: Cell, why: str = "") -> Cell:
    """A live word beside a load above the mark."""
    if not isinstance(now, Formula):
        return ""
    word = f"above {HIGH_LOAD_PCT} %{why}"
    high = not isinstance(now.value, str) and now.value > HIGH_LOAD_PCT
    return Formula(f'=IF({cell}>{HIGH_LOAD_PCT},"{word}","")', word if high else "")


def as_owned_sheet(owned: Schedule, title: str) -> Sheet:
    """What is there afterwards, headed as the table `owned` is, ready to be pasted into the next scenario."""
    return Sheet(names.AS_OWNED, title, [Field("model"), Field("place"), Field("count", form=Form.WHOLE)], owned.rows)


def by_name(schedules: Sequence[Schedule]) -> dict[str, Schedule]:
    """The schedules by name."""
    return {schedule.name: schedule for schedule in schedules}
