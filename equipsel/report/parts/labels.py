"""Labels to cut out: one for each port in use, two for each cable."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from equipsel.report.html import Content, element, paragraph
from equipsel.report.table import metres
from equipsel.report.view import Entry, View, port_key, port_words


def labels(view: View) -> tuple[Content, ...]:
    """Labels of ports, then of both ends of each cable."""
    return (
        paragraph("Print, cut along the lines, and stick on. Two of each cable label: one for each end.", class_="soft"),
        element("h3", "Ports"),
        element("ul", *_ports(view), class_="labels"),
        element("h3", "Cables"),
        element("ul", *_cables(view), class_="labels"),
    )


def _ports(view: View) -> Iterator[Element]:
    for entry in view.ports:
        if entry["use"] != "free":
            own = f"label {entry['label']}" if entry.get("label") else None
            yield _label(port_words(port_key(entry)), f"to {entry['connected_to']}", own)


def _cables(view: View) -> Iterator[Element]:
    for entry in view.cables:
        yield from (_cable(entry, view) for _ in range(2))


def _cable(entry: Entry, view: View) -> Element:
    length = "" if entry["run_m"] is None else f", {metres(float(entry['run_m']), view.lengths)}"
    own = f"label {entry['label']}" if entry.get("label") else None
    return _label(f"Run {entry['run']}: {entry['to']}", f"from {port_words(port_key(entry))}{length}", own)


def _label(name: str, words: str, own: str | None) -> Element:
    return element("li", element("b", name), element("span", words), element("span", own) if own else None)
