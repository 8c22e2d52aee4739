"""Names that must be unique, so that every other table can refer to them."""

import re
from collections.abc import Callable, Hashable, Iterable, Iterator
from typing import TypeVar

from equipsel.catalog import Cable, Equipment
from equipsel.columns import Row
from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, quoted

R = TypeVar("R", bound=Row)


def _repeated(rows: Iterable[R], key: Callable[[R], Hashable]) -> Iterator[tuple[R, R]]:
    """Each row whose key an earlier row has, with that earlier row."""
    first: dict[Hashable, R] = {}
    for row in rows:
        earlier = first.setdefault(key(row), row)
        if earlier is not row:
            yield row, earlier


def models_are_unique(draft: Draft) -> Iterator[Problem]:
    """A model names one thing in the whole catalog: a bill of materials could not tell two apart."""
    catalog = draft.catalog
    equipment = (*catalog.switches, *catalog.supplies, *catalog.injectors, *catalog.extenders, *catalog.backups)
    rows: list[Equipment | Cable] = [*equipment, *catalog.cables]
    for row, earlier in _repeated(rows, lambda one: one.model):
        spot = f"row {earlier.line}" if earlier.table == row.table else f"{draft.source(earlier.table)} row {earlier.line}"
        yield draft.problem(row, "model", f"{quoted(row.model)} is listed already in {spot}", "give each model its own name")


def port_groups_are_unique(draft: Draft) -> Iterator[Problem]:
    """A port group has its own name on its switch."""
    for row, earlier in _repeated(draft.catalog.ports, lambda one: (one.model, one.group)):
        wrong = f"{quoted(row.model)} has a group {quoted(row.group)} already in row {earlier.line}"
        yield draft.problem(row, "group", wrong, "give each group of a switch its own name")


def bundle_limits_are_unique(draft: Draft) -> Iterator[Problem]:
    """One limit for a gauge and a bundle size."""
    for row, earlier in _repeated(draft.catalog.bundles, lambda one: (one.awg, one.cables_up_to)):
        wrong = f"a limit for {row.awg} AWG and up to {row.cables_up_to} cables stands already in row {earlier.line}"
        yield draft.problem(row, "cables_up_to", wrong, "keep one of the two rows")


def extras_are_unique(draft: Draft) -> Iterator[Problem]:
    """An extra is listed once for the same thing."""
    for row, earlier in _repeated(draft.catalog.extras, lambda one: (one.item, one.per, one.for_)):
        wrong = f"{quoted(row.item)} per {row.per} stands already in row {earlier.line}"
        yield draft.problem(row, "item", wrong, "keep one of the two rows, or say what each is for")


def device_names_are_unique(draft: Draft) -> Iterator[Problem]:
    """A device name stands in one row."""
    for row, earlier in _repeated(draft.scenario.devices, lambda one: one.device):
        wrong = f"{quoted(row.device)} is listed already in row {earlier.line}"
        yield draft.problem(row, "device", wrong, "give each row its own name; several alike go into one row with a count")


def numbered_names_are_unique(draft: Draft) -> Iterator[Problem]:
    """The numbered names of a row with a count are no other row's name."""
    counted = {row.device: row for row in draft.scenario.devices if row.count > 1}
    for row in draft.scenario.devices:
        match = re.fullmatch(r"(.+)\.([1-9][0-9]{0,6})", row.device)
        base = counted.get(match[1]) if match else None
        if match and base and int(match[2]) <= base.count:
            wrong = f"{quoted(row.device)} is also the name of one of the {base.count} {quoted(base.device)} of row {base.line}"
            yield draft.problem(row, "device", wrong, "give this row another name")


def places_are_unique(draft: Draft) -> Iterator[Problem]:
    """A place is listed once."""
    for row, earlier in _repeated(draft.scenario.places, lambda one: one.place):
        yield draft.problem(row, "place", f"{quoted(row.place)} is listed already in row {earlier.line}", "keep one of the two rows")


def owned_rows_are_unique(draft: Draft) -> Iterator[Problem]:
    """What is owned of a model in a place stands in one row."""
    for row, earlier in _repeated(draft.scenario.owned, lambda one: (one.model, one.place)):
        wrong = f"{quoted(row.model)} at {quoted(row.place)} is listed already in row {earlier.line}"
        yield draft.problem(row, "model", wrong, "add the counts up in one row")


def growth_rows_are_unique(draft: Draft) -> Iterator[Problem]:
    """A stage adds a device once."""
    for row, earlier in _repeated(draft.scenario.growth, lambda one: (one.stage, one.device)):
        wrong = f"stage {quoted(row.stage)} adds {quoted(row.device)} already in row {earlier.line}"
        yield draft.problem(row, "device", wrong, "add the two up in one row")


def runs_are_unique(draft: Draft) -> Iterator[Problem]:
    """Two runs between the same ends differ in cable or length: otherwise a kit could not say which it uses."""
    for row, earlier in _repeated(draft.scenario.runs, lambda one: (one.from_, one.to, one.cable, one.run_m)):
        wrong = f"the same run from {quoted(row.from_)} to {quoted(row.to)} stands already in row {earlier.line}"
        yield draft.problem(row, "from", wrong, "keep one of the two rows")
