"""growth.xlsx: a sheet for each table of a study of growth, and one of notes and cautions."""

from collections.abc import Iterable

from equipsel import __version__
from equipsel.console import CAUTIONS, INTERRUPTED
from equipsel.files.schedules.schedule import Schedule
from equipsel.growth.study import Study
from equipsel.growth.tables import MONEY
from equipsel.growth.words import proof_words, why_ahead
from equipsel.workbook import Field, Form, Sheet, workbook

WHOLE = frozenset({"number", "devices", "added", "count", "most_more"})


def growth_workbook(found: Study, made: Iterable[Schedule], title: str) -> bytes:
    """The tables as sheets, the same bytes for the same tables."""
    currency = found.stages[0].site.scenario.currency
    return workbook([*(_sheet(one, title, currency) for one in made), _notes(found, title)], title=title)


def _sheet(table: Schedule, title: str, currency: str) -> Sheet:
    fields = [_field(name, [row[at] for row in table.rows], currency) for at, name in enumerate(table.columns)]
    return Sheet(table.name.replace("_", " "), title, fields, table.rows, key_columns=1)


def _notes(found: Study, title: str) -> Sheet:
    """What the tables do not say by themselves, and the cautions."""
    rows = [("note", words) for words in ([INTERRUPTED] if found.interrupted else []) + list(found.asked.stages.notes)]
    rows += [("planning ahead", sentence)] if (sentence := why_ahead(found.stages, found.plans)) else []
    rows += [(f"cost against {one.question.what}", proof_words(one)) for _, one in sorted(found.curves.items())]
    rows += [("caution", words) for words in CAUTIONS]
    return Sheet("notes", title, (Field("Kind"), Field("In words", width=110)), [*rows, ("made by", f"equipsel {__version__}")])


def _field(name: str, cells: list[object], currency: str) -> Field:
    heading = name.replace("_", " ").capitalize()
    numbers = all(isinstance(cell, int | float) for cell in cells if cell is not None)
    if name in MONEY:
        return Field(heading, currency, Form.MONEY)
    if not numbers:
        return Field(heading)
    return Field(heading, form=Form.WHOLE if name in WHOLE else Form.PLAIN)
