"""A comparison as `equipsel compare` prints it: plain text that fits the terminal."""

from equipsel.compare.break_even import BreakEven
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA
from equipsel.compare.near import Near
from equipsel.compare.tables import MARK, buys, by_purchase, differing, money_of, shown
from equipsel.compare.trade_off import Curve
from equipsel.compare.words import AXES, BREAK_EVEN, mixing, nearly, proof, result
from equipsel.console import BAR_WIDTH, CAUTIONS, INTERRUPTED, LEAST_WIDTH, amount, clean, table, wrapped
from equipsel.files.schedules.schedule import Cell, Schedule

HEADING_WIDTH, FIGURE_WIDTH = 28, 16
"""Characters of the column of headings and of one option's, a figure of a million with its mark."""


def comparison_text(found: Comparison, title: str, width: int) -> str:
    """The whole comparison."""
    width = max(width, LEAST_WIDTH)
    blocks = [[clean(title)], _options(found, width), _side_by_side(found, width), _bills(found, width), _mixing(found, width)]
    blocks += [_near(found.near, width) if found.near else [], *(_curve(one, width) for one in found.trade_offs())]
    blocks.append(_break_even(found, width))
    if found.interrupted:
        blocks.append([INTERRUPTED])
    blocks.append(["Cautions", *(line for word in CAUTIONS for line in wrapped("- ", word, width))])
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _options(found: Comparison, width: int) -> list[str]:
    lines = ["Options"]
    for place, option in enumerate(found.options):
        kit, more = found.kit(place), found.more(place)
        value = f"; {'costs' if more >= 0 else 'saves'} {amount(abs(float(more)))} as against no change" if more is not None else ""
        proven = "" if kit is None or kit.cost is None else f": {result(found, place)}{value}"
        lines += wrapped(f"{place + 1} ", f"{option.name}{proven}", width)
        lines += [f"   {line}" for why in found.refusals(place) for line in wrapped("no kit: ", why, width - 3)]
    return lines


def _side_by_side(found: Comparison, width: int) -> list[str]:
    """As many options beside each other as fit the width, then the next beneath."""
    places = found.built()
    across = max(1, (width - HEADING_WIDTH) // FIGURE_WIDTH)
    lines = ["Side by side"] if places else []
    for start in range(0, len(places), across):
        lines += [*([""] if start else []), *_figures(found, places[start : start + across], width)]
    return lines


def _figures(found: Comparison, places: list[int], width: int) -> list[str]:
    known, leaders = found.figures(), found.best()
    rows = []
    for column in CRITERIA:
        cells = []
        for place in places:
            text = _cell(shown(known[place].get(column.key), column), column.decimals)
            cells.append(f"{text} {MARK if place in leaders[column.key] else ' ' * len(MARK)}")
        rows.append((column.heading.format(found.currency), *cells))
    head = ("option", *(f"{place + 1} {' ' * len(MARK)}" for place in places))
    return table(head, rows, (False, *(True for _ in places)), width)


def _cell(value: Cell, decimals: int) -> str:
    return "-" if value is None else f"{value:,.{decimals}f}" if isinstance(value, int | float) else str(value)


def _listed(heading: str, schedule: Schedule, texts: int, width: int) -> list[str]:
    """A schedule whose first columns are texts and the others numbers."""
    rows = [tuple("-" if cell is None else f"{cell:,}" if isinstance(cell, int | float) else cell for cell in row) for row in schedule.rows]
    head = [name.replace("_", " ") for name in schedule.columns]
    return [heading, *table(head, rows, [place >= texts for place in range(len(head))], width)]


def _bills(found: Comparison, width: int) -> list[str]:
    schedule = differing(found)
    return _listed("What differs in the bill of materials", schedule, 2, width) if schedule.rows else []


def _mixing(found: Comparison, width: int) -> list[str]:
    return [line for sentence in mixing(found) for line in wrapped("", sentence, width)]


def _near(near: Near, width: int) -> list[str]:
    lines = wrapped("Nearly as cheap:", nearly(near), width)
    for place, one in enumerate(near.kits, 1):
        lines += wrapped(f"{place} ", f"{amount(float(one.cost))}: {buys(one)}", width)
    return lines


def _curve(curve: Curve, width: int) -> list[str]:
    if not curve.points:
        return []
    dearest = max(point.cost for point in curve.points)
    rows = [(f"{point.shown:g}", amount(float(point.cost)), _bar(float(point.cost / dearest) if dearest else 0)) for point in curve.points]
    return [f"Cost against {AXES[curve.axis]}: {proof(curve)}", *table((AXES[curve.axis], "cost", ""), rows, (True, True, False), width)]


def _bar(share: float) -> str:
    return "#" * round(share * BAR_WIDTH)


def _break_even(found: Comparison, width: int) -> list[str]:
    if not found.break_even:
        return []
    heading = f"Break-even: {BREAK_EVEN[0].lower()}{BREAK_EVEN[1:]}"
    head = ("kind", "model", "price", "bought", "break-even", "without", "")
    cells = [(one.kind, one.model, *_prices(one), one.verdict.value) for one in by_purchase(found.break_even)]
    return [heading, *table(head, cells, (False, False, True, True, True, True, False), width)]


def _prices(one: BreakEven) -> tuple[str, ...]:
    return (_cell(float(one.price), 2), _cell(one.count, 0), *(_cell(money_of(value), 2) for value in (one.break_even, one.without)))
