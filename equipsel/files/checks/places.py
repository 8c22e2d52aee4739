"""Places: every one that is named is listed where there is a list."""

from collections.abc import Iterator

from equipsel.columns import Row
from equipsel.files.draft import Draft
from equipsel.files.problems import Problem, name_mend, quoted


def places_named_are_listed(draft: Draft) -> Iterator[Problem]:
    """With a `places` table, devices, runs, owned equipment and growth name only places listed there."""
    known = draft.named("places")
    if not known or not draft.read("places"):
        return
    for row, column, place in _named(draft):
        if place not in known:
            mend = name_mend(place, known, draft.source("places"))
            yield draft.problem(row, column, f"no place is called {quoted(place)}", mend)


def _named(draft: Draft) -> Iterator[tuple[Row, str, str]]:
    """Each mention of a place: row, column, place. Where a run starts is looked at by another check."""
    scenario = draft.scenario
    yield from ((row, "place", row.place) for row in scenario.devices)
    yield from ((row, "to", row.to) for row in scenario.runs)
    yield from ((row, "place", row.place) for row in scenario.owned)
    yield from ((row, "place", row.place) for row in scenario.growth if row.place)


def ambient_ranges_are_ranges(draft: Draft) -> Iterator[Problem]:
    """The lowest ambient of a place or of a run's path is not above the highest."""
    rows: list[Row] = [*draft.scenario.places, *draft.scenario.devices, *draft.scenario.runs, *draft.scenario.growth]
    for row in rows:
        prefix = "" if row.table == "places" else "path_"
        low, high = getattr(row, f"{prefix}low_c"), getattr(row, f"{prefix}high_c")
        if low is not None and high is not None and low > high:
            yield draft.problem(row, f"{prefix}low_c", f"{low} is above {prefix}high_c, {high}", "exchange the two")
