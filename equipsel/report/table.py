"""Tables of a page: a caption, heads that repeat in print, and figures that carry their exact value for sorting."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from xml.etree.ElementTree import Element

from equipsel.kit import Number
from equipsel.lengths import Lengths
from equipsel.report.html import Content, element

LONG, SHORT = 400, 8
"""A table of more rows than the first is laid out by the browser only where it is looked at; a short one is not cut in print."""

SOME_LETTERS, MOST_LETTERS = 4, 13
"""Columns of shorter words need no width of their own; longer words may break. The style sheet has a class for each between."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A number in a table: its exact value, as kit.json has it, and how it is shown."""

    value: Number
    text: str


Cell = Content | Figure


@dataclass(frozen=True, slots=True)
class Row:
    """A row of a table; `key` is the id that links lead to."""

    cells: tuple[Cell, ...]
    key: str | None = None


def figure(value: Number | None, digits: int = 2) -> Cell:
    """A number with at most so many decimals, commas between thousands and no idle zeros."""
    return None if value is None else Figure(value, decimals(value, digits))


def money(value: Number | None) -> Cell:
    """An amount of money with two decimals."""
    return None if value is None else Figure(value, f"{value:,.2f}")


def length(metres: Number | None, lengths: Lengths) -> Cell:
    """A length for a column whose head gives the unit; its exact value stays in metres, as kit.json has it."""
    return None if metres is None else Figure(metres, decimals(lengths.of(metres), 1))


def decimals(value: Number | Decimal, digits: int = 2) -> str:
    """A number as text with at most so many decimals, half a unit of the last one rounded up."""
    rounded = Decimal(str(value)).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)
    text = f"{rounded:,f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def metres(value: Number | Decimal, lengths: Lengths) -> str:
    """A length of so many metres with its unit, to a tenth."""
    return f"{decimals(lengths.of(value), 1)} {lengths.unit}"


def table(caption: str, heads: Sequence[str], rows: Iterable[Row], *, foot: Sequence[Cell] = (), class_: str = "") -> Element:
    """A table in a region of its own that scrolls where the screen is narrower; the first cell of a row names it.

    Class sort: it can be sorted and filtered; fine: smaller type; quiet: its caption is only for those who do not see it.
    """
    listed = list(rows)
    head = element("thead", element("tr", *(_head(text, [row.cells[at] for row in listed]) for at, text in enumerate(heads))))
    body = element("tbody", *(_row(row) for row in listed))
    last = [element("tfoot", _row(Row(tuple(foot))))] if foot else []
    size = " long" if len(listed) > LONG else " short" if len(listed) <= SHORT else ""
    made = element("table", element("caption", caption), head, body, *last, class_=class_ or None)
    return element("div", made, class_=f"scroll{size}", role="region", tabindex=0, aria_label=f"{caption}: table")


def _head(words: str, cells: Sequence[Cell]) -> Element:
    """The head of a column, as wide as its longest word up to a limit: what is longer breaks within the word."""
    if any(isinstance(cell, Figure) for cell in cells):
        return element("th", words, scope="col", class_="number")
    longest = max((len(part) for cell in cells for part in _words(cell).split()), default=0)
    return element("th", words, scope="col", class_=f"w{min(longest, MOST_LETTERS)}" if longest > SOME_LETTERS else None)


def _words(cell: Cell) -> str:
    if isinstance(cell, Figure):
        return cell.text
    return cell or "" if isinstance(cell, str | None) else "".join(cell.itertext())


def _row(row: Row) -> Element:
    first, *others = row.cells
    return element("tr", _cell("th", first, scope="row"), *(_cell("td", cell) for cell in others), id=row.key)


def _cell(tag: str, cell: Cell, scope: str | None = None) -> Element:
    if isinstance(cell, Figure):
        return element(tag, cell.text, scope=scope, data_value=repr(cell.value))
    return element(tag, cell, scope=scope)
