"""Why the kit is as it is, where the kit tells it."""

from collections.abc import Iterator

from equipsel.console import amount
from equipsel.kit import Cheaper, LineReason, Why
from equipsel.report.html import Content, bullets, element, paragraph
from equipsel.report.table import Cell, Row, figure, money, table
from equipsel.report.view import View


def why(view: View) -> tuple[Content, ...]:
    """Each line with what the cheapest kit without it costs, limits and how near they are, devices, cheaper requests."""
    told = view.kit.why
    assert told is not None, "only a kit that tells why has this part"
    return tuple(_parts(told, view.kit.currency))


def _parts(told: Why, currency: str) -> Iterator[Content]:
    if not told.complete:
        yield paragraph("Time ran out before everything was looked at: what stands here is true, but not all there is.")
    if told.lines:
        heads = ("What", "Place", "Why it is there", f"Without it {currency}", "That is")
        yield table("Why each line is there", heads, map(_line, told.lines))
    if told.binding:
        limits = (Row((one.where, one.what, figure(one.used), figure(one.limit), one.unit, figure(one.pct, 1))) for one in told.binding)
        yield table("How near each limit is", ("Where", "Limit", "Used", "Of", "Unit", "%"), limits, class_="sort")
    if told.devices:
        yield table("Why devices hang where they do", ("Devices", "Why"), (Row((one.device, one.text)) for one in told.devices))
    if told.cheaper:
        yield table("What would be cheaper", ("Asking for", f"Saves {currency}", "That is"), map(_cheaper, told.cheaper))
    if told.odd:
        yield element("h3", "What looks odd")
        yield bullets(told.odd)


def _line(one: LineReason) -> Row:
    cost: Cell = "-" if one.without_cost is None else _bounded(one.without_cost, exact=one.exact, word="at least")
    return Row((f"{one.kind} {one.model}", one.place or "", one.text, cost, one.without_text))


def _cheaper(one: Cheaper) -> Row:
    return Row((one.request, _bounded(one.saves, exact=one.exact, word="at most"), one.text))


def _bounded(cost: float, *, exact: bool, word: str) -> Cell:
    return money(cost) if exact else f"{word} {amount(cost)}"
