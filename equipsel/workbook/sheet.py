"""What a workbook is made of: sheets of fields and rows, with formats, totals, marks and drop-down lists."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from equipsel.workbook.text import column_letters, sheet_name


class Form(StrEnum):
    """How a cell is shown. Values are number formats of spreadsheets (ECMA-376, 18.8.31)."""

    TEXT = "@"
    PLAIN = "General"
    WHOLE = "#,##0"
    ONE = "#,##0.0"
    TWO = "0.00"
    THREE = "0.000"
    MONEY = "#,##0.00"
    PRICE = "#,##0.00##"


@dataclass(frozen=True, slots=True)
class Formula:
    """A live formula, beginning with =, and the value it has now: readers that do not calculate show that one."""

    text: str
    value: Decimal | float | str


@dataclass(frozen=True, slots=True)
class Shown:
    """A cell with a form of its own, where a column holds cells of several kinds."""

    cell: "str | int | float | Decimal | Formula | None"
    form: Form


Cell = str | int | float | Decimal | bool | Formula | Shown | None
"""Text is written as text whatever it begins with, numbers as numbers, yes and no as words; None and "" stay empty."""


@dataclass(frozen=True, slots=True)
class Mark:
    """Cells of a field with a value above this are set off in colour; a word beside them must say so too."""

    above: float
    field: int


@dataclass(frozen=True, slots=True)
class Field:
    """One column: its title and unit, how its cells are shown, and what a spreadsheet offers to those who fill it in.

    width: in characters; None: as wide as its contents, up to a limit, above which the text wraps. total: a sum below the rows.
    choices: a drop-down list of words, or of the cells a reference such as =places!$A$2:$A$500 names. note: shown at the title.
    must: nothing outside the choices is accepted.
    """

    title: str
    unit: str = ""
    form: Form = Form.TEXT
    width: float | None = None
    total: bool = False
    note: str = ""
    choices: tuple[str, ...] | str = ()
    must: bool = True

    @property
    def heading(self) -> str:
        """The title with its unit."""
        return f"{self.title}, {self.unit}" if self.unit else self.title


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet: a header that stays in sight, rows that can be filtered, a row of totals if a field asks for one.

    key_columns: how many columns stay in sight at the left. room: empty rows below the rows that formats and lists also cover.
    widest: characters above which a text wraps. offers: drop-down lists of single cells, by row (the first is 0) and field.
    """

    name: str
    title: str
    fields: Sequence[Field]
    rows: Sequence[Sequence[Cell]]
    marks: Sequence[Mark] = ()
    key_columns: int = 0
    filtered: bool = True
    room: int = 0
    widest: float = 36
    offers: Mapping[tuple[int, int], tuple[str, ...]] = field(default_factory=dict)

    def cells(self, number: int) -> str:
        """A reference to the rows of a field from any sheet, such as 'bill of materials'!$F$2:$F$9."""
        return references(self.name, number, max(len(self.rows), 1))


def references(sheet: str, number: int, count: int) -> str:
    """A reference to the first rows below the header of a sheet, in the field of that number (the first is 0)."""
    letters = column_letters(number)
    quoted = sheet_name(sheet, set()).replace("'", "''")
    return f"'{quoted}'!${letters}$2:${letters}${count + 1}"
