"""A page that stands alone: its style and script inside it, both pinned by hash, and nothing that it could ask a network for."""

import base64
import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from xml.etree.ElementTree import Element

from equipsel.report.html import Content, element, link, to_text, visible

RUNNING_LETTERS = 90
"""So much of the title fits at the foot of a printed page."""


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a page under a heading of its own. `sheet`: it begins on a new sheet of paper. Its key is its id."""

    key: str
    title: str
    content: tuple[Content, ...]
    sheet: bool = False


def page(title: str, sections: Sequence[Section], *, lead: Sequence[Content] = (), foot: Sequence[Content] = ()) -> bytes:
    """The page in UTF-8: a heading, `lead` beneath it, a list of its sections, the sections, and `foot` at the end."""
    style, script = _style(title), _asset("script.js")
    top = element("header", element("h1", title), *lead, _contents(sections), id="top")
    body = element("body", top, element("main", *(_section(one) for one in sections)), *([element("footer", *foot)] if foot else []))
    root = element("html", _head(title, style, script), body, lang="en")
    body.append(element("script"))
    body[-1].text = script
    return ("<!DOCTYPE html>\n" + to_text(root) + "\n").encode("utf-8")


def _head(title: str, style: str, script: str) -> Element:
    policy = f"default-src 'none'; style-src {_pin(style)}; script-src {_pin(script)}; base-uri 'none'; form-action 'none'"
    sheet = element("style")
    sheet.text = style
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="referrer", content="no-referrer"),
        element("title", title),
        sheet,
    )


def _contents(sections: Sequence[Section]) -> Element:
    entries = (element("li", link(one.key, one.title)) for one in sections)
    return element("nav", element("ol", *entries), aria_label="Contents")


def _section(one: Section) -> Element:
    heading = element("h2", one.title, id=f"{one.key}-title")
    sheet = "sheet" if one.sheet else None
    return element("section", heading, *one.content, id=one.key, class_=sheet, aria_labelledby=f"{one.key}-title")


def _style(title: str) -> str:
    """The style sheet, with the title at the foot of every printed page."""
    running = title if len(title) <= RUNNING_LETTERS else title[: RUNNING_LETTERS - 1] + "\u2026"
    return _asset("style.css") + "@page { @bottom-left { content: " + css_text(running) + "; } }\n"


def css_text(text: str) -> str:
    """A text as a string of a style sheet: everything but letters and figures of ASCII is escaped by its number."""
    return '"' + "".join(sign if sign.isascii() and sign.isalnum() else f"\\{ord(sign):x} " for sign in visible(text)) + '"'


def _pin(text: str) -> str:
    return "'sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode() + "'"


@cache
def _asset(name: str) -> str:
    return files(__package__).joinpath(name).read_text(encoding="utf-8")
