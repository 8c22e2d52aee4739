"""One unit of a one-line diagram: its supply on the left, its load in the middle, the lines of its ports on the right."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from equipsel.files.schedules.plugs import Plug
from equipsel.kit import Unit
from equipsel.report.diagram.branches import Branch
from equipsel.report.diagram.words import data_from, end_words, extender_words, feed_from, load_words, run_words
from equipsel.report.html import Content, element, link
from equipsel.report.svg import WIDTH, box, stroke, text
from equipsel.report.table import decimals
from equipsel.report.view import View

BUS, SUPPLY, SUPPLY_WIDTH = 18, 42, 96
UNIT, UNIT_WIDTH = 166, 138
PORTS, DEVICES = UNIT + UNIT_WIDTH, 520
ROW, EXTENDER_ROW, LEAST, GAP = 44, 58, 92, 20
SHOWN_SUPPLIES = 3
MOST_NUMBERS = 12


@dataclass(frozen=True, slots=True)
class Block:
    """A unit with the branches that are drawn beside it; `first` is false where it goes on from the picture before."""

    unit: Unit
    branches: tuple[Branch, ...]
    first: bool = True

    @property
    def height(self) -> float:
        """How much of the picture it takes, its gap to the next included."""
        return max(LEAST, sum(map(row_height, self.branches)) + 10) + GAP


def row_height(branch: Branch) -> float:
    """How much of the picture a branch takes."""
    return EXTENDER_ROW if extender_words(branch) else ROW


def draw_block(block: Block, top: float, view: View) -> Iterator[Content]:
    """A unit from its supply to its devices, its upper edge at `top`."""
    height = block.height - GAP
    if block.first:
        yield from _source(block.unit, top, height, view)
    yield box(UNIT, top, UNIT_WIDTH, height)
    yield from _unit_words(block, top, view)
    y = top + 5
    for branch in block.branches:
        yield _branch(branch, y, view)
        y += row_height(branch)


def _source(unit: Unit, top: float, height: float, view: View) -> Iterator[Content]:
    middle = top + min(height, LEAST) / 2
    if unit.fed_by:
        yield from _feed(unit, middle, view)
        return
    yield stroke((BUS, middle), (UNIT, middle))
    yield from _supplies(unit, middle)
    leads = data_from(unit, view)
    if leads:
        yield stroke((SUPPLY, middle + 32), (UNIT, middle + 32), class_="stroke dashed")
        yield text(SUPPLY, middle + 27, f"data from {', '.join(leads)}", "small", UNIT - SUPPLY - 4)


def _supplies(unit: Unit, middle: float) -> Iterator[Content]:
    names = list(unit.supplies[:SHOWN_SUPPLIES]) or ["built-in supply"]
    if len(unit.supplies) > SHOWN_SUPPLIES:
        names[-1] = f"and {len(unit.supplies) - SHOWN_SUPPLIES + 1} more"
    top = middle - 11 * len(names)
    for at, name in enumerate(names):
        yield box(SUPPLY, top + 22 * at, SUPPLY_WIDTH, 22)
        yield text(SUPPLY + SUPPLY_WIDTH / 2, top + 22 * at + 15, name, "small middle", SUPPLY_WIDTH - 6)


def _feed(unit: Unit, middle: float, view: View) -> Iterator[Content]:
    feed = unit.fed_by
    assert feed is not None, "only fed switches come here"
    name, port = feed_from(unit)
    yield link(view.unit_keys[name], text(SUPPLY, middle - 20, f"from {name}", "small", UNIT - SUPPLY - 6))
    yield text(SUPPLY, middle - 7, port, "small", UNIT - SUPPLY - 6)
    yield stroke((SUPPLY, middle), (UNIT, middle))
    yield element("polygon", points=f"{UNIT},{middle:.1f} {UNIT - 9},{middle - 4.5:.1f} {UNIT - 9},{middle + 4.5:.1f}", class_="solid")
    volts = f", {decimals(feed.pd_volts)} V" if feed.pd_volts else ""
    if feed.class_ is not None:
        yield text(SUPPLY, middle + 15, f"class {feed.class_}{volts}", "small", UNIT - SUPPLY - 6)


def _unit_words(block: Block, top: float, view: View) -> Iterator[Content]:
    unit, room = block.unit, UNIT_WIDTH - 16
    yield link(view.unit_keys[unit.unit], text(UNIT + 8, top + 18, unit.unit, "strong", room * 0.88))
    yield text(UNIT + 8, top + 34, unit.model, "small", room)
    if not block.first:
        yield text(UNIT + 8, top + 50, "continued", "small")
        return
    if unit.budget_w is not None and unit.reserved_w is not None:
        share = min(1.0, unit.reserved_w / unit.budget_w) if unit.budget_w else 0.0
        yield box(UNIT + 8, top + 43, room, 9)
        yield box(UNIT + 8, top + 43, room * share, 9, "full")
        yield text(UNIT + 8, top + 66, f"{decimals(unit.reserved_w)} of {decimals(unit.budget_w)} W", "small", room)
    if unit.owned:
        yield text(UNIT + 8, top + 82, "already there", "small")


def _branch(branch: Branch, top: float, view: View) -> Element:
    """One line from its port: what it carries above it, its run below, the device at its end."""
    y = top + 20
    key = view.port_keys[branch.ports[0]]
    head = text(PORTS + 12, y - 7, f"{_numbers(branch)}: {load_words(branch)}", "small", DEVICES - PORTS - 20)
    drawn: list[Content] = [box(PORTS - 4, y - 4, 8, 8), link(key, head)]
    if branch.use != "free":
        drawn.append(stroke((PORTS + 4, y), (DEVICES - 7, y), class_="stroke" if branch.powers else "stroke dashed"))
        drawn.append(text(PORTS + 12, y + 16, run_words(branch, view.lengths), "small", DEVICES - PORTS - 20))
        drawn += _extenders(branch, y)
        drawn += _end(branch, y, view)
    return element("g", *drawn, id=branch.key, class_="line")


def _numbers(branch: Branch) -> str:
    """The ports of a branch; only how many where their numbers would not fit."""
    return branch.numbers if len(branch.numbers) <= MOST_NUMBERS else f"{branch.ports[0][1]} {len(branch.ports)} ports".strip()


def _extenders(branch: Branch, y: float) -> Iterator[Content]:
    models = branch.runs[0].extenders if branch.runs else ()
    for at, _ in enumerate(models):
        x = DEVICES - 30 - 24 * (len(models) - 1 - at)
        yield box(x - 8, y - 6, 16, 11)
        yield text(x, y + 3.5, "E", "small middle")
    if models:
        yield text(PORTS + 12, y + 29, extender_words(branch), "small", DEVICES - PORTS - 20)


def _end(branch: Branch, y: float, view: View) -> Sequence[Content]:
    room = WIDTH - DEVICES - 16
    square = branch.use != "device"
    sign = box(DEVICES - 6, y - 6, 12, 12) if square else element("circle", cx=DEVICES, cy=y, r=6, class_="box")
    name = text(DEVICES + 13, y - 1, branch.title, None, room)
    return [sign, link(_target(branch, view), name), text(DEVICES + 13, y + 13, end_words(branch), "small", room)]


def _target(branch: Branch, view: View) -> str:
    """Where the name at the end of a line leads: the run's row, or an injector's."""
    if branch.use == "injector data":
        return view.unit_keys[_injector(branch.plugs[0])]
    return view.run_keys[branch.ports[0]]


def _injector(lead: Plug) -> str:
    return lead.to.rsplit(" port ", 1)[0]
