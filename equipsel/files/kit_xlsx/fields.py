"""How the columns of a schedule are headed and shown in a workbook, and which column a heading stands for."""

from collections.abc import Iterable

from equipsel.workbook import Field, Form

NUMBERS = {Form.WHOLE, Form.ONE, Form.TWO, Form.THREE, Form.MONEY, Form.PRICE, Form.PLAIN}
CURRENCY = "currency"
"""Stands for the kit's currency as the unit of a field."""

FIELDS = {
    "kind": Field("Kind"),
    "model": Field("Model"),
    "place": Field("Place"),
    "count": Field("Count", form=Form.PLAIN),
    "measure": Field("Counted in"),
    "unit_cost": Field("Each", CURRENCY, Form.PRICE),
    "cost": Field("Cost", CURRENCY, Form.MONEY, total=True),
    "order": Field("To order", form=Form.WHOLE),
    "unit": Field("Unit"),
    "group": Field("Port group"),
    "port": Field("Port", form=Form.WHOLE),
    "port_w": Field("Port gives at most", "W", Form.ONE),
    "use": Field("Use"),
    "connected_to": Field("Leads to"),
    "to": Field("To"),
    "run": Field("Run", form=Form.WHOLE),
    "run_m": Field("Length", "m", Form.ONE),
    "cable": Field("Cable"),
    "existing": Field("Cable is there"),
    "extenders": Field("Extenders"),
    "class": Field("Class", form=Form.WHOLE),
    "reserved_w": Field("Reserved", "W", Form.ONE, total=True),
    "pse_w": Field("At the port", "W", Form.ONE),
    "pd_w": Field("At the device", "W", Form.ONE),
    "pd_volts": Field("At the device", "V", Form.TWO),
    "pd_amps": Field("At the device", "A", Form.THREE),
    "amps": Field("At the port", "A", Form.THREE),
    "loss_w": Field("Lost on the way", "W", Form.TWO),
    "owned": Field("Owned"),
    "supplies": Field("Supplies"),
    "fed_by": Field("Fed by"),
    "budget_w": Field("Budget", "W", Form.ONE, total=True),
    "free_w": Field("Free", "W", Form.ONE, total=True),
    "reserved_pct": Field("Load", "%", Form.ONE),
    "draw_w": Field("Calculated draw", "W", Form.ONE, total=True),
    "powered_ports": Field("Powered ports", form=Form.WHOLE, total=True),
    "powered_ports_free": Field("Powered ports free", form=Form.WHOLE, total=True),
    "data_ports_free": Field("Data ports free", form=Form.WHOLE, total=True),
    "heat_w": Field("Heat", "W", Form.ONE, total=True),
    "heat_btu_h": Field("Heat", "BTU/h", Form.WHOLE, total=True),
    "mains_w": Field("Mains draw", "W", Form.ONE, total=True),
    "outlets": Field("Outlets", form=Form.WHOLE, total=True),
    "outlet": Field("Outlet of its place"),
    "circuit": Field("Circuit"),
    "traffic_mbps": Field("Traffic", "Mb/s", Form.ONE),
    "uplink_mbps": Field("Uplink", "Mb/s", Form.WHOLE),
    "uplink_to": Field("Uplink lands on"),
}
"""By the name of the column in the CSV files."""


def heading(column: str, currency: str = "") -> str:
    """What a column is headed; a column carried from the user's tables by its own name."""
    return field(column, currency).heading


def field(column: str, currency: str) -> Field:
    """The field of a column, a carried one included."""
    known = FIELDS.get(column, Field(column))
    if known.unit != CURRENCY:
        return known
    return Field(known.title, currency, known.form, total=known.total)


def fields(columns: Iterable[str], currency: str) -> tuple[Field, ...]:
    """The fields of these columns."""
    return tuple(field(column, currency) for column in columns)


def column_of(written: str) -> str:
    """The column that a heading stands for, whatever the currency in it; empty for one of the user's own."""
    return BY_HEADING.get(written.strip()) or BY_HEADING.get(written.partition(",")[0].strip(), "")


BY_HEADING = {FIELDS[name].title if FIELDS[name].unit == CURRENCY else FIELDS[name].heading: name for name in FIELDS}
