"""Pieces that every picture is drawn with. Sizes in units of the drawing, about a pixel each."""

from unicodedata import east_asian_width
from xml.etree.ElementTree import Element

from equipsel.report.html import Content, element

WIDTH = 720
"""Every picture is this wide; pages scale it to their own width."""

LETTER = 7.6
"""A middling letter of text of 12 units in a wide sans-serif face (measured on one; others are narrower)."""

NARROW, BROAD = frozenset("iljtfrI.,:;'|!()[]/ -"), frozenset("mwMW@%#+<=>^~\u2026\ufffd")
ELLIPSIS = "\u2026"

SMALL = 11 / 12
"""How much narrower the smaller text is."""


def picture(key: str, height: float, title: str, description: str, *drawn: Content, role: str = "img") -> Element:
    """A picture with its title and description for those who do not see it. With links inside it give role group."""
    return element(
        "svg",
        element("title", title, id=f"{key}-title"),
        element("desc", description, id=f"{key}-desc"),
        *drawn,
        viewBox=f"0 0 {WIDTH} {height:.0f}",
        width=WIDTH,
        height=round(height),
        role=role,
        aria_labelledby=f"{key}-title",
        aria_describedby=f"{key}-desc",
    )


def text(x: float, y: float, words: str, class_: str | None = None, room: float | None = None) -> Element:
    """Words at a point; cut to so much room where it is given, and then whole in a tooltip."""
    shown = words if room is None else fitted(words, room / SMALL if "small" in (class_ or "") else room)
    whole = element("title", words) if shown != words else None
    return element("text", whole, shown, x=x, y=y, class_=class_)


def stroke(*points: tuple[float, float], class_: str = "stroke") -> Element:
    """A line through points."""
    if len(points) == 2:
        (x1, y1), (x2, y2) = points
        return element("line", x1=x1, y1=y1, x2=x2, y2=y2, class_=class_)
    return element("polyline", points=" ".join(f"{x:.1f},{y:.1f}" for x, y in points), class_=class_)


def box(x: float, y: float, width: float, height: float, class_: str = "box") -> Element:
    """A rectangle."""
    return element("rect", x=x, y=y, width=width, height=height, class_=class_)


def wide(words: str) -> float:
    """About how wide words are, in units of the drawing."""
    return LETTER * sum(map(_weight, words))


def _weight(letter: str) -> float:
    if east_asian_width(letter) in "WF":
        return 1.8
    return 0.6 if letter in NARROW else 1.6 if letter in BROAD else 1.15 if letter.isupper() else 1.0


def fitted(words: str, room: float) -> str:
    """Words that fit the room, with an ellipsis where they had to be cut."""
    if wide(words) <= room:
        return words
    kept = words
    while kept and wide(kept + ELLIPSIS) > room:
        kept = kept[:-1]
    return kept.rstrip() + ELLIPSIS
