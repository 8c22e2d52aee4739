"""The comparison as a page in the report's style: no network, no script needed, told apart without colour."""

from collections.abc import Iterator
from decimal import Decimal
from xml.etree.ElementTree import Element

from equipsel import __version__
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA, Criterion
from equipsel.compare.near import Near
from equipsel.compare.tables import MARK, buys, differing, money_of, shown
from equipsel.compare.trade_off import Curve, Point
from equipsel.compare.words import AXES, BREAK_EVEN, INTERRUPTED, READING, mixing, nearly, proof, result
from equipsel.console import amount
from equipsel.report.charts import Axis, Bar, Series, bars, chart, lines
from equipsel.report.html import Content, element, paragraph
from equipsel.report.page import Section, page
from equipsel.report.parts.findings import cautions
from equipsel.report.table import Cell, Figure, Row, decimals, figure, money, table

UNTITLED = "Comparison"


def comparison_html(found: Comparison) -> bytes:
    """The page in UTF-8, the same bytes for the same comparison."""
    title = found.options[0].site.scenario.title or UNTITLED
    lead = (paragraph("Ways of building it, side by side.", class_="big"), paragraph(INTERRUPTED) if found.interrupted else None)
    return page(title, list(_sections(found)), lead=lead)


def _sections(found: Comparison) -> Iterator[Section]:
    currency = found.currency
    yield Section("options", "Options", tuple(_options(found)))
    yield Section("side-by-side", "Side by side", (_side_by_side(found), *(paragraph(words, class_="soft") for words in READING)))
    if found.differences():
        yield Section("differences", "What differs in the bill of materials", (_differences(found),))
    if found.near:
        yield Section("near", "Nearly as cheap", tuple(_near(found.near, currency)))
    for one in found.curves.values():
        yield Section(f"trade-off-{one.axis}", f"Cost against {_axis(one)}", tuple(_curve(one, currency)))
    if found.break_even:
        yield Section("break-even", "Break-even prices", (paragraph(f"{BREAK_EVEN}."), _break_even(found)))
    yield Section("cautions", "Cautions", cautions())
    yield Section("origin", "Where this comes from", (paragraph(f"Made by equipsel {__version__}."), _inputs(found)))


def _options(found: Comparison) -> Iterator[Content]:
    rows, drawn = [], []
    for place, option in enumerate(found.options):
        kit, more = found.kit(place), found.more(place)
        cost = kit.cost if kit else None
        ended = "; ".join((result(found, place), *found.refusals(place)))
        rows.append(Row((str(place + 1), option.catalog, option.change, money(cost), None if more is None else money(float(more)), ended)))
        drawn.append(Bar(f"{place + 1} {option.name}", cost or 0, "no kit" if cost is None else amount(cost)))
    heads = ("Option", "Catalog", "Change", f"Cost {found.currency}", "More than without the change", "How it ended")
    yield table("Options", heads, rows, class_="quiet")
    yield from map(paragraph, mixing(found))
    words = "; ".join(f"{row.name}: {row.words}" for row in drawn)
    yield chart(f"Cost of each option ({found.currency})", bars("costs", "Cost of each option", words, drawn), None)


def _heads(found: Comparison) -> Iterator[str]:
    return (f"Option {place}" for place in range(1, len(found.options) + 1))


def _side_by_side(found: Comparison) -> Element:
    known, leaders = found.figures(), found.best()
    rows = (
        Row((column.heading.format(found.currency), *(_judged(one.get(column.key), column, best=at in leaders[column.key])
             for at, one in enumerate(known))))
        for column in CRITERIA
    )  # fmt: skip
    return table(f"Figures of each option; {MARK}: none has a better one", ("Figure", *_heads(found)), rows)


def _judged(value: float | None, column: Criterion, *, best: bool) -> Cell:
    """A figure, with the word before it that marks the best, so that digits stand beneath each other."""
    if value is None:
        return "-"
    return Figure(value, f"{f'{MARK} ' if best else ''}{shown(value, column):,.{column.decimals}f}")


def _differences(found: Comparison) -> Element:
    bills = differing(found).rows
    rows = (Row((str(kind), str(model), *(_count(count) for count in counts))) for kind, model, *counts in bills)
    return table("How many of what each option has", ("Kind", "Model", *_heads(found)), rows, class_="sort quiet")


def _count(count: object) -> Cell:
    return figure(count, 3) if isinstance(count, int | float) else "-"


def _near(near: Near, currency: str) -> Iterator[Content]:
    told = nearly(near)
    yield paragraph(f"{told[0].upper()}{told[1:]}.")
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
    yield paragraph(f"{told[0].upper()}{told[1:]}.")
    if curve.points:
        heading = AXES[curve.axis]
        words = "; ".join(f"{decimals(point.shown, 3)}: {amount(float(point.cost))}" for point in curve.points)
        drawn = _steps(curve, currency, words) if curve.axis == "spare" else _bars(curve, words)
        yield chart(f"Cost ({currency}) against {heading}", drawn, None)
        rows = (Row((figure(point.shown, 3), money(float(point.cost)), money(float(_more(curve, point))))) for point in curve.points)
        head = f"{heading[0].upper()}{heading[1:]}"
        yield table("The same in figures", (head, f"Cost {currency}", "More than the cheapest"), rows)


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


def _break_even(found: Comparison) -> Element:
    bought_first = sorted(found.break_even.items(), key=lambda item: (not item[1].count, item[0]))
    rows = (
        Row(
            (
                one.kind,
                one.model,
                money(float(one.price)),
                figure(one.count),
                _or_dash(one.break_even),
                _or_dash(one.without),
                one.verdict.value,
            )
        )
        for _, one in bought_first
    )
    heads = ("Kind", "Model", "Price", "Bought", "Break-even price", "Cost without it", "That is")
    return table(f"Break-even prices ({found.currency})", heads, rows, class_="sort")


def _or_dash(value: object) -> Cell:
    known = money_of(value)
    return "-" if known is None else money(known)


def _inputs(found: Comparison) -> Element:
    kits = ((place, found.kit(place)) for place in range(len(found.options)))
    pairs = ((f"Option {place + 1}: inputs, SHA-256", kit.inputs_sha256 or "not told") for place, kit in kits if kit)
    return element("dl", *(element(tag, words) for pair in pairs for tag, words in zip(("dt", "dd"), pair, strict=True)), class_="facts")
