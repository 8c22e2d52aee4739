"""Extras: what they are for, and what they are counted by."""

from collections.abc import Iterator

from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, nearest, quoted

COUNTED_BY = {
    "switches": ("port", "device", "unit", "place", "run"),
    "injectors": ("port", "device", "unit", "place", "run"),
    "extenders": ("extender", "run"),
    "cables": ("run",),
    "supplies": (),
    "backups": (),
}
"""What an extra for a model of each table may be counted by: the things that model is one of, or has."""

ALMOST = 0.9
"""Likeness from which a name is taken for a slip of the finger (our own choice: one letter in ten)."""


def extras_are_counted_by_what_they_are_for(draft: Draft) -> Iterator[Problem]:
    """An extra for a model is counted by something that model has."""
    for row in draft.catalog.extras:
        table = next((table for table in COUNTED_BY if row.for_ in draft.names.get(table, ())), None)
        if table is None or row.per in COUNTED_BY[table]:
            continue
        able = ", ".join(COUNTED_BY[table])
        mend = f"write one of {able}" if able else "name a switch, an injector, an extender, a cable or a device kind, or leave it empty"
        column = "per" if able else "for"
        yield draft.problem(row, column, f"{quoted(row.for_ or '')} is in {draft.source(table)}, and is not counted per {row.per}", mend)


def extras_are_for_something(draft: Draft) -> Iterator[Problem]:
    """An extra is for a model or a device kind; a kind is not counted by unit.

    A catalog serves many sites, so a kind that this one lacks is no mistake; a name almost like a known one is.
    """
    if not draft.read(*COUNTED_BY, "devices"):
        return
    models = draft.named(*COUNTED_BY)
    kinds = {row.kind for row in (*draft.scenario.devices, *draft.scenario.growth) if row.kind}
    for row in draft.catalog.extras:
        if not row.for_ or row.for_ in models:
            continue
        if row.for_ in kinds and row.per == "unit":
            wrong = f"{quoted(row.for_)} is a device kind, and units serve devices of many kinds"
            yield draft.problem(row, "per", wrong, "write one of port, device, place, extender, run")
        elif row.for_ not in kinds and (close := nearest(row.for_, [*models, *kinds], ALMOST)):
            yield draft.problem(row, "for", f"no model or device kind is called {quoted(row.for_)}", f"did you mean {quoted(close)}?")
