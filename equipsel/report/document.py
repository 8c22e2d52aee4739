"""The whole report, part after part."""

from equipsel.kit import Kit
from equipsel.lengths import Lengths
from equipsel.report.diagram import Branches, diagrams
from equipsel.report.html import Content, element
from equipsel.report.page import Section, page
from equipsel.report.parts import charts, schedules
from equipsel.report.parts.assumptions import assumptions
from equipsel.report.parts.client import client
from equipsel.report.parts.findings import cautions, findings
from equipsel.report.parts.labels import labels
from equipsel.report.parts.places import places
from equipsel.report.parts.sign_off import sign_off
from equipsel.report.parts.summary import summary
from equipsel.report.parts.why import why
from equipsel.report.view import View
from equipsel.site import Site

UNTITLED = "Power over Ethernet kit"


def report_html(kit: Kit, site: Site, lengths: Lengths = Lengths.METRIC) -> bytes:
    """The report of a kit as one page in UTF-8, the same bytes for the same kit however long the search took.

    The kit is one that passed its re-check: its names are known. Lengths are shown in metres or feet, money in the
    scenario's currency.
    """
    view = View(kit, site, lengths)
    return page(site.scenario.title or UNTITLED, _sections(view))


def _sections(view: View) -> list[Section]:
    branches = Branches(view)
    return [
        Section("client", "For the client", client(view)),
        Section("summary", "Summary", summary(view), sheet=True),
        Section("bill", "Bill of materials", schedules.bill(view), sheet=True),
        Section("diagrams", "One-line diagrams", tuple(diagrams(view, branches)), sheet=True),
        Section("ports", "Port schedule", schedules.ports(view, branches), sheet=True),
        Section("cables", "Cable schedule", (*schedules.cables(view, branches), charts.volts(view)), sheet=True),
        Section("budget", "Power budget", (*charts.loads(view), schedules.budget(view)), sheet=True),
        Section("places", "Heat, mains and backup", places(view)),
        Section("findings", "Findings", findings(view), sheet=True),
        Section("cautions", "Cautions", cautions()),
        Section("assumptions", "Assumptions", assumptions(view), sheet=True),
        Section("labels", "Labels", labels(view), sheet=True),
        Section("sign-off", "Sign-off", sign_off(view), sheet=True),
        *([Section("why", "Why this kit", why(view), sheet=True)] if view.kit.why else []),
        Section("origin", "Where this comes from", _told(view)),
    ]


def _told(view: View) -> tuple[Content, ...]:
    pairs = (
        ("Made by", f"equipsel {view.kit.tool_version or '(version not told)'}"),
        ("Inputs, SHA-256", view.kit.inputs_sha256 or "not told"),
    )
    return (element("dl", *(element(tag, words) for pair in pairs for tag, words in zip(("dt", "dd"), pair, strict=True)), class_="facts"),)
