"""The comparison as a workbook: a sheet a table; figures that follow from others are live formulas with their values."""

from collections.abc import Iterator
from decimal import Decimal

from equipsel import __version__
from equipsel.compare.break_even import BreakEven, Verdict
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA
from equipsel.compare.near import Near
from equipsel.compare.tables import MARK, buys, by_purchase, differing, shown
from equipsel.compare.trade_off import Curve
from equipsel.compare.words import AXES, BREAK_EVEN, READING, mixing, nearly, proof, result
from equipsel.console import CAUTIONS, INTERRUPTED
from equipsel.workbook import Cell, Field, Form, Formula, Sheet, Shown, letters, workbook

UNTITLED = "Comparison"
FORMS = {0: Form.WHOLE, 1: Form.ONE, 2: Form.MONEY}
PARTS_OF_COST = ("equipment", "installation", "cable", "energy")
"""What the cost is the sum of: the rows below it."""

Row = tuple[Cell, ...]


def comparison_workbook(found: Comparison) -> bytes:
    """compare.xlsx; the same bytes for the same comparison."""
    title = found.options[0].site.scenario.title or UNTITLED
    return workbook(list(_sheets(found, title)), title=title)


def _sheets(found: Comparison, title: str) -> Iterator[Sheet]:
    yield _options(found, title)
    yield _side_by_side(found, title)
    yield _differences(found, title)
    if found.near:
        yield _near(found.near, title, found.currency)
    yield from (_curve(one, title, found.currency) for one in found.trade_offs())
    if found.break_even:
        yield _break_even(found, title)
    yield _notes(found, title)


def _options(found: Comparison, title: str) -> Sheet:
    money = found.currency
    fields = (
        Field("Option", form=Form.WHOLE),
        Field("Catalog"),
        Field("Change"),
        Field("Cost", money, Form.MONEY),
        Field("More than without the change", money, Form.MONEY),
        Field("How it ended", width=70),
    )
    rows: list[Row] = []
    for place, option in enumerate(found.options):
        kit, more = found.kit(place), found.more(place)
        ended = "; ".join((result(found, place), *found.refusals(place)))
        plain = found.unchanged(place)
        live = None if more is None else Formula(f"=D{place + 2}-D{plain + 2}", more)
        rows.append((place + 1, option.catalog, option.change, kit.cost if kit else None, live, ended))
    return Sheet("options", title, fields, rows, key_columns=1)


def _side_by_side(found: Comparison, title: str) -> Sheet:
    """A row a figure; the cost is the live sum of its parts."""
    known, leaders = found.figures(), found.best()
    rows: list[Row] = []
    for column in CRITERIA:
        form = FORMS[column.decimals]
        cells = [Shown(shown(one.get(column.key), column), form) for one in known]
        if column.key == "cost":
            cells = [Shown(_sum(place, one.get("cost")), form) for place, one in enumerate(known)]
        best = ", ".join(str(place + 1) for place in sorted(leaders[column.key]))
        rows.append((column.heading.format(found.currency), *cells, best))
    options = (Field(f"Option {place + 1}", form=Form.PLAIN) for place in range(len(known)))
    return Sheet("side by side", title, (Field("Figure"), *options, Field(f"{MARK.capitalize()} option")), rows, key_columns=1)


def _sum(place: int, cost: float | None) -> Formula | None:
    column, last = letters(place + 1), 2 + len(PARTS_OF_COST)
    return None if cost is None else Formula(f"=SUM({column}3:{column}{last})", Decimal(str(cost)))


def _differences(found: Comparison, title: str) -> Sheet:
    options = (Field(f"Option {place + 1}", form=Form.PLAIN) for place in range(len(found.options)))
    return Sheet("what differs", title, (Field("Kind"), Field("Model"), *options), differing(found).rows, key_columns=2)


def _near(near: Near, title: str, currency: str) -> Sheet:
    fields = (
        Field("Kit", form=Form.WHOLE),
        Field("Cost", currency, Form.MONEY),
        Field("More than the cheapest", currency, Form.MONEY),
        Field("Buys", width=80),
    )
    rows = [(place, one.cost, _more(place, one.cost, near.kits[0].cost), buys(one)) for place, one in enumerate(near.kits, 1)]
    return Sheet("nearly as cheap", title, fields, rows)


def _more(row: int, cost: Decimal, least: Decimal) -> Formula:
    return Formula(f"=B{row + 1}-B$2", cost - least)


def _curve(curve: Curve, title: str, currency: str) -> Sheet:
    head = AXES[curve.axis]
    value = Field(f"{head[0].upper()}{head[1:]}", form=Form.THREE if curve.axis == "spare" else Form.WHOLE)
    fields = (value, Field("Cost", currency, Form.MONEY), Field("More than the cheapest", currency, Form.MONEY))
    rows = [(point.shown, point.cost, _more(place, point.cost, curve.points[0].cost)) for place, point in enumerate(curve.points, 1)]
    return Sheet(f"cost against {curve.axis}", title, fields, rows)


def _break_even(found: Comparison, title: str) -> Sheet:
    money = found.currency
    fields = (
        Field("Kind"),
        Field("Model"),
        Field("Price", money, Form.PRICE),
        Field("Bought", form=Form.WHOLE),
        Field("Break-even price", money, Form.MONEY, note=BREAK_EVEN),
        Field("Change of price to it", money, Form.MONEY),
        Field("Cost without it", money, Form.MONEY),
        Field("That is", width=36),
    )
    rows = [_break_even_row(number, one) for number, one in enumerate(by_purchase(found.break_even), 2)]
    return Sheet("break-even", title, fields, rows, key_columns=2)


def _break_even_row(row: int, one: BreakEven) -> Row:
    decides = one.break_even if one.verdict in (Verdict.BOUGHT, Verdict.NOT_BOUGHT) else None
    step = None if decides is None else Formula(f"=E{row}-C{row}", decides - one.price)
    return (one.kind, one.model, one.price, one.count, one.break_even, step, one.without, one.verdict.value)


def _notes(found: Comparison, title: str) -> Sheet:
    """What the tables do not say by themselves, and the cautions."""
    rows = [("note", INTERRUPTED)] if found.interrupted else []
    rows += [("mixing", words) for words in mixing(found)]
    rows += [("nearly as cheap", nearly(found.near))] if found.near else []
    rows += [(f"cost against {one.axis}", proof(one)) for one in found.trade_offs()]
    rows += [("note", words) for words in READING] + [("caution", words) for words in CAUTIONS]
    return Sheet("notes", title, (Field("Kind"), Field("In words", width=110)), [*rows, ("made by", f"equipsel {__version__}")])
