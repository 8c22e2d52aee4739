"""An invented site and a made-up kit for it (not a solved one): every kind of connection, and texts that look like formulas."""

from decimal import Decimal

from equipsel.catalog import Cable, Catalog, Extender, Extra, Injector, PortGroup, Supply, Switch
from equipsel.kit import Connection, ExtenderAt, FedBy, Finding, InjectorPort, Kit, Line, Severity, Status, Unit
from equipsel.scenario import Device, Place, Rules, Run, Scenario
from equipsel.site import Site

SITE = Site(
    Scenario(
        title="Invented kiosk",
        rules=Rules(run_slack_pct=Decimal(10)),
        places=(Place(place="hall", open_cost=Decimal(50)), Place(place="-1 floor")),
        devices=(
            Device(device="cam", count=3, watts=Decimal(12), place="hall", run_m=Decimal(30), carried=(("label", "=C"), ("note", ""))),
            Device(device="light", class_=8, place="hall", run_m=Decimal(250), existing_cable=True),
            Device(device="clock", watts=Decimal(0), place="-1 floor", run_m=Decimal(5)),
        ),
        runs=(
            Run(from_="cam", to="-1 floor", run_m=Decimal(60), existing=1, carried=(("label", "shaft"),)),
            Run(from_="-1 floor", to="hall", run_m=Decimal(20)),
        ),
    ),
    Catalog(
        switches=(
            Switch(model="core", price=Decimal(200), feed="supply", supply_fit="rail", carried=(("part_no", "@007"),)),
            Switch(model="mast", price=Decimal(90), feed="port", in_class=6),
        ),
        ports=(
            PortGroup(model="core", group="strong", count=2, port_w=Decimal(90)),
            PortGroup(model="core", group="data", count=1, port_w=Decimal(0)),
            PortGroup(model="mast", group="out", count=3, port_w=Decimal("15.4")),
        ),
        supplies=(Supply(model="rail240", price=Decimal(60), fit="rail", watts=Decimal(240)),),
        injectors=(Injector(model="inj90", price=Decimal(65), ports=1, port_w=Decimal(90)),),
        extenders=(Extender(model="ext", price=Decimal(80), own_w=Decimal(3), in_class=8, port_w=Decimal(90)),),
        cables=(Cable(model="cat6", price_per_m=Decimal("0.8"), awg=23),),
        extras=(Extra(item="cord", price=Decimal(2), per="port", carried=(("supplier", "A"),)),),
    ),
)


def _camera(number: int, port: int, run_m: float) -> Connection:
    return Connection(
        device=f"cam.{number}", place="-1 floor", unit="-1 floor-1", group="out", port=port, run_m=run_m, cable="cat6", class_=3,
        port_w=15.4, reserved_w=15.4, pse_w=12.5, pd_w=12, pd_volts=43.1, amps=0.28, loss_w=0.5,
    )  # fmt: skip


KIT = Kit(
    status=Status.FEASIBLE,
    currency="EUR",
    cost=1234.5,
    lower_bound=1200,
    gap=0.0279,
    seconds=61.04,
    lines=(
        Line(model="core", kind="switch", place="hall", count=1, unit_cost=200.0, cost=200.0),
        Line(model="mast", kind="switch", place="-1 floor", count=1, unit_cost=90, cost=90),
        Line(model="cat6", kind="cable", count=154.5, unit_cost=0.8, cost=123.6),
        Line(model="cord", kind="extra", count=6, unit_cost=2, cost=12),
        Line(model="opening", kind="place", place="hall", count=1, unit_cost=50, cost=50),
    ),
    units=(
        Unit(unit="hall-1", model="core", place="hall", supplies=("rail240", "rail240"), budget_w=470, reserved_w=120.0, draw_w=70,
             heat_w=10, mains_w=133.3, traffic_mbps=12),
        Unit(unit="hall-2", model="inj90", place="hall", owned=True, budget_w=90, reserved_w=90, draw_w=80, heat_w=5, mains_w=100),
        Unit(unit="-1 floor-1", model="mast", place="-1 floor", budget_w=46.2, reserved_w=46.2,
             fed_by=FedBy(unit="hall-1", group="strong", port=2, run_m=22, cable="cat6", class_=6)),
    ),
    connections=(
        _camera(1, 1, 66),
        _camera(2, 2, 66),
        Connection(device="cam.3", place="hall", unit="hall-1", group="strong", port=1, run_m=33.0, cable="cat6", class_=3, amps=0.3),
        Connection(device="light", place="hall", unit="hall-1", group="data", port=1, injector=InjectorPort(unit="hall-2", port=1),
                   extenders=(ExtenderAt(model="ext", at_m=100.0), ExtenderAt(model="ext", at_m=200)), run_m=275, cable="cat6", class_=8),
        Connection(device="clock", place="-1 floor", unit="-1 floor-1", group="out", port=3, run_m=5.5, cable="cat6", pse_w=0, amps=0),
    ),
    findings=(
        Finding(rule="conductor", severity=Severity.WARNING, where="device light", message="A conductor carries 0.35 A."),
        Finding(rule="assumed", severity=Severity.NOTE, where="", message="All is invented."),
    ),
)  # fmt: skip
