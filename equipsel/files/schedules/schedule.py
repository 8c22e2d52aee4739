"""A schedule: named columns, rows of texts and numbers, and the columns carried from the user's tables at the end."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from equipsel.columns import Row
from equipsel.kit import Connection, ExtenderAt, FedBy

Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Schedule:
    """A table to hand on. Powers in W, lengths in m, money in the currency, as the column names say."""

    name: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One row: its own cells by column, and what it carries from the user's tables."""

    cells: dict[str, Cell]
    carried: dict[str, str]


def schedule(name: str, columns: Iterable[str], entries: Iterable[Entry]) -> Schedule:
    """The schedule of these rows: its own columns, then every column that any row carries, in the order they turn up."""
    listed, own = list(entries), tuple(columns)
    carried = tuple(dict.fromkeys(key for entry in listed for key in entry.carried if key not in own))
    rows = tuple((*(_tidy(entry.cells[key]) for key in own), *(entry.carried.get(key, "") for key in carried)) for entry in listed)
    return Schedule(name, own + carried, rows)


def carried_from(*rows: Row | None) -> dict[str, str]:
    """What these table rows carry, the later ones going before the earlier."""
    return {key: value for row in rows if row is not None for key, value in row.carried}


def _tidy(cell: Cell) -> Cell:
    return plain(cell) if isinstance(cell, float) else cell


def plain(number: Decimal | float | None) -> int | float | None:
    """A number as a schedule shows it: whole where it is whole."""
    if number is None:
        return None
    return int(number) if number == int(number) else float(number)


def extender_words(extenders: Iterable[ExtenderAt]) -> str:
    """The extenders along a run in words: model and metres from the port."""
    return "; ".join(one.model if one.at_m is None else f"{one.model} at {plain(one.at_m)} m" for one in extenders)


def device_amps(run: Connection | FedBy | None) -> float | None:
    """Amps a meter reads at the far end: its watts over its volts; behind extenders less than at the head."""
    if run is None or not run.pd_w or not run.pd_volts:
        return None
    return round(run.pd_w / run.pd_volts, 4)
