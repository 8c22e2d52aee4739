"""The schedules as tables of the page: bill of materials, ports, cables, power budget; figures as in kit.json."""

from collections.abc import Mapping
from xml.etree.ElementTree import Element

from equipsel.files.schedules.plugs import PortKey
from equipsel.kit import Connection, FedBy
from equipsel.report.diagram import Branches
from equipsel.report.html import Content, link, paragraph
from equipsel.report.table import Cell, Row, decimals, figure, length, metres, money, table
from equipsel.report.view import Entry, View, carried_words, number_of, port_key, port_words

ORDERING = ("part_no", "supplier")
"""What the bill of materials tells already."""

Run = Connection | FedBy | None


def bill(view: View) -> tuple[Content, ...]:
    """The bill of materials, with the total that its lines add up to."""
    heads = ("Kind", "Model", "Place", "Count", "Unit", f"Each {view.kit.currency}", f"Cost {view.kit.currency}", "Part number and notes")
    rows = (_bill_row(entry, view) for entry in view.bill)
    foot = ("total", None, None, None, None, None, money(view.kit.cost), None)
    return (table("Bill of materials", heads, rows, foot=foot, class_="sort quiet"),)


def _bill_row(entry: Entry, view: View) -> Row:
    count = number_of(entry, "count")
    cells: tuple[Cell, ...] = (
        str(entry["kind"]),
        str(entry["model"]),
        str(entry["place"] or ""),
        figure(count, 3),
        _sold(entry, view),
        money(number_of(entry, "unit_cost")),
        money(number_of(entry, "cost")),
        carried_words(entry),
    )
    return Row(cells)


def _sold(entry: Entry, view: View) -> str:
    """What a line counts: pieces, boxes of cable, metres (in feet beside them where lengths are shown so), kWh."""
    if entry["kind"] == "energy":
        return "kWh"
    if entry["kind"] != "cable":
        return ""
    cable = view.site.catalog.cable_models.get(str(entry["model"]))
    if cable and cable.sold_m:
        return f"box of {metres(cable.sold_m, view.lengths)}"
    pulled = number_of(entry, "count") or 0
    return "m" if view.lengths.unit == "m" else f"m ({metres(pulled, view.lengths)})"


def ports(view: View, branches: Branches) -> tuple[Content, ...]:
    """Every port of every unit, free ones too."""
    heads = ("Port", "Gives W", "Connected to", "Class", "Reserved W", "PSE W", "Device W", "Device V", f"Run {view.lengths.unit}",
             "Cable and extenders", "Label and notes")  # fmt: skip
    rows = (_port_row(entry, view, branches) for entry in view.ports)
    words = "PSE W is what the port gives, Device W and V what arrives at the far end, all at full load."
    return (paragraph(words, class_="soft"), table("Port schedule", heads, rows, class_="sort fine quiet"))


def _port_row(entry: Entry, view: View, branches: Branches) -> Row:
    key = port_key(entry)
    plug = view.plugs.get(key)
    cells: tuple[Cell, ...] = (
        link(view.unit_keys[key[0]], port_words(key)),
        figure(number_of(entry, "port_w")),
        link(branches.keys[key], _connected(entry)) if plug else "free",
        figure(number_of(entry, "class")),
        *(figure(number_of(entry, name)) for name in ("reserved_w", "pse_w", "pd_w", "pd_volts")),
        length(number_of(entry, "run_m"), view.lengths),
        _cable(entry, plug.run if plug else None, view),
        carried_words(entry),
    )
    return Row(cells, view.port_keys[key])


def _connected(entry: Entry) -> str:
    return f"data of {entry['connected_to']}" if entry["use"] == "injector data" else str(entry["connected_to"])


def _cable(entry: Entry, run: Run, view: View) -> str:
    """The cable of a run, and the extenders along it."""
    extenders = run.extenders if run else ()
    words = (item.model if item.at_m is None else f"{item.model} at {metres(item.at_m, view.lengths)}" for item in extenders)
    return "; ".join((str(entry["cable"] or ""), *words))


def cables(view: View, branches: Branches) -> tuple[Content, ...]:
    """Every run, with what a meter should read at its far end."""
    heads = ("Device", "Run", "From port", "Cable and extenders", view.lengths.unit, "Cable is", "Class", "PSE W", "V", "W", "A",
             "A at port", "Loss W", "Label and notes")  # fmt: skip
    rows = (_cable_row(entry, view, branches.keys) for entry in view.cables)
    words = (
        "V, W and A are at the device (or at the fed switch) at full load: what a meter should read there. "
        "A at port is at the head of the run."
    )
    return (paragraph(words, class_="soft"), table("Cable schedule", heads, rows, class_="sort fine quiet"))


def _cable_row(entry: Entry, view: View, drawn: Mapping[PortKey, str]) -> Row:
    key = port_key(entry)
    cells: tuple[Cell, ...] = (
        link(drawn[key], str(entry["to"])),
        figure(number_of(entry, "run")),
        link(view.port_keys[key], port_words(key)),
        _cable(entry, view.plugs[key].run, view),
        length(number_of(entry, "run_m"), view.lengths),
        "there" if entry["existing"] == "yes" else "new",
        figure(number_of(entry, "class")),
        *(figure(number_of(entry, name)) for name in ("pse_w", "pd_volts", "pd_w")),
        *(figure(number_of(entry, name), 3) for name in ("pd_amps", "amps")),
        figure(number_of(entry, "loss_w"), 2),
        carried_words(entry),
    )
    return Row(cells, view.run_keys[key])


def budget(view: View) -> Element:
    """What each unit hands out of what it has, and what is free."""
    heads = ("Unit", "Model", "Supplies or feed", "Budget W", "Reserved W", "Free W", "Drawn W", "Ports that power", "Data ports free",
             "Traffic Mb/s", "Uplink Mb/s", "Notes")  # fmt: skip
    return table("Power budget", heads, (_budget_row(entry, view) for entry in view.budgets), class_="sort fine quiet")


def _budget_row(entry: Entry, view: View) -> Row:
    unit = str(entry["unit"])
    owned = "already there" if entry["owned"] == "yes" else ""
    watts, data = ("budget_w", "reserved_w", "free_w", "draw_w"), ("data_ports_free", "traffic_mbps", "uplink_mbps")
    notes = "; ".join(part for part in (owned, carried_words({key: entry[key] for key in entry if key not in ORDERING})) if part)
    cells: tuple[Cell, ...] = (
        unit,
        str(entry["model"]),
        _source(entry),
        *(figure(number_of(entry, name)) for name in watts),
        f"{entry['powered_ports_free']} of {entry['powered_ports']} free",
        *(figure(number_of(entry, name)) for name in data),
        notes,
    )
    return Row(cells, view.unit_keys[unit])


def _source(entry: Entry) -> str:
    if entry["fed_by"]:
        return f"fed by {entry['fed_by']}"
    return str(entry["supplies"] or "built in")


def load_words(entry: Entry) -> str:
    """What a unit has reserved of its budget, in words."""
    budget_w, reserved = number_of(entry, "budget_w"), number_of(entry, "reserved_w")
    if budget_w is None or reserved is None:
        return "not known"
    share = number_of(entry, "reserved_pct")
    return f"{decimals(reserved)} of {decimals(budget_w)} W" + ("" if share is None else f", {decimals(share)} %")
