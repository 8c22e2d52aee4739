"""The comparison as a page in the report's style: no network, no script needed, told apart without colour."""

from collections.abc import Iterator
from decimal import Decimal
from xml.etree.ElementTree import Element

from equipsel import __version__
from equipsel.compare.break_even import BreakEven
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA, Criterion
from equipsel.compare.near import Near
from equipsel.compare.tables import MARK, buys, by_purchase, money_of, shown
from equipsel.compare.trade_off import Curve, Point
from equipsel.compare.words import AXES, BREAK_EVEN, READING, VERDICTS, mixing, nearly, proof, result
from equipsel.console import INTERRUPTED, amount
from equipsel.report.charts import Axis, Bar, Series, bars, chart, lines
from equipsel.report.html import Content, bullets, element, paragraph
from equipsel.report.page import Section, page
from equipsel.report.parts.findings import cautions
from equipsel.report.table import Cell, Figure, Row, decimals, figure, money, table

UNTITLED = "Comparison"

ACROSS = 6
"""So many options stand beside each other in one table: more do not fit a sheet of paper."""


def comparison_html(found: Comparison) -> bytes:
    """The page in UTF-8, the same bytes for the same comparison."""
    title = found.options[0].site.scenario.title or UNTITLED
    lead = (paragraph("Ways of building it, side by side.", class_="big"), paragraph(INTERRUPTED) if found.interrupted else None)
    return page(title, list(_sections(found)), lead=lead)


def _sections(found: Comparison) -> Iterator[Section]:
    currency = found.currency
    yield Section("options", "Options", tuple(_options(found)))
    if found.built():
        yield Section("side-by-side", "Side by side", tuple(_side_by_side(found)), sheet=True)
    if found.differences():
        yield Section("differences", "What differs in the bill of materials", tuple(_differences(found)), sheet=True)
    if found.near:
        yield Section("near", "Nearly as cheap", tuple(_near(found.near, currency)))
    for one in found.trade_offs():
        yield Section(f"trade-off-{one.axis}", f"Cost against {_axis(one)}", tuple(_curve(one, currency)), sheet=one.axis == "spare")
    if found.break_even:
        yield Section("break-even", "Break-even prices", tuple(_break_even(found)), sheet=True)
    yield Section("cautions", "Cautions", cautions())
    yield Section("origin", "Where this comes from", (paragraph(f"Made by equipsel {__version__}."), _inputs(found)))


def _options(found: Comparison) -> Iterator[Content]:
    rows, drawn = [], []
    for place, option in enumerate(found.options):
        kit, more = found.kit(place), found.more(place)
        cost = kit.cost if kit else None
        value = None if more is None else money(float(more))
        rows.append(Row((str(place + 1), option.catalog, option.change, money(cost), value, result(found, place))))
        drawn.append(Bar(f"{place + 1} {option.name}", cost or 0, "no kit" if cost is None else amount(cost)))
    heads = ("Option", "Catalog", "Change", f"Cost {found.currency}", "More than without the change", "How it ended")
    yield table("Options", heads, rows, class_="quiet")
    yield from map(paragraph, mixing(found))
    words = "; ".join(f"{row.name}: {row.words}" for row in drawn)
    yield chart(f"Cost of each option ({found.currency})", bars("costs", "Cost of each option", words, drawn), None)
    yield from _refusals(found)


def _refusals(found: Comparison) -> Iterator[Content]:
    for place, option in enumerate(found.options):
        if reasons := found.refusals(place):
            yield element("h3", f"Why option {place + 1} has no kit: {option.name}")
            yield bullets(reasons)


def _batches(places: list[int]) -> Iterator[list[int]]:
    yield from (places[start : start + ACROSS] for start in range(0, len(places), ACROSS))


def _span(places: list[int]) -> str:
    return f"options {places[0] + 1} to {places[-1] + 1}" if len(places) > 1 else f"option {places[0] + 1}"


def _heads(places: list[int]) -> Iterator[str]:
    return (f"Option {place + 1}" for place in places)


def _side_by_side(found: Comparison) -> Iterator[Content]:
    known, leaders = found.figures(), found.best()
    for places in _batches(found.built()):
        rows = []
        for column in CRITERIA:
            cells = (_judged(known[at].get(column.key), column, best=at in leaders[column.key]) for at in places)
            rows.append(Row((column.heading.format(found.currency), *cells)))
        yield table(f"Figures of {_span(places)}, the word {MARK} before the best", ("Figure", *_heads(places)), rows)
    yield from (paragraph(words, class_="soft") for words in READING)


def _judged(value: float | None, column: Criterion, *, best: bool) -> Cell:
    """A figure, with the word before it that marks the best, so that digits stand beneath each other."""
    if value is None:
        return "-"
    return Figure(value, f"{f'{MARK} ' if best else ''}{shown(value, column):,.{column.decimals}f}")


def _differences(found: Comparison) -> Iterator[Content]:
    for places in _batches(found.built()):
        rows = (Row((kind, model, *(figure(counts[at], 3) for at in places))) for kind, model, counts in found.differences())
        yield table(f"How many there are in {_span(places)}", ("Kind", "Model", *_heads(places)), rows)


def _near(near: Near, currency: str) -> Iterator[Content]:
    told = nearly(near)
    yield paragraph(f"{told[0].upper()}{told[1:]}.", class_="soft")
    if near.kits:
        least = near.kits[0].cost
        rows = (
            Row((str(place), money(float(one.cost)), money(float(one.cost - least)), buys(one))) for place, one in enumerate(near.kits, 1)
        )
        yield table("Kits nearly as cheap", ("Kit", f"Cost {currency}", "More than the cheapest", "Buys"), rows, class_="quiet")


def _axis(curve: Curve) -> str:
    return {"spare": "spare", "models": "number of different models"}[curve.axis]


def _curve(curve: Curve, currency: str) -> Iterator[Content]:
    told = proof(curve)
    yield paragraph(f"{told[0].upper()}{told[1:]}.", class_="soft")
    if curve.points:
        heading = AXES[curve.axis]
        words = "; ".join(f"{decimals(point.shown, 3)}: {amount(float(point.cost))}" for point in curve.points)
        drawn = _steps(curve, currency, words) if curve.axis == "spare" else _bars(curve, words)
        yield chart(f"Cost ({currency}) against {heading}", drawn, None)
        rows = (Row((figure(point.shown, 3), money(float(point.cost)), money(float(_more(curve, point))))) for point in curve.points)
        head = f"{heading[0].upper()}{heading[1:]}"
        yield table(f"The same against {_axis(curve)} in figures", (head, f"Cost {currency}", "More than the cheapest"), rows)


def _more(curve: Curve, point: Point) -> Decimal:
    return point.cost - curve.points[0].cost


def _steps(curve: Curve, currency: str, words: str) -> Element:
    """Each option holds its cost down to where the one before ends."""
    points = tuple((float(point.shown), float(point.cost)) for point in reversed(curve.points))
    series = Series("an option that no other beats", points, step=True)
    return lines("spare", "Cost against spare", words, [series], Axis(AXES["spare"], 0), Axis(f"cost, {currency}"))


def _bars(curve: Curve, words: str) -> Element:
    rows = [
        Bar(f"{point.shown} model{'' if point.shown == 1 else 's'}", float(point.cost), amount(float(point.cost))) for point in curve.points
    ]
    return bars("models", "Cost against different models", words, rows)


def _break_even(found: Comparison) -> Iterator[Content]:
    listed = by_purchase(found.break_even)
    yield paragraph(f"{BREAK_EVEN}.")
    yield bullets(f"{word}: {meaning}" for verdict, (word, meaning) in VERDICTS.items() if any(one.verdict is verdict for one in listed))
    heads = ("Kind", "Model", "Verdict", "Price", "Bought", "Break-even price", "Cost without it")
    yield table(f"Break-even prices ({found.currency})", heads, map(_break_even_row, listed), class_="sort")


def _break_even_row(one: BreakEven) -> Row:
    numbers = (money(float(one.price)), figure(one.count), money(money_of(one.break_even)), money(money_of(one.without)))
    return Row((one.kind, one.model, VERDICTS[one.verdict][0], *numbers))


def _inputs(found: Comparison) -> Element:
    kits = ((place, found.kit(place)) for place in range(len(found.options)))
    pairs = ((f"Option {place + 1}: inputs, SHA-256", kit.inputs_sha256 or "not told") for place, kit in kits if kit)
    return element("dl", *(element(tag, words) for pair in pairs for tag, words in zip(("dt", "dd"), pair, strict=True)), class_="facts")
