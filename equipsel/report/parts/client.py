"""The page for the client: what the kit powers, what room is left, what nobody has checked."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from equipsel.console import amount, how_good
from equipsel.kit import Severity
from equipsel.report.html import Content, bullets, element, link, paragraph
from equipsel.report.table import Row, decimals, figure, table
from equipsel.report.view import View, number_of, total
from equipsel.scenario import Device

NOT_CHECKED = (
    "Whether the lengths, watts and classes in the tables are right, and whether cable said to be there is there and sound.",
    "Whether the devices do what you want of them: what a camera sees, how far a radio reaches, how loud a speaker is.",
    "The wiring of the mains, earthing, lightning protection, fire stopping, and whatever else the local code asks for.",
    "How the data network is set up and kept safe, and what leads from the site to the outside.",
    "Whether prices hold, whether what is listed can be had, taxes, and the work of people unless the tables price it.",
)
"""What no kit tells, however well it is reckoned."""


MOST_KINDS, MOST_PLACES = 12, 8
"""So many rows of kinds and of places leave this a page of its own; with more places the power budget tells."""


@dataclass
class _Kind:
    """Devices of one kind."""

    rows: list[Device] = field(default_factory=list)
    count: int = 0


def client(view: View) -> tuple[Content, ...]:
    """What an owner wants to know, on one page and without a term of the trade."""
    return (
        paragraph(_powers(view), class_="big"),
        paragraph(f"It costs {view.kit.currency} {amount(view.kit.cost)}. {how_good(view.kit)}"),
        paragraph(*_attention(view)),
        _kinds(view),
        element("h3", "What room is left"),
        *_room(view),
        element("h3", "What was not checked"),
        bullets(NOT_CHECKED),
    )


def _powers(view: View) -> str:
    powered = sum(run.class_ is not None for run in view.kit.connections)
    others = len(view.kit.connections) - powered
    places = len(view.places)
    where = "one place" if places == 1 else f"{places} places"
    data = f" and connects {others} more that have power of their own" if others else ""
    what, whose = ("device", "its") if powered == 1 else ("devices", "their")
    return f"This kit powers {powered} {what} over {whose} network cable{data}, from {where}."


def _attention(view: View) -> Iterator[Content]:
    warnings = sum(finding.severity is not Severity.NOTE for finding in view.kit.findings)
    if warnings:
        yield f"{warnings} thing{'' if warnings == 1 else 's'} should be looked at before it is ordered: see "
        yield link("findings", "findings")
        yield "."
    else:
        yield "The re-check found nothing that needs a second look."


def _kinds(view: View) -> Content:
    kinds: dict[str, _Kind] = {}
    for device in view.site.scenario.devices:
        kind = kinds.setdefault(device.kind or device.device, _Kind())
        kind.rows.append(device)
        kind.count += device.count
    listed = sorted(kinds.items(), key=lambda item: -item[1].count)
    others = listed[MOST_KINDS:]
    rows = [Row((name, figure(kind.count), _watts(kind), _names(kind))) for name, kind in listed[:MOST_KINDS]]
    if others:
        rows.append(Row((f"{len(others)} other kinds", figure(sum(kind.count for _, kind in others)), "", "see the port schedule")))
    return table("What it powers and connects", ("What", "How many", "Watts each, at most", "Called"), rows)


def _watts(kind: _Kind) -> str:
    low, high = (decimals(float(of(row.pd_w for row in kind.rows))) for of in (min, max))
    return "data only" if high == "0" else low if low == high else f"{low} to {high}"


def _names(kind: _Kind) -> str:
    names = [row.device if row.count == 1 else f"{row.device} ({row.count})" for row in kind.rows]
    shown = ", ".join(names[:6])
    return shown if len(names) <= 6 else f"{shown} and {len(names) - 6} more"


def _room(view: View) -> Iterator[Content]:
    ports = total(number_of(entry, "powered_ports_free") for entry in view.budgets)
    data = total(number_of(entry, "data_ports_free") for entry in view.budgets)
    watts = total(number_of(entry, "free_w") for entry in view.budgets)
    yield paragraph(
        f"Free over the whole site: {ports} port{'' if ports == 1 else 's'} that can power a device, {data} for data only, "
        f"and {decimals(watts)} W."
    )
    kept = _kept(view)
    if kept:
        yield paragraph(kept)
    heads = ("Place", "Ports that power", "Ports for data only", "Watts")
    if len(view.places) <= MOST_PLACES:
        yield table("Free in each place", heads, (_room_row(place, view) for place in view.places))
    minutes = view.site.rules.backup_minutes
    if minutes and any(device.backup for device in view.site.scenario.devices):
        yield paragraph(f"What must go on without mains is held on battery for {decimals(minutes)} minutes.")


def _kept(view: View) -> str:
    rules = view.site.rules
    parts = [f"{decimals(rules.spare_watts_pct)} % of the watts"] if rules.spare_watts_pct else []
    parts += [f"{decimals(rules.spare_ports_pct)} % of the ports"] if rules.spare_ports_pct else []
    return f"Of that, {' and '.join(parts)} are kept free by your own rules; use them last." if parts else ""


def _room_row(place: str, view: View) -> Row:
    columns = ("powered_ports_free", "data_ports_free", "free_w")
    return Row((place, *(figure(total(number_of(entry, column) for entry in view.budgets_at(place))) for column in columns)))
