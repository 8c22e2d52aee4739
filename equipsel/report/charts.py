"""Charts in plain black on white: told apart by dash and mark, never by colour, and each with its figures as a table."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import floor, log10
from xml.etree.ElementTree import Element

from equipsel.report.html import Content, element
from equipsel.report.svg import WIDTH, box, fitted, picture, stroke, text

Point = tuple[float, float]

BAR_ROW, BAR_LEFT, BAR_ROOM = 26, 214, 340
LEFT, RIGHT, TOP, PLOT = 62, WIDTH - 20, 26, 264
LEGEND_ROW = 22
DASHES = ("stroke", "stroke dashed", "stroke dotted", "stroke dashdot")


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar: its name, how long it is, and what stands at its end; a frame around it and a tick in that where they are given."""

    name: str
    value: float
    words: str
    frame: float = 0.0
    tick: float | None = None


@dataclass(frozen=True, slots=True)
class Series:
    """A line of a chart. `step`: a value holds until the next point."""

    name: str
    points: tuple[Point, ...]
    step: bool = False


@dataclass(frozen=True, slots=True)
class Axis:
    """An axis: what it shows, with its unit; `low` and `high` widen it."""

    name: str
    low: float | None = None
    high: float | None = None


def chart(caption: str, drawn: Element, figures: Element | None) -> Element:
    """A picture with its caption, and beneath it the same as a table for those who want or need it so."""
    below = [element("details", element("summary", "The same as a table"), figures)] if figures is not None else []
    frame = element("div", drawn, class_="scroll", role="region", tabindex=0, aria_label=caption)
    return element("figure", element("figcaption", caption), frame, *below)


def bars(key: str, title: str, description: str, rows: Sequence[Bar], most: float | None = None) -> Element:
    """Bars one beneath the other, the longest the whole width or `most`."""
    top = max([max(bar.value, bar.frame) for bar in rows] + [0.0]) if most is None else most
    drawn = (piece for at, bar in enumerate(rows) for piece in _bar(bar, at * BAR_ROW, top))
    return picture(key, len(rows) * BAR_ROW + 4, title, description, *drawn)


def _bar(bar: Bar, y: float, most: float) -> list[Element]:
    length, frame = (BAR_ROOM * min(1.0, value / most) if most > 0 else 0.0 for value in (bar.value, bar.frame))
    end = BAR_LEFT + max(length, frame) + 8
    drawn = [text(BAR_LEFT - 8, y + 17, bar.name, "end", BAR_LEFT - 12)]
    drawn += [box(BAR_LEFT, y + 4, frame, BAR_ROW - 8)] if frame else []
    drawn.append(box(BAR_LEFT, y + 4, max(length, 1.0), BAR_ROW - 8, "full"))
    if bar.tick is not None and most > 0:
        at = BAR_LEFT + BAR_ROOM * min(1.0, bar.tick / most)
        drawn.append(stroke((at, y + 1), (at, y + BAR_ROW - 1), class_="heavy"))
    return [*drawn, text(end, y + 17, bar.words, None, WIDTH - end - 2)]


def lines(
    key: str,
    title: str,
    description: str,
    series: Sequence[Series],
    x: Axis,
    y: Axis,
    levels: Sequence[tuple[float, str]] = (),
) -> Element:
    """Lines or steps over two axes, with a mark at each point, a legend beneath, and named levels across the plot."""
    points = [point for one in series for point in one.points]
    across = _Scale.over([point[0] for point in points], x, LEFT, RIGHT)
    up = _Scale.over([point[1] for point in points] + [level for level, _ in levels], y, TOP + PLOT, TOP)
    drawn: list[Content] = [*_axes(across, up, x, y)]
    for at, (level, words) in enumerate(levels):
        place, side, beside = (RIGHT - 4, "small end", 13) if at % 2 else (LEFT + 6, "small", -4)
        y_level = up.at(level)
        drawn += [stroke((LEFT, y_level), (RIGHT, y_level), class_="hair dashdot"), text(place, y_level + beside, words, side)]
    for at, one in enumerate(series):
        drawn += _line(one, at, across, up)
    drawn += _legend(series, TOP + PLOT + 58)
    return picture(key, TOP + PLOT + 58 + LEGEND_ROW * -(-len(series) // 2), title, description, *drawn)


@dataclass(frozen=True, slots=True)
class _Scale:
    """Values of an axis to places on the drawing."""

    ticks: tuple[float, ...]
    start: float
    end: float

    @classmethod
    def over(cls, values: Iterable[float], axis: Axis, start: float, end: float) -> "_Scale":
        known = [*values, *(bound for bound in (axis.low, axis.high) if bound is not None)] or [0.0]
        return cls(ticks(min(known), max(known)), start, end)

    def at(self, value: float) -> float:
        low, high = self.ticks[0], self.ticks[-1]
        return self.start + (self.end - self.start) * (value - low) / (high - low)


def ticks(low: float, high: float) -> tuple[float, ...]:
    """Round figures from below the lowest value to above the highest, four to nine of them."""
    if high <= low:
        high = low + (abs(low) or 1.0)
    rough = (high - low) / 5
    power = 10.0 ** floor(log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * 0.999)
    first = floor(low / step + 1e-9)
    last = -floor(-(high / step - 1e-9))
    return tuple(round(number * step, 10) for number in range(first, last + 1))


def _axes(across: _Scale, up: _Scale, x: Axis, y: Axis) -> list[Element]:
    bottom = TOP + PLOT
    drawn = [text(4, 14, y.name, "strong"), text(RIGHT, bottom + 38, x.name, "strong end")]
    for value in up.ticks:
        drawn += [stroke((LEFT, up.at(value)), (RIGHT, up.at(value)), class_="grid"), text(LEFT - 8, up.at(value) + 4, _tick(value), "end")]
    for value in across.ticks:
        at = across.at(value)
        drawn += [stroke((at, bottom), (at, bottom + 5)), text(at, bottom + 19, _tick(value), "middle")]
    return [*drawn, stroke((LEFT, TOP), (LEFT, bottom), (RIGHT, bottom))]


def _tick(value: float) -> str:
    return f"{value:,g}" if abs(value) < 1e6 else f"{value:,.0f}"


def _line(one: Series, at: int, across: _Scale, up: _Scale) -> list[Element]:
    places = [(across.at(x), up.at(y)) for x, y in one.points]
    path = _stepped(places) if one.step else places
    return [*([stroke(*path, class_=DASHES[at % len(DASHES)])] if len(path) > 1 else []), *(_mark(place, at) for place in places)]


def _stepped(places: Sequence[Point]) -> list[Point]:
    corners = [point for before, after in pairwise(places) for point in (before, (after[0], before[1]))]
    return [*corners, *places[-1:]]


def _mark(place: Point, at: int) -> Element:
    """Marks in turn: disc, hollow square, hollow triangle, hollow disc, square, diamond."""
    x, y = place
    kind = at % 6
    if kind in (0, 3):
        return element("circle", cx=x, cy=y, r=4, class_="solid" if kind == 0 else "box")
    if kind in (1, 4):
        return box(x - 4, y - 4, 8, 8, "box" if kind == 1 else "solid")
    corners = [(x, y - 5), (x + 5, y + 4), (x - 5, y + 4)] if kind == 2 else [(x, y - 6), (x + 6, y), (x, y + 6), (x - 6, y)]
    return element("polygon", points=" ".join(f"{a:.1f},{b:.1f}" for a, b in corners), class_="box")


def _legend(series: Sequence[Series], top: float) -> list[Element]:
    drawn = []
    for at, one in enumerate(series):
        x, y = LEFT + (at % 2) * 330, top + (at // 2) * LEGEND_ROW
        drawn += [stroke((x, y), (x + 40, y), class_=DASHES[at % len(DASHES)]), _mark((x + 20, y), at)]
        drawn += [text(x + 50, y + 4, fitted(one.name, 270))]
    return drawn
