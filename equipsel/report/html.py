"""HTML and SVG as trees of elements: text can never become markup, since only the library's serialiser writes tags."""

import re
from collections.abc import Iterable
from xml.etree.ElementTree import Element, tostring

Content = Element | str | None
Attribute = str | int | float | None

UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")
"""Control characters, what turns the direction of text around, and what is no character: shown as U+FFFD, never passed on."""


def visible(text: str) -> str:
    """Text from a table as a page may hold it: nothing unseen in it that could disturb what stands beside it."""
    return UNSEEN.sub("\ufffd", text)


def element(tag: str, *children: Content, **attributes: Attribute) -> Element:
    """An element with its children; attributes are named with _ for - (`class_`, `data_value`), those of None are left out."""
    made = Element(tag, {name.rstrip("_").replace("_", "-"): _value(value) for name, value in attributes.items() if value is not None})
    return append(made, children)


def append(parent: Element, children: Iterable[Content]) -> Element:
    """The parent, with more children: elements and texts in their order."""
    for child in children:
        if isinstance(child, Element):
            parent.append(child)
        elif child is not None:
            _add_text(parent, visible(child))
    return parent


def _add_text(parent: Element, text: str) -> None:
    if len(parent):
        parent[-1].tail = (parent[-1].tail or "") + text
    else:
        parent.text = (parent.text or "") + text


def _value(value: Attribute) -> str:
    if isinstance(value, float):
        return f"{value:.1f}".removesuffix(".0")
    return visible(str(value))


def paragraph(*children: Content, class_: str | None = None) -> Element:
    """A paragraph."""
    return element("p", *children, class_=class_)


def bullets(items: Iterable[Content], class_: str | None = None) -> Element:
    """A list of points."""
    return element("ul", *(element("li", item) for item in items), class_=class_)


def link(target: str, *children: Content, **attributes: Attribute) -> Element:
    """A link to the element of that id on the same page."""
    return element("a", *children, href=f"#{target}", **attributes)


def to_text(root: Element) -> str:
    """The markup of a tree. The text of `style` and `script` is written as it is: put nothing there that a user wrote."""
    return tostring(root, encoding="unicode", method="html")
