"""Names in one table that must stand in another."""

import re
from collections.abc import Iterator

from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, name_mend, quoted
from equipsel.scenario import Device, Growth, Run


def cables_are_known(draft: Draft) -> Iterator[Problem]:
    """Every cable named is in the catalog."""
    if not draft.read("cables"):
        return
    known = draft.named("cables")
    rows: list[Device | Run | Growth] = [*draft.scenario.devices, *draft.scenario.runs, *draft.scenario.growth]
    for row in rows:
        if row.cable is not None and row.cable not in known:
            mend = name_mend(row.cable, known, draft.source("cables"))
            yield draft.problem(row, "cable", f"no cable is called {quoted(row.cable)}", mend)


def owned_models_are_known(draft: Draft) -> Iterator[Problem]:
    """Owned equipment is a switch, a supply or an injector of the catalog."""
    tables = ("switches", "supplies", "injectors")
    if not draft.read(*tables):
        return
    known, others = draft.named(*tables), draft.named("extenders", "cables", "backups")
    for row in draft.scenario.owned:
        if row.model in others and row.model not in known:
            wrong = f"{quoted(row.model)} is no switch, supply or injector"
            yield draft.problem(row, "model", wrong, "only these can be owned: drop the row")
        elif row.model not in known:
            mend = name_mend(row.model, known, "the catalog")
            yield draft.problem(row, "model", f"no switch, supply or injector is called {quoted(row.model)}", mend)


def runs_start_at_a_device_or_a_place(draft: Draft) -> Iterator[Problem]:
    """A run starts at a device or at a place, and it is clear at which."""
    if not draft.read("devices", "places"):
        return
    devices, places, meant = set(draft.named("devices")), set(draft.named("places")), _places_meant(draft)
    counted = {row.device: row.count for row in draft.scenario.devices}
    for row in draft.scenario.runs:
        if row.from_ in devices and row.from_ in meant:
            yield draft.problem(row, "from", f"{quoted(row.from_)} is a device and a place", "give one of them another name")
        elif base := _numbered(row.from_, counted):
            mend = f"write {quoted(base)} to mean all of them, or give this one a row of its own in {draft.source('devices')}"
            yield draft.problem(row, "from", f"{quoted(row.from_)} is one of several {quoted(base)}", mend)
        elif places and row.from_ not in devices | places:
            mend = name_mend(row.from_, sorted(places | devices), f"{draft.source('places')} or {draft.source('devices')}")
            yield draft.problem(row, "from", f"no device or place is called {quoted(row.from_)}", mend)


def _places_meant(draft: Draft) -> set[str]:
    """Names that stand for a place somewhere, whether or not there is a list of places."""
    scenario = draft.scenario
    named = [row.place for row in scenario.devices] + [row.to for row in scenario.runs] + [row.place for row in scenario.owned]
    return {*draft.named("places"), *named}


def _numbered(name: str, counted: dict[str, int]) -> str | None:
    """The device whose numbered name this is: cam for cam.2 where cam has a count of 2 or more."""
    match = re.fullmatch(r"(.+)\.([1-9][0-9]{0,6})", name)
    return match[1] if match and name not in counted and 1 < counted.get(match[1], 0) >= int(match[2]) else None


def runs_lead_elsewhere(draft: Draft) -> Iterator[Problem]:
    """A run does not end where it starts."""
    for row in draft.scenario.runs:
        if row.from_ == row.to:
            yield draft.problem(row, "to", f"the run ends where it starts, at {quoted(row.to)}", "name another place, or drop the row")
