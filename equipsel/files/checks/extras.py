"""Extras: what they are for, and what they are counted by."""

from collections.abc import Iterator

from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, quoted

COUNTED_BY = {
    "switches": ("port", "device", "unit", "place", "run"),
    "injectors": ("port", "device", "unit", "place", "run"),
    "extenders": ("extender", "run"),
    "cables": ("run",),
    "supplies": (),
    "backups": (),
}
"""What an extra for a model of each table may be counted by: the things that model is one of, or has."""


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
    """An extra is for a model or a device kind, not both by one name; a kind is not counted by unit.

    A catalog serves many sites, so a kind that this one lacks is no mistake; one slip of the finger away from a known name is.
    """
    if not draft.read(*COUNTED_BY, "devices"):
        return
    models = draft.named(*COUNTED_BY)
    kinds = {row.kind for row in (*draft.scenario.devices, *draft.scenario.growth) if row.kind}
    for row in draft.catalog.extras:
        if row.for_ in models & kinds:
            wrong = f"{quoted(row.for_)} is both a device kind and a model, and an extra is for the one or the other"
            yield draft.problem(row, "for", wrong, "give the kind or the model another name")
        if not row.for_ or row.for_ in models:
            continue
        if row.for_ in kinds and row.per == "unit":
            wrong = f"{quoted(row.for_)} is a device kind, and units serve devices of many kinds"
            yield draft.problem(row, "per", wrong, "write one of port, device, place, extender, run")
        elif row.for_ not in kinds and (close := _meant(row.for_, sorted(models | kinds))):
            yield draft.problem(row, "for", f"no model or device kind is called {quoted(row.for_)}", f"did you mean {quoted(close)}?")


def _meant(name: str, known: list[str]) -> str | None:
    """The known name that a name misses by one slip, or by nothing but capitals."""
    return next((one for one in known if one.lower() == name.lower() or one_slip(one.lower(), name.lower())), None)


def one_slip(one: str, other: str) -> bool:
    """Whether two words of three letters or more differ by one letter that is missing, exchanged with the next, or (from six) another.

    A digit is no slip: camera-1 and camera-2 are two names.
    """
    short, long = sorted((one, other), key=len)
    if len(short) < 3 or len(long) - len(short) > 1 or short == long:
        return False
    same = next((index for index, (left, right) in enumerate(zip(short, long, strict=False)) if left != right), len(short))
    if any(letter.isdigit() for letter in long[same] + short[same : same + 1]):
        return False
    if len(long) > len(short):
        return short[same:] == long[same + 1 :]
    exchanged = short[same : same + 2] == long[same : same + 2][::-1] and short[same + 2 :] == long[same + 2 :]
    return exchanged or (len(short) >= 6 and short[same + 1 :] == long[same + 1 :])
