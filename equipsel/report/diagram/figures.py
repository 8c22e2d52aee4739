"""The one-line diagram of each place, cut into pictures that fit a sheet of paper, and the same in words."""

from collections.abc import Iterable, Iterator, Sequence
from xml.etree.ElementTree import Element

from equipsel.heat import circuit_watts
from equipsel.kit import Unit
from equipsel.report.diagram.blocks import BUS, LEAST, Block, draw_block
from equipsel.report.diagram.branches import Branch, Branches
from equipsel.report.diagram.overview import overview
from equipsel.report.diagram.words import branch_words, source_words
from equipsel.report.html import Content, bullets, element
from equipsel.report.svg import WIDTH, box, picture, stroke, text
from equipsel.report.table import decimals
from equipsel.report.view import View, total

TALLEST = 850
"""A picture taller than this begins another."""

MOST_BRANCHES = 14
"""A unit with more branches goes on in the next picture."""

HEADER = 66
KEY_WORDS = (
    "Full line: power and data. Dashed: data only. Small square: port. Circle: device. Large square: another unit. "
    "E: extender. Above a line its ports and what they set aside, below it the run; beside the device what it draws at which volts."
)


def diagrams(view: View, branches: Branches) -> list[Element]:
    """An overview where there are several places, then each place's diagram with the same in words."""
    found = [element("p", KEY_WORDS, class_="soft"), *(overview(view) if len(view.places) > 1 else [])]
    for number, (place, units) in enumerate(view.places.items(), 1):
        found += [element("h3", place, id=f"place-{number}"), *_place(f"place-{number}", place, units, view, branches)]
    return found


def _place(key: str, place: str, units: Sequence[Unit], view: View, branches: Branches) -> Iterator[Element]:
    parts = list(_parts(_blocks(units, branches)))
    for at, blocks in enumerate(parts):
        which = f" ({at + 1} of {len(parts)})" if len(parts) > 1 else ""
        yield _figure(f"{key}-{at + 1}", f"One-line diagram of {place}{which}", place, blocks, view, start=at == 0)
    yield _in_words(place, units, view, branches)


def _blocks(units: Iterable[Unit], branches: Branches) -> Iterator[Block]:
    for unit in units:
        listed = branches.by_unit[unit.unit]
        for at in range(0, len(listed), MOST_BRANCHES):
            yield Block(unit, tuple(listed[at : at + MOST_BRANCHES]), first=at == 0)


def _parts(blocks: Iterable[Block]) -> Iterator[list[Block]]:
    part: list[Block] = []
    for block in blocks:
        if part and sum(one.height for one in part) + block.height > TALLEST:
            yield part
            part = []
        part.append(block)
    if part:
        yield part


def _figure(key: str, caption: str, place: str, blocks: list[Block], view: View, *, start: bool) -> Element:
    from_mains = [block for block in blocks if not block.unit.fed_by]
    drawn: list[Content] = list(_mains(place, view)) if start and from_mains else []
    top = HEADER if drawn else 8
    if from_mains:
        drawn.append(stroke((BUS, top - 24 if start else 0), (BUS, top + _last_tap(blocks)), class_="heavy"))
    height: float = top
    for block in blocks:
        drawn += draw_block(block, height, view)
        height += block.height
    units = ", ".join(dict.fromkeys(block.unit.unit for block in blocks))
    picture_ = picture(key, height, caption, f"Units {units}, with what is plugged into each port; the same stands in words below.", *drawn,
                       role="group")  # fmt: skip
    frame = element("div", picture_, class_="scroll", role="region", tabindex=0, aria_label=caption)
    return element("figure", element("figcaption", caption), frame)


def _last_tap(blocks: Sequence[Block]) -> float:
    """How far down the mains bus leads: to the last unit that hangs on it."""
    down, last = 0.0, 0.0
    for block in blocks:
        if not block.unit.fed_by and block.first:
            last = down + LEAST / 2
        down += block.height
    return last or down


def _mains(place: str, view: View) -> Iterator[Content]:
    """Where the power of a place comes from: its circuit and what is taken from it, and its battery units."""
    yield element("circle", cx=BUS, cy=16, r=11, class_="box")
    yield text(BUS, 21, "~", "strong middle")
    yield stroke((BUS, 27), (BUS, HEADER - 24), class_="heavy")
    yield text(BUS + 22, 20, mains_words(place, view), "small", WIDTH - BUS - 26)
    held = battery_words(place, view)
    if held:
        yield box(BUS - 10, HEADER - 36, 20, 12)
        yield text(BUS, HEADER - 26, "B", "small middle")
        yield text(BUS + 22, HEADER - 26, f"Battery: {held}", "small", WIDTH - BUS - 26)


def mains_words(place: str, view: View) -> str:
    """What a place takes from its mains circuit, and what it may take."""
    row = view.site.scenario.place.get(place)
    taken = decimals(total(unit.mains_w for unit in view.places.get(place, ())))
    if row is None or row.circuit_a is None or row.circuit_v is None:
        return f"Mains: {taken} W"
    allowed = circuit_watts(row.circuit_a, row.circuit_v, view.site.rules.circuit_load_pct)
    circuit = f"circuit {decimals(row.circuit_a)} A, {decimals(row.circuit_v)} V"
    return f"Mains, {circuit}: {taken} W of {decimals(float(allowed))} W allowed"


def battery_words(place: str, view: View) -> str:
    """The battery units of a place."""
    lines = [line for line in view.kit.lines or () if line.kind == "backup" and line.place == place]
    return ", ".join(f"{decimals(line.count)} x {line.model}" for line in lines)


def _in_words(place: str, units: Iterable[Unit], view: View, branches: Branches) -> Element:
    listed = bullets(_unit_in_words(unit, branches.by_unit[unit.unit], view) for unit in units)
    return element("details", element("summary", f"The diagram of {place} in words"), listed)


def _unit_in_words(unit: Unit, listed: Iterable[Branch], view: View) -> Element:
    head = f"{unit.unit} ({unit.model}), {source_words(unit, view)}"
    return element("div", head, bullets(branch_words(branch, view.lengths) for branch in listed))
