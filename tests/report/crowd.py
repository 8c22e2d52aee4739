"""A made-up kit of many devices (not a solved one), in the shape of a campus: places of four switches of 24 ports."""

from decimal import Decimal

from equipsel.audit import audit
from equipsel.catalog import Cable, Catalog, PortGroup, Switch
from equipsel.kit import Connection, Kit, Line, Severity, Status, Unit
from equipsel.scenario import Device, Place, Rules, Scenario
from equipsel.site import Site

KINDS = (("camera", 3, "12.95", "15.4"), ("access-point", 4, "21.5", "30"), ("phone", 2, "5.5", "7"), ("lamp", 6, "44", "60"))
PORTS = 24
UNITS_A_PLACE = 4
SUPPLIED_W = 1200


def crowd(count: int) -> tuple[Kit, Site]:
    """So many devices, each a row of its own with its own length, and a kit that holds them."""
    rows = tuple(_device(number) for number in range(count))
    places = tuple(dict.fromkeys(row.place for row in rows))
    scenario = Scenario(
        title=f"Invented campus of {count} devices",
        rules=Rules(spare_watts_pct=Decimal(5)),
        places=tuple(Place(place=name, circuit_a=Decimal(32), circuit_v=Decimal(230), rack_u=Decimal(42)) for name in places),
        devices=rows,
    )
    catalog = Catalog(
        switches=(
            Switch(model="core-24", price=Decimal(900), budget_w=Decimal(SUPPLIED_W), uplink_mbps=Decimal(10_000), rack_u=Decimal(1)),
        ),
        ports=(
            PortGroup(model="core-24", group="power", count=PORTS, port_w=Decimal(90)),
            PortGroup(model="core-24", group="data", count=2, port_w=Decimal(0)),
        ),
        cables=(Cable(model="cat6a", price_per_m=Decimal("0.9"), awg=23),),
    )
    kit = _kit(rows, places)
    remarks = tuple(one for one in audit(kit, scenario, catalog) if one.severity is not Severity.ERROR)
    return kit.model_copy(update={"findings": remarks}), Site(scenario, catalog)


def _device(number: int) -> Device:
    kind, class_, watts, _ = KINDS[number * 7 % 11 % len(KINDS)]
    run_m = Decimal(12 + number * 37 % 78)
    return Device(
        device=f"{kind}-{number:04}",
        kind=kind,
        class_=class_,
        watts=Decimal(watts),
        place=_place(number),
        run_m=run_m,
        carried=(("label", f"L{number}"),),
    )


def _place(number: int) -> str:
    return f"building {number // (PORTS * UNITS_A_PLACE) + 1}"


def _kit(rows: tuple[Device, ...], places: tuple[str, ...]) -> Kit:
    connections = tuple(_connection(number, row) for number, row in enumerate(rows))
    units = tuple(_unit(name, [one for one in connections if one.unit == name]) for name in dict.fromkeys(one.unit for one in connections))
    lines = tuple(_line(place, sum(unit.place == place for unit in units)) for place in places)
    return Kit(
        status=Status.FEASIBLE,
        currency="EUR",
        cost=sum(line.cost for line in lines),
        lower_bound=900,
        lines=lines,
        units=units,
        connections=connections,
    )


def _line(place: str, count: int) -> Line:
    return Line(model="core-24", kind="switch", place=place, count=count, unit_cost=900, cost=900 * count)


def _connection(number: int, row: Device) -> Connection:
    pse_w = float(next(port_w for kind, _, _, port_w in KINDS if kind == row.kind))
    name = f"{row.place}-{number // PORTS % UNITS_A_PLACE + 1}"
    return Connection(
        device=row.device, place=row.place, unit=name, group="power", port=number % PORTS + 1, run_m=float(row.run_m), cable="cat6a",
        class_=row.class_, port_w=90, reserved_w=pse_w, pse_w=pse_w, pd_w=float(row.pd_w), pd_volts=50.5, amps=0.25, loss_w=0.5,
    )  # fmt: skip


def _unit(name: str, held: list[Connection]) -> Unit:
    reserved = sum(one.reserved_w or 0 for one in held)
    return Unit(
        unit=name,
        model="core-24",
        place=held[0].place,
        budget_w=SUPPLIED_W,
        reserved_w=reserved,
        draw_w=reserved,
        heat_w=55,
        mains_w=reserved + 55,
        traffic_mbps=0,
    )
