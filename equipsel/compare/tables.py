"""A comparison as tables: what is printed, written as CSV and shown on a page is made from these."""

from collections.abc import Iterable, Mapping

from equipsel.compare.break_even import BreakEven
from equipsel.compare.comparison import Comparison
from equipsel.compare.figures import CRITERIA, Criterion
from equipsel.compare.near import Near, NearKit
from equipsel.compare.trade_off import Curve
from equipsel.files.schedules.schedule import Cell, Schedule

MARK = "best"
"""The word beside the best options of a figure."""


def tables(found: Comparison) -> list[Schedule]:
    """Every table that has anything in it."""
    made = [options(found), side_by_side(found), differing(found), break_evens(found), *map(trade_off, found.trade_offs())]
    if found.near:
        made.append(near_kits(found.near))
    return [table for table in made if table.rows]


def options(found: Comparison) -> Schedule:
    """What the numbers of the options stand for, how each ended, and why one has no kit."""
    rows = []
    for place, option in enumerate(found.options):
        kit, more = found.kit(place), found.more(place)
        status = "refused" if option.refusal else "not worked out" if kit is None else kit.status.value
        rows.append(
            (
                place + 1,
                option.catalog,
                option.change,
                status,
                None if more is None else float(more),
                "; ".join(found.refusals(place)),
            )
        )
    return Schedule("options", ("option", "catalog", "change", "status", "costs_more", "why_not"), tuple(rows))


def side_by_side(found: Comparison) -> Schedule:
    """A row a figure, a column an option, and which options are best."""
    known, leaders = found.figures(), found.best()
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            column.heading.format(found.currency),
            *(shown(figure.get(column.key), column) for figure in known),
            ", ".join(str(place + 1) for place in sorted(leaders[column.key])),
        )
        for column in CRITERIA
    )
    return Schedule("side_by_side", ("figure", *_numbers(found), MARK), rows)


def differing(found: Comparison) -> Schedule:
    """What is not the same on every bill of materials."""
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (kind, model, *(None if count is None else round(count, 3) for count in counts)) for kind, model, counts in found.differences()
    )
    return Schedule("differences", ("kind", "model", *_numbers(found)), rows)


def break_evens(found: Comparison) -> Schedule:
    """At which price each model leaves the cheapest kit or enters it."""
    rows = tuple(
        (one.kind, one.model, float(one.price), one.count, money_of(one.break_even), money_of(one.without), one.verdict.value)
        for _, one in sorted(found.break_even.items())
    )
    return Schedule("break_even", ("kind", "model", "price", "bought", "break_even", "cost_without", "verdict"), rows)


def trade_off(one: Curve) -> Schedule:
    """Every option on a curve that no other beats."""
    heading = {"spare": "spare_pct", "models": "models"}[one.axis]
    rows = tuple((point.shown, float(point.cost)) for point in one.points)
    return Schedule(f"trade_off_{one.axis}", (heading, "cost"), rows)


def near_kits(found: Near) -> Schedule:
    """Kits that cost nearly the same: what each buys."""
    models = sorted({model for one in found.kits for model in one.bought})
    rows = tuple((place, float(one.cost), *(one.bought.get(model, 0) for model in models)) for place, one in enumerate(found.kits, 1))
    return Schedule("near_kits", ("kit", "cost", *models), rows)


def shown(value: float | None, column: Criterion) -> Cell:
    """A figure at its decimals."""
    if value is None:
        return None
    return round(value, column.decimals) if column.decimals else int(value)


def by_purchase(found: Mapping[int, BreakEven]) -> list[BreakEven]:
    """Models that are bought today first, then in table order."""
    return [one for _, one in sorted(found.items(), key=lambda item: (not item[1].count, item[0]))]


def buys(one: NearKit) -> str:
    """What a kit buys, in words."""
    return ", ".join(f"{count} x {model}" for model, count in one.bought.items()) or "nothing"


def money_of(value: object) -> float | None:
    """An amount as the number that tables hold."""
    return None if value is None else float(str(value))


def _numbers(found: Comparison) -> Iterable[str]:
    return (str(place) for place in range(1, len(found.options) + 1))
