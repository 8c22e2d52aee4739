"""The growth table: what a stage multiplies or adds, and how much."""

import re
from collections.abc import Iterator

from equipsel.columns import columns
from equipsel.files.draft import Draft
from equipsel.files.limits import MOST_DEVICES
from equipsel.files.problems import Problem, name_mend, nearest, quoted
from equipsel.files.rows import field_of
from equipsel.scenario import DeviceColumns, Growth

MOST_PCT = 100
"""More than twice as many in one stage is most often a slip (500% for 5 %): then the number is asked for (our own limit)."""


def _firsts(draft: Draft) -> dict[str, Growth]:
    """The row that describes each new device: the first that names it."""
    known = set(draft.named("devices"))
    found: dict[str, Growth] = {}
    for row in draft.scenario.growth:
        if row.device not in known:
            found.setdefault(row.device, row)
    return found


def growth_is_of_a_device(draft: Draft) -> Iterator[Problem]:
    """A stage multiplies a device that is listed or came with an earlier row, or says all there is to say of a new one."""
    if not draft.read("devices"):
        return
    known, firsts = set(draft.named("devices")), _firsts(draft)
    for row in firsts.values():
        if row.add.endswith("%"):
            mend = name_mend(row.device, known, draft.source("devices"))
            yield draft.problem(row, "device", f"{row.add} of {quoted(row.device)}, and no device is called so", mend)
            continue
        empty = [name for name, value in (("place", row.place), ("run_m", row.run_m)) if value is None]
        empty += ["watts"] if row.watts is None and row.class_ is None else []
        if empty:
            close = nearest(row.device, known)
            hint = f"did you mean {quoted(close)}? If not, fill in" if close else "fill in"
            wrong, mend = f"no device is called {quoted(row.device)}", f"{hint} what a new one needs: {', '.join(empty)}"
            yield draft.problem(row, "device", wrong, mend)


def growth_is_not_beyond_belief(draft: Draft) -> Iterator[Problem]:
    """A percentage adds at most as many as there are."""
    for row in draft.scenario.growth:
        if row.add.endswith("%") and int(row.add[:-1]) > MOST_PCT:
            wrong = f"{row.add} in one stage is more than twice what is there"
            yield draft.problem(row, "add", wrong, f"write the number of devices to add, or at most {MOST_PCT}%")


def multiplied_devices_stay_as_they_are(draft: Draft) -> Iterator[Problem]:
    """More of a device are like it: a row that says otherwise means another device."""
    firsts = {**{row.device: row for row in draft.scenario.devices}, **_firsts(draft)}
    for row in draft.scenario.growth:
        first = firsts.get(row.device)
        if first is None or first is row:
            continue
        for name in ("place", *(column.name for column in columns(DeviceColumns))):
            field = field_of(Growth, name)
            said, is_ = getattr(row, field), getattr(first, field)
            if said != Growth.model_fields[field].default and said != is_ and field != "existing_cable":
                wrong = f"{said} is not what {quoted(row.device)} has ({is_}), and more of it are like it"
                yield draft.problem(row, name, wrong, "leave the cell empty, or give the other device a name of its own")


def grown_devices_are_not_too_many(draft: Draft) -> Iterator[Problem]:
    """With every count of the table added, a site has no more devices than can be planned."""
    total = sum(row.count for row in draft.scenario.devices)
    if total > MOST_DEVICES:
        return
    for row in draft.scenario.growth:
        total += 0 if row.add.endswith("%") else int(row.add)
        if total > MOST_DEVICES:
            wrong = f"with {row.add} more there are {total:,} devices; at most {MOST_DEVICES:,} are planned in one go"
            yield draft.problem(row, "add", wrong, "check the count")
            return


def grown_names_are_no_others(draft: Draft) -> Iterator[Problem]:
    """A device that grows is numbered name.1, name.2 ...: no other device is called so."""
    names = set(draft.named("devices")) | {row.device for row in draft.scenario.growth}
    grown = {row.device for row in draft.scenario.growth}
    counted = {row.device: row.count for row in draft.scenario.devices}
    told = set()
    for row in draft.scenario.growth:
        taken = [name for name in names if (match := re.fullmatch(r"(.+)\.[1-9][0-9]{0,6}", name)) and match[1] == row.device in grown]
        if taken and row.device not in told and counted.get(row.device, 0) <= 1:
            told.add(row.device)
            wrong = f"more of {quoted(row.device)} are numbered, and {quoted(min(taken))} is a device already"
            yield draft.problem(row, "device", wrong, f"give {quoted(min(taken))} another name")
