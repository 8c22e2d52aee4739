"""All places at once: what stands in each, and which are fed from which."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from equipsel.report.charts import chart
from equipsel.report.html import Content, element, link
from equipsel.report.svg import box, picture, stroke, text
from equipsel.report.table import Row, decimals, figure, table
from equipsel.report.view import View, total

BOX_WIDTH, BOX_HEIGHT, ROW = 204, 54, 66
COLUMNS = (4, 258, 512)
PLACES_A_PICTURE = 14


@dataclass(frozen=True, slots=True)
class _Spot:
    place: str
    above: str | None
    column: int


def overview(view: View) -> list[Element]:
    """The places as boxes, those fed through their cable to the right of what feeds them, and the same as a table."""
    spots = list(_spots(view))
    devices = Counter(view_place for view_place in _device_places(view))
    caption = "Overview of the places"
    pictures = [
        _picture(f"overview-{at // PLACES_A_PICTURE + 1}", caption, spots[at : at + PLACES_A_PICTURE], devices, view)
        for at in range(0, len(spots), PLACES_A_PICTURE)
    ]
    figures = _table(spots, devices, view)
    return [*(chart(caption, one, None) for one in pictures[:-1]), chart(caption, pictures[-1], figures)]


def _device_places(view: View) -> Iterator[str]:
    places = {unit.unit: unit.place for unit in view.kit.units}
    return (places[(run.injector or run).unit] for run in view.kit.connections)


def _feeders(view: View) -> dict[str, str]:
    """The place that feeds a place: that of the port its first fed switch hangs on. Places with a unit on mains have none."""
    places = {unit.unit: unit.place for unit in view.kit.units}
    found = {}
    for place, units in view.places.items():
        feeds = [unit.fed_by for unit in units if unit.fed_by]
        if len(feeds) == len(units):
            found[place] = places[(feeds[0].injector or feeds[0]).unit]
    return {place: above for place, above in found.items() if above != place}


def _spots(view: View) -> Iterator[_Spot]:
    """Places in the order they are drawn: each followed by those it feeds."""
    feeders = _feeders(view)

    def below(place: str, column: int) -> Iterator[_Spot]:
        yield _Spot(place, feeders.get(place), column)
        for other, above in feeders.items():
            if above == place:
                yield from below(other, min(column + 1, len(COLUMNS) - 1))

    for place in view.places:
        if place not in feeders:
            yield from below(place, 0)


def _picture(key: str, caption: str, spots: list[_Spot], devices: Counter[str], view: View) -> Element:
    drawn: list[Content] = []
    rows = {spot.place: at for at, spot in enumerate(spots)}
    for at, spot in enumerate(spots):
        drawn += _feed(spot, at, rows)
        drawn += _box(spot, at, devices, view)
    words = "; ".join(f"{spot.place} fed from {spot.above}" for spot in spots if spot.above) or "each place has mains of its own"
    return picture(key, len(spots) * ROW + 4, caption, f"{len(spots)} places; {words}.", *drawn, role="group")


def _feed(spot: _Spot, at: int, rows: dict[str, int]) -> Iterator[Content]:
    """The cable that feeds a place, from beneath the box of the place above."""
    if spot.above is None or spot.column == 0:
        return
    x, y = COLUMNS[spot.column - 1] + 24, at * ROW + 4 + BOX_HEIGHT / 2
    start = rows[spot.above] * ROW + 4 + BOX_HEIGHT if spot.above in rows else 0.0
    tip = COLUMNS[spot.column]
    yield stroke((x, start), (x, y), (tip, y))
    yield element("polygon", points=f"{tip},{y:.1f} {tip - 9},{y - 4.5:.1f} {tip - 9},{y + 4.5:.1f}", class_="solid")


def _box(spot: _Spot, at: int, devices: Counter[str], view: View) -> Iterator[Content]:
    x, y, room = COLUMNS[spot.column], at * ROW + 4, BOX_WIDTH - 16
    units = view.places[spot.place]
    number = list(view.places).index(spot.place) + 1
    yield box(x, y, BOX_WIDTH, BOX_HEIGHT)
    yield link(f"place-{number}", text(x + 8, y + 17, spot.place, "strong", room * 0.88))
    yield text(x + 8, y + 32, f"{_count(len(units), 'unit')}, {_count(devices[spot.place], 'device')}", "small", room)
    mains = total(unit.mains_w for unit in units)
    source = "fed through its cable" if spot.above else f"{decimals(mains)} W of mains"
    yield text(x + 8, y + 46, source, "small", room)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _table(spots: list[_Spot], devices: Counter[str], view: View) -> Element:
    rows = (
        Row(
            (
                spot.place,
                figure(len(view.places[spot.place])),
                figure(devices[spot.place]),
                figure(total(unit.mains_w for unit in view.places[spot.place])),
                spot.above or "mains",
            )
        )
        for spot in spots
    )
    return table("Places, their units, devices and feed", ("Place", "Units", "Devices", "Mains W", "Fed from"), rows)
