"""What must be powered, where, and under which rules: the scenario's tables as frozen models."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Le
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from equipsel.columns import (
    Amount,
    ClassNumber,
    Count,
    CountOfOne,
    IpCode,
    Name,
    Percent,
    PercentBelow,
    PortVolts,
    Positive,
    Row,
    Share,
    Temperature,
    YesNo,
    column,
    parse_lower,
    parse_number,
)
from equipsel.standard import CLASSES, class_for_watts

Basis = Annotated[Literal["class", "stated", "granted"], BeforeValidator(parse_lower)]
Priority = Annotated[Literal["critical", "high", "low"], BeforeValidator(parse_lower)]
Cascade = Annotated[int, BeforeValidator(parse_number), Ge(0), Le(4)]
Extenders = Annotated[int, BeforeValidator(parse_number), Ge(0), Le(6)]
ConductorC = Annotated[Decimal, BeforeValidator(parse_number), Ge(-40), Le(90)]


class Rules(Row):
    """The rules a kit must follow."""

    table: ClassVar[str] = "rules"

    budget_basis: Basis = column(
        "what a port reserves: class = the class's PSE watts, or the calculated draw if that is greater; stated = the calculated draw "
        "at the PSE; granted = the class identity at the standard's channel resistance, rounded up to 0.1 W, never below the draw",
        "class",
    )
    spare_watts_pct: PercentBelow = column("of every unit's budget, kept free (units with one powered port are exempt)", Decimal(0), "%")
    spare_ports_pct: PercentBelow = column("of the powered ports in each place, kept free", Decimal(0), "%")
    redundant_supplies: YesNo = column("N+1 supplies for feed = supply: two or more, the largest not counted", False)
    uplink_share_pct: Percent = column("of each unit's uplink that traffic may use", Decimal(70), "%")
    max_extenders: Extenders = column("in one run", 3)
    max_cascade: Cascade = column("switches fed through switches, in a row", 1)
    cable_c: ConductorC = column("conductor temperature", Decimal(45), "C")
    run_slack_pct: Percent = column("lengthens every run, for span, resistance and cost", Decimal(0), "%")
    run_extra_m: Amount = column("added to every run", Decimal(0), "m")
    derate_reach: YesNo = column("heat-reduced reach is an error, not a warning", False)
    allow_cca: YesNo = column("copper-clad aluminium is allowed", False)
    circuit_load_pct: Percent = column("continuous load on a mains circuit", Decimal(80), "%")
    backup_minutes: Amount = column("held by every place with a device of backup = yes", Decimal(0), "min")
    energy_price_kwh: Amount = column("price of a kWh", Decimal(0), "currency")
    years: Amount = column("years of energy in the cost", Decimal(0), "years")
    piece_cost: Amount = column("added for every switch, injector and extender bought", Decimal(0), "currency")
    max_critical_share_pct: Percent = column("of a place's critical devices on any one unit (one is always allowed)", Decimal(100), "%")
    discount_pct: PercentBelow = column("taken off the price of what is bought a stage of growth later", Decimal(0), "%")
    max_models: CountOfOne | None = column("different switch, injector and extender models in the kit; empty = any", None)
    span_m: Positive = column("longest data span from a switch or injector", Decimal(100), "m")
    mip_gap: Share = column("relative gap at which the search may stop", Decimal(0))
    time_limit_s: Positive = column("seconds after which the search may stop", Decimal(60), "s")

    def run_m(self, run_m: Decimal) -> Decimal:
        """A run with its slack and extra, m."""
        return run_m * (100 + self.run_slack_pct) / 100 + self.run_extra_m


class Place(Row):
    """Where switches and injectors may stand."""

    table: ClassVar[str] = "places"

    place: Name = column("name of the place")
    mains: YesNo = column("mains power is there", True)
    ip: IpCode | None = column("ingress protection equipment needs; empty = any", None)
    low_c: Temperature | None = column("lowest ambient; empty = no limit", None, "C")
    high_c: Temperature | None = column("highest ambient; empty = no limit", None, "C")
    rack_u: Amount | None = column("rack space; empty = no limit", None, "U")
    outlets: Count | None = column("mains outlets: each mains unit or supply takes one; empty = no limit", None)
    circuit_a: Positive | None = column("rating of its mains circuit (a limit only with circuit_v)", None, "A")
    circuit_v: Positive | None = column("voltage of its mains circuit (a limit only with circuit_a)", None, "V")
    open_cost: Amount = column("paid once if a switch or injector stands here, owned ones too", Decimal(0), "currency")


class DeviceColumns(Row):
    """What a device row says; shared by `devices` and `growth`."""

    kind: str = column("kind of device, for extras", "")
    watts: Amount | None = column("the most it draws at its own input, peaks included; 0 = data only", None, "W")
    class_: ClassNumber | None = column("power class", None)
    run_m: Amount | None = column("from port to device, cords included", None, "m")
    cable: str | None = column("cable of its run; empty = the catalog's first, else 24 AWG copper at no price", None)
    mbps: Amount = column("traffic it sends", Decimal(0), "Mb/s")
    port_mbps: Positive = column("link speed it needs", Decimal(100), "Mb/s")
    existing_cable: YesNo = column("its cable is there already (covers all of count)", False)
    min_volts: PortVolts | None = column("lowest voltage at its input; empty = the class's", None, "V")
    path_ip: IpCode | None = column("what extenders on its run must bear; empty = the place's", None)
    path_low_c: Temperature | None = column("lowest ambient along its run; empty = the place's", None, "C")
    path_high_c: Temperature | None = column("highest ambient along its run; empty = the place's", None, "C")
    backup: YesNo = column("must be held on battery", False)
    priority: Priority = column("what goes dark last", "low")
    bundle: CountOfOne = column("cables in the bundle its run lies in", 1)


class Device(DeviceColumns):
    """Something to power, or to connect for data only."""

    table: ClassVar[str] = "devices"

    device: Name = column("name; with count > 1 they are numbered name.1, name.2 ...")
    place: Name = column("place its run goes to")
    count: CountOfOne = column("how many like it", 1)
    run_m: Amount = column("from port to device, cords included", unit="m")

    @property
    def number(self) -> int | None:
        """Its power class, given or assumed from its watts; None for a data-only device."""
        if self.watts == 0:
            return None
        if self.class_ is not None:
            return self.class_
        return class_for_watts(self.watts) if self.watts else None

    @property
    def pd_w(self) -> Decimal:
        """The most it draws at its input, W: given, or its class's most."""
        if self.watts is not None:
            return self.watts
        return CLASSES[self.class_].pd_w if self.class_ is not None else Decimal(0)

    @property
    def pd_min_v(self) -> float:
        """Lowest voltage at its input, V: given, or its class's; 0 for a data-only device."""
        if self.min_volts is not None:
            return float(self.min_volts)
        return 0.0 if self.number is None else CLASSES[self.number].pd_min_v

    @property
    def link_mbps(self) -> Decimal:
        """Link speed it needs all the way, Mb/s: never below the traffic it sends."""
        return max(self.port_mbps, self.mbps)

    @property
    def names(self) -> tuple[str, ...]:
        """One name for each of its count."""
        if self.count == 1:
            return (self.device,)
        return tuple(f"{self.device}.{number}" for number in range(1, self.count + 1))


class Run(Row):
    """A way a device may be cabled to another place, or a switch in `from` fed from `to`."""

    table: ClassVar[str] = "runs"

    from_: Name = column("a device, or a place")
    to: Name = column("a place")
    run_m: Amount = column("length, cords included", unit="m")
    cable: str | None = column("cable; empty = the catalog's first, else 24 AWG copper at no price", None)
    existing: Count = column("cables already there", 0)
    path_ip: IpCode | None = column("what extenders on it must bear; empty = the place's", None)
    path_low_c: Temperature | None = column("lowest ambient along it; empty = the place's", None, "C")
    path_high_c: Temperature | None = column("highest ambient along it; empty = the place's", None, "C")


class Owned(Row):
    """Equipment already there."""

    table: ClassVar[str] = "owned"

    model: Name = column("a switch, supply or injector of the catalog")
    place: Name = column("where it stands")
    count: CountOfOne = column("how many")


class Growth(DeviceColumns):
    """A stage of growth: more of a device, or a new one."""

    table: ClassVar[str] = "growth"

    stage: Name = column("name of the stage; stages follow in the order they appear")
    device: Name = column("an existing device to multiply, or a new one")
    place: str | None = column("place its run goes to; empty = the existing device's", None)
    add: Annotated[str, Field(pattern=r"^\d{1,7}%?$")] = column("how many more: a count, or a percent such as 20%")


class Scenario(BaseModel):
    """A site: what to power, where, under which rules. `catalog` is the path its file gives, relative to that file."""

    model_config = ConfigDict(frozen=True)

    title: str = ""
    currency: str = "EUR"
    catalog: str = ""
    rules: Rules = Rules()
    places: tuple[Place, ...] = ()
    devices: tuple[Device, ...] = ()
    runs: tuple[Run, ...] = ()
    owned: tuple[Owned, ...] = ()
    growth: tuple[Growth, ...] = ()

    @cached_property
    def place(self) -> dict[str, Place]:
        """Every place by name, in order; without a `places` table, every place named anywhere (they have mains)."""
        if self.places:
            return {row.place: row for row in self.places}
        devices = {row.device for row in self.devices}
        named = [row.place for row in self.devices]
        for run in self.runs:
            named += [run.to] if run.from_ in devices else [run.from_, run.to]
        named += [row.place for row in self.owned]
        return {name: Place(place=name) for name in named}

    @cached_property
    def device(self) -> dict[str, Device]:
        """Devices by name."""
        return {row.device: row for row in self.devices}
