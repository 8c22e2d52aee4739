"""A kit with everything that the parts of its report look up: schedules, ports, recomputed figures, ids that links lead to."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from equipsel.audit.facts import Facts, build_facts
from equipsel.columns import CARRIED
from equipsel.files.schedules import Schedule
from equipsel.files.schedules.bill import bill_of_materials
from equipsel.files.schedules.cables import cable_schedule
from equipsel.files.schedules.plugs import Plug, PortKey, plugs
from equipsel.files.schedules.ports import port_schedule
from equipsel.files.schedules.power import power_budget
from equipsel.files.schedules.schedule import Cell
from equipsel.kit import Connection, FedBy, Kit, Number, Unit
from equipsel.lengths import Lengths
from equipsel.site import Site

Entry = Mapping[str, Cell]


@dataclass(frozen=True)
class View:
    """A kit that passed its re-check, the site it is for, and how lengths are shown."""

    kit: Kit
    site: Site
    lengths: Lengths

    @cached_property
    def facts(self) -> Facts:
        """Every figure recomputed from the tables, as the re-check has it."""
        return build_facts(self.kit, self.site.scenario, self.site.catalog)

    @cached_property
    def plugs(self) -> dict[PortKey, Plug]:
        """What is plugged in where."""
        return plugs(self.kit, self.site)

    @cached_property
    def bill(self) -> list[Entry]:
        """Rows of the bill of materials."""
        return _entries(bill_of_materials(self.kit, self.site))

    @cached_property
    def ports(self) -> list[Entry]:
        """Rows of the port schedule."""
        return _entries(port_schedule(self.kit, self.site))

    @cached_property
    def cables(self) -> list[Entry]:
        """Rows of the cable schedule."""
        return _entries(cable_schedule(self.kit, self.site))

    @cached_property
    def budgets(self) -> list[Entry]:
        """Rows of the power budget, one a unit in the kit's order."""
        return _entries(power_budget(self.kit, self.site))

    @cached_property
    def places(self) -> dict[str, list[Unit]]:
        """Units by the place they stand in."""
        found: dict[str, list[Unit]] = {}
        for unit in self.kit.units:
            found.setdefault(unit.place, []).append(unit)
        return found

    @cached_property
    def runs(self) -> list[Connection | FedBy]:
        """Every line: those of devices, then the feeds of fed switches."""
        return [*self.kit.connections, *(unit.fed_by for unit in self.kit.units if unit.fed_by)]

    @cached_property
    def unit_keys(self) -> dict[str, str]:
        """The id of each unit's row in the power budget."""
        return {unit.unit: f"unit-{number}" for number, unit in enumerate(self.kit.units, 1)}

    @cached_property
    def port_keys(self) -> dict[PortKey, str]:
        """The id of each port's row in the port schedule."""
        return {port_key(entry): f"port-{number}" for number, entry in enumerate(self.ports, 1)}

    @cached_property
    def run_keys(self) -> dict[PortKey, str]:
        """The id of each run's row in the cable schedule, by the port that it starts at."""
        return {port_key(entry): f"run-{entry['run']}" for entry in self.cables}

    def budgets_at(self, place: str) -> list[Entry]:
        """Rows of the power budget of a place."""
        return [entry for entry in self.budgets if entry["place"] == place]


def port_key(entry: Entry) -> PortKey:
    """The port that a row of the port or cable schedule is about."""
    unit, group, port = entry["unit"], entry["group"], entry["port"]
    assert isinstance(port, int), "ports are numbered"
    return str(unit), str(group), port


def port_words(key: PortKey) -> str:
    """A port as it is labelled: unit, group and number."""
    return " ".join(part for part in (key[0], key[1], str(key[2])) if part)


def number_of(entry: Entry, column: str) -> Number | None:
    """The number in a column of a schedule; None where it is empty."""
    value = entry[column]
    return value if isinstance(value, int | float) else None


def total(numbers: Iterable[Number | None]) -> Number:
    """An exact sum; what is not known counts as nothing."""
    exact = sum((Decimal(str(number)) for number in numbers if number is not None), Decimal(0))
    return int(exact) if exact == int(exact) else float(exact)


def carried_words(entry: Entry) -> str:
    """What a row carries from the user's tables, each with the name of its column; notes and labels speak for themselves."""
    found = ((name, value) for name, value in entry.items() if CARRIED.fullmatch(name) and value)
    return "; ".join(str(value) if name == "note" else f"{name} {value}" for name, value in found)


def _entries(schedule: Schedule) -> list[Entry]:
    return [dict(zip(schedule.columns, row, strict=True)) for row in schedule.rows]
