"""What a device says of its power."""

from collections.abc import Iterator

from equipsel.files.draft import Draft
from equipsel.files.limits import MOST_DEVICES
from equipsel.files.problems import Problem
from equipsel.scenario import Device, Growth
from equipsel.standard import CLASSES, MAX_PD_W, class_for_watts


def _rows(draft: Draft) -> list[Device | Growth]:
    return [*draft.scenario.devices, *draft.scenario.growth]


def devices_state_watts_or_class(draft: Draft) -> Iterator[Problem]:
    """A device gives watts, class or both."""
    for row in draft.scenario.devices:
        if row.watts is None and row.class_ is None:
            yield draft.problem(row, "watts", "is empty, and so is class", "write watts, class or both; 0 watts = data only")


def devices_are_not_too_many(draft: Draft) -> Iterator[Problem]:
    """A site has no more devices than can be planned, counts multiplied out."""
    rows = draft.scenario.devices
    total = sum(row.count for row in rows)
    if total > MOST_DEVICES:
        most = max(rows, key=lambda row: row.count)
        wrong = f"the counts add up to {total:,} devices, {most.count:,} of them here; at most {MOST_DEVICES:,} are planned in one go"
        yield draft.problem(most, "count", wrong, "check the count, or plan the site in parts")


def watts_fit_the_class(draft: Draft) -> Iterator[Problem]:
    """A device draws no more than its class allows, nor more than any class does."""
    for row in _rows(draft):
        if row.watts is None:
            continue
        if row.watts > MAX_PD_W:
            wrong = f"{row.watts} W is more than any class gives a device: IEEE 802.3 ends at {MAX_PD_W} W (class 8)"
            yield draft.problem(row, "watts", wrong, "check the data sheet, or split the load over two ports")
        elif row.class_ is not None and row.watts > CLASSES[row.class_].pd_w:
            wrong = f"{row.watts} W is more than class {row.class_} lets a device draw ({CLASSES[row.class_].pd_w} W)"
            mend = f"write class {class_for_watts(row.watts)}, or leave class empty"
            yield draft.problem(row, "watts", wrong, mend)


def no_class_without_watts(draft: Draft) -> Iterator[Problem]:
    """A data-only device has no class."""
    for row in _rows(draft):
        if row.watts == 0 and row.class_ is not None:
            wrong = f"0 W means data only, and class {row.class_} asks for power"
            yield draft.problem(row, "watts", wrong, "leave class empty, or watts")
