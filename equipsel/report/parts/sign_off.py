"""The block an inspector signs: current in each conductor with its bundle, the load of each circuit, blank lines."""

from collections.abc import Iterator
from xml.etree.ElementTree import Element

from equipsel.audit.check_lines import bundle_rows
from equipsel.audit.lines import Solved
from equipsel.heat import circuit_watts
from equipsel.report.html import Content, element, paragraph
from equipsel.report.table import Cell, Row, figure, table
from equipsel.report.view import View, number_of, total
from equipsel.scenario import Place

BLANKS = ("Checked by", "Company and licence", "Date", "Signature", "Remarks")


def sign_off(view: View) -> tuple[Content, ...]:
    """What an inspector compares with the local code, and where to sign."""
    words = (
        "Amps are those in one conductor at the head of the run at full load, shared evenly over the pairs that carry the power. "
        "Bundle limits are those that the catalog gives from the local code; none given means none was checked."
    )
    return (paragraph(words, class_="soft"), _conductors(view), _circuits(view), element("h3", "Signed"), _blanks())


def _conductors(view: View) -> Element:
    heads = ("Runs to", "Count", "Cable", "AWG", "Class", "Pairs", "A per conductor", "Cables in bundle", "Limit A", "Limit up to")
    return table("Current in each conductor", heads, _conductor_rows(view), class_="sort fine")


def _conductor_rows(view: View) -> Iterator[Row]:
    alike: dict[tuple[object, ...], list[Solved]] = {}
    for link, power in view.facts.powered():
        solved, route = power.solved, link.route
        if route and solved.line and solved.line.head_amps:
            name = link.device.device if link.device else link.where
            alike.setdefault((name, link.place, route.cable.model, solved.number, solved.pairs, route.bundle), []).append(solved)
    for solved_ in alike.values():
        yield _conductor_row(max(solved_, key=lambda one: one.amps_per_conductor), len(solved_), view)


def _conductor_row(solved: Solved, count: int, view: View) -> Row:
    link, route = solved.link, solved.link.route
    assert route is not None, "only lines with a run come here"
    limit = next((row for row in bundle_rows(view.site.catalog, route.cable) if row.cables_up_to >= route.bundle), None)
    cells: tuple[Cell, ...] = (
        link.device.device if link.device else link.where,
        figure(count),
        route.cable.model,
        figure(route.cable.awg),
        figure(solved.number),
        figure(solved.pairs),
        figure(solved.amps_per_conductor, 4),
        figure(route.bundle),
        figure(float(limit.amps_per_conductor), 4) if limit else "none given",
        f"{limit.cables_up_to} cables" if limit else "",
    )
    return Row(cells)


def _circuits(view: View) -> Element:
    heads = ("Place", "Circuit A", "Circuit V", "Continuous load %", "Allowed W", "Mains W", "Mains A")
    return table("Load of each mains circuit", heads, (_circuit(name, view) for name in view.places), class_="fine")


def _circuit(name: str, view: View) -> Row:
    place = view.site.scenario.place.get(name) or Place(place=name)
    mains = total(number_of(entry, "mains_w") for entry in view.budgets_at(name))
    share = view.site.rules.circuit_load_pct
    if place.circuit_a is None or place.circuit_v is None:
        return Row((name, "not given", "not given", figure(float(share)), "not given", figure(mains), ""))
    allowed = float(circuit_watts(place.circuit_a, place.circuit_v, share))
    amps = mains / float(place.circuit_v)
    rating = (figure(float(place.circuit_a)), figure(float(place.circuit_v)))
    return Row((name, *rating, figure(float(share)), figure(allowed), figure(mains), figure(round(amps, 3), 2)))


def _blanks() -> Element:
    return element("dl", *(element(tag, words) for name in BLANKS for tag, words in (("dt", name), ("dd", ""))), class_="blanks")
