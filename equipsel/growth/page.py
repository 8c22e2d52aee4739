"""growth.html: a study of growth as a page that stands alone, with its cost curves as charts."""

from collections.abc import Iterable
from xml.etree.ElementTree import Element

from equipsel.console import INTERRUPTED
from equipsel.files.schedules.schedule import Cell, Schedule
from equipsel.growth.points import Curve, Point
from equipsel.growth.study import Study
from equipsel.growth.tables import MONEY
from equipsel.growth.words import why_ahead
from equipsel.quantities import money
from equipsel.report.charts import Axis, Series, chart, lines
from equipsel.report.html import Content, bullets, paragraph
from equipsel.report.page import Section, page
from equipsel.report.parts.findings import cautions
from equipsel.report.table import Cell as Shown
from equipsel.report.table import Row, figure, table
from equipsel.report.table import money as amount

HEADINGS = {
    "stages": "Stages",
    "growth": "Three ways to buy",
    "purchases": "What is bought when",
    "reach": "How far today's kit reaches",
    "headroom": "What is left at each stage",
    "curve": "Cost curves",
    "what_if": "What if",
}


def growth_page(found: Study, made: Iterable[Schedule], title: str) -> bytes:
    """The page in UTF-8, the same bytes for the same study."""
    sections = [Section(one.name.replace("_", "-"), HEADINGS[one.name], _content(found, one)) for one in made]
    sections.append(Section("cautions", "Cautions", cautions()))
    return page(f"{title}: growth", sections, lead=[paragraph(INTERRUPTED)] if found.interrupted else [])


def _content(found: Study, schedule: Schedule) -> tuple[Content, ...]:
    shown = _table(schedule, found.stages[0].site.scenario.currency)
    if schedule.name == "stages" and found.asked.stages.notes:
        return (shown, bullets(found.asked.stages.notes))
    if schedule.name == "growth" and (sentence := why_ahead(found.stages, found.plans)):
        return (paragraph(sentence), shown)
    if schedule.name == "curve":
        return (*(_drawn(at, one, found) for at, one in sorted(found.curves.items()) if one.points), shown)
    return (shown,)


def _table(schedule: Schedule, currency: str) -> Element:
    heads = [name.replace("_", " ").capitalize() + (f" {currency}" if name in MONEY else "") for name in schedule.columns]
    rows = (Row(tuple(_cell(name, cell) for name, cell in zip(schedule.columns, row, strict=True))) for row in schedule.rows)
    return table(f"{HEADINGS[schedule.name]}, money in {currency}", heads, rows, class_="sort quiet")


def _cell(column: str, cell: Cell) -> Shown:
    if not isinstance(cell, int | float):
        return cell
    return amount(cell) if column in MONEY else figure(cell)


def _drawn(at: int, curve: Curve, found: Study) -> Element:
    """The least cost known of each point and, where it is not proven, what it costs at least."""
    currency = found.stages[0].site.scenario.currency
    known = sorted(curve.points.items())
    series = [Series(curve.question.what, tuple((float(number), float(money(point.cost))) for number, point in known))]
    if least := tuple((float(number), float(money(point.least))) for number, point in known if not point.proven):
        series.append(Series("lower bound", least))
    what = f"Least cost against {curve.question.what} added"
    words = "; ".join(f"{number} more: {_between(point)}" for number, point in known)
    return chart(what, lines(f"curve-{at + 1}", what, words, series, Axis("devices added", 0), Axis(currency), []), None)


def _between(point: Point) -> str:
    cost, least = (f"{money(cents):,.2f}" for cents in (point.cost, point.least))
    return cost if point.proven else f"between {least} and {cost}"
