"""What can be bought: the catalog's tables as frozen models. Prices are in the scenario's currency, powers in W."""

from decimal import Decimal
from functools import cached_property
from typing import Annotated, ClassVar, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict

from equipsel.circuit import CCA_RATIO, DEFAULT_AWG, conductor_ohm_per_100m
from equipsel.columns import (
    Amount,
    CountOfOne,
    Gauge,
    InClass,
    IpCode,
    Name,
    PortVolts,
    Positive,
    Ratio,
    Row,
    Slots,
    Temperature,
    YesNo,
    column,
    parse_lower,
)
from equipsel.standard import head_volts

Pairs = Annotated[Literal[2, 4], BeforeValidator(lambda value: int(value) if value in ("2", "4") else value)]
Feed = Annotated[Literal["mains", "supply", "port"], BeforeValidator(parse_lower)]
Material = Annotated[Literal["copper", "cca"], BeforeValidator(parse_lower)]
Per = Annotated[Literal["port", "device", "unit", "place", "extender", "run"], BeforeValidator(parse_lower)]


class Equipment(Row):
    """What every piece of equipment that stands somewhere has in common."""

    model: Name = column("what it is ordered by; unique in the catalog")
    price: Amount = column("price of one", unit="currency")


class Switch(Equipment):
    """A switch, without its ports (table `ports`) and without external or modular supplies (table `supplies`)."""

    table: ClassVar[str] = "switches"

    feed: Feed = column("where its power comes from: built-in mains supply, external or modular supplies, or an Ethernet port", "mains")
    budget_w: Amount | None = column("the most it hands out over all ports; required for feed = mains", None, "W")
    supply_fit: str | None = column("which supplies fit: matches supplies.fit; required for feed = supply", None)
    supply_slots: Slots = column("how many supplies it takes", 1)
    in_class: InClass | None = column("the highest class it may take; required for feed = port", None)
    min_volts: PortVolts = column("lowest voltage at its input, for feed = port", Decimal(37), "V")
    own_w: Amount = column("its own draw", Decimal(0), "W")
    efficiency: Ratio = column("of its built-in supply or input converter", Decimal("0.9"))
    uplink_mbps: Positive = column("speed of its uplink", Decimal(1000), "Mb/s")
    rack_u: Amount = column("rack space", Decimal(0), "U")
    ip: IpCode = column("ingress protection; none = IP00", (0, 0))
    low_c: Temperature | None = column("lowest rated ambient", None, "C")
    high_c: Temperature | None = column("highest rated ambient", None, "C")
    volts: PortVolts | None = column("at its ports; empty: worst case by port watts, or what reaches a fed switch", None, "V")
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")


class PortGroup(Row):
    """A group of like ports on a switch."""

    table: ClassVar[str] = "ports"

    model: Name = column("the switch")
    group: Name = column("name of the group, unique on its switch")
    count: CountOfOne = column("how many ports")
    port_w: Amount = column("the most one port gives at the PSE; 0 = data only", unit="W")
    pairs: Pairs = column("pairs that carry the power of classes 0-4; classes 5-8 always use 4", 2)
    group_w: Amount | None = column("the group's own limit", None, "W")
    port_mbps: Positive = column("speed of a port", Decimal(1000), "Mb/s")


class Supply(Equipment):
    """An external or modular power supply for switches of feed = supply."""

    table: ClassVar[str] = "supplies"

    fit: Name = column("which switches it fits: matches switches.supply_fit")
    watts: Positive = column("what it gives", unit="W")
    efficiency: Ratio = column("output over mains input", Decimal("0.9"))
    rack_u: Amount = column("rack space", Decimal(0), "U")
    ip: IpCode = column("ingress protection; none = IP00", (0, 0))
    low_c: Temperature | None = column("lowest rated ambient", None, "C")
    high_c: Temperature | None = column("highest rated ambient", None, "C")
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")


class Injector(Equipment):
    """A mains-fed injector: each powered port also uses one data port of a switch in the same place."""

    table: ClassVar[str] = "injectors"

    ports: CountOfOne = column("how many powered ports")
    port_w: Positive = column("the most one port gives at the PSE", unit="W")
    pairs: Pairs = column("pairs that carry the power of classes 0-4", 2)
    budget_w: Amount | None = column("the most it hands out; empty: ports x port_w", None, "W")
    port_mbps: Positive = column("speed of a port", Decimal(1000), "Mb/s")
    own_w: Amount = column("its own draw", Decimal(0), "W")
    efficiency: Ratio = column("output over mains input", Decimal("0.9"))
    volts: PortVolts | None = column("at its ports; empty: worst case by port watts", None, "V")
    rack_u: Amount = column("rack space", Decimal(0), "U")
    ip: IpCode = column("ingress protection; none = IP00", (0, 0))
    low_c: Temperature | None = column("lowest rated ambient", None, "C")
    high_c: Temperature | None = column("highest rated ambient", None, "C")
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")

    @property
    def total_w(self) -> Decimal:
        """The most all its ports give together, W."""
        return self.ports * self.port_w if self.budget_w is None else self.budget_w

    @property
    def head_v(self) -> float:
        """Voltage at its ports, V."""
        return head_volts(self.port_w) if self.volts is None else float(self.volts)


class Extender(Equipment):
    """An extender along a run: one in, one out, no mains; repeats the data, passes the power on."""

    table: ClassVar[str] = "extenders"

    own_w: Amount = column("its own draw", unit="W")
    span_m: Positive = column("longest span after it", Decimal(100), "m")
    in_class: InClass = column("highest class it draws")
    port_w: Amount = column("the most its output gives", unit="W")
    min_volts: PortVolts = column("lowest voltage at its input", Decimal(37), "V")
    port_mbps: Positive = column("speed", Decimal(1000), "Mb/s")
    ip: IpCode = column("ingress protection; none = IP00", (0, 0))
    low_c: Temperature | None = column("lowest rated ambient", None, "C")
    high_c: Temperature | None = column("highest rated ambient", None, "C")
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")


class Cable(Row):
    """A kind of cable."""

    table: ClassVar[str] = "cables"

    model: Name = column("what it is ordered by; unique in the catalog")
    price_per_m: Amount = column("price of a metre", unit="currency/m")
    awg: Gauge | None = column("gauge of the conductor; or give ohm_per_100m", None, "AWG")
    ohm_per_100m: Positive | None = column("one conductor of 100 m at 20 C; or give awg", None, "ohm")
    pairs: Pairs = column("pairs in the cable", 4)
    mbps: Positive = column("fastest link it carries", Decimal(1000), "Mb/s")
    shielded: YesNo = column("screened cable", False)
    material: Material = column("copper, or cca (copper-clad aluminium: x 1.55 where only awg is given)", "copper")
    sold_m: Amount = column("length of a box; 0 = sold by the metre", Decimal(0), "m")
    install_cost_per_m: Amount = column("cost of pulling a metre", Decimal(0), "currency/m")

    @property
    def conductor_ohm_per_100m(self) -> float:
        """Resistance of 100 m of one conductor at 20 C, ohm."""
        if self.ohm_per_100m is not None:
            return float(self.ohm_per_100m)
        copper = conductor_ohm_per_100m(self.awg or DEFAULT_AWG)
        return copper * CCA_RATIO if self.material == "cca" else copper


PLAIN_CABLE = Cable(model="24 AWG copper", price_per_m=Decimal(0), awg=DEFAULT_AWG)
"""The cable assumed where the catalog lists none, at no price."""


class Battery(Equipment):
    """A battery unit that holds the mains load of a place."""

    table: ClassVar[str] = "backups"

    watts: Positive = column("the most it carries", unit="W")
    watt_hours: Positive = column("energy stored", unit="Wh")
    efficiency: Ratio = column("of its inverter", Decimal("0.9"))
    rack_u: Amount = column("rack space", Decimal(0), "U")
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")


class BundleLimit(Row):
    """A limit of current in bundled cable, taken by the user from the local code."""

    table: ClassVar[str] = "bundles"

    awg: Gauge = column("gauge the limit is for", unit="AWG")
    cables_up_to: CountOfOne = column("bundles of at most this many cables")
    amps_per_conductor: Positive = column("highest current in one conductor", unit="A")


class Extra(Row):
    """Something bought along with each port, device, unit, place, extender or run."""

    table: ClassVar[str] = "extras"

    item: Name = column("what it is")
    price: Amount = column("price of one", unit="currency")
    per: Per = column("what it is counted by")
    for_: str | None = column("a model or a device kind; empty = all", None)
    install_cost: Amount = column("cost of installing one", Decimal(0), "currency")


class Catalog(BaseModel):
    """Everything that can be bought. Tables keep the order of their rows: it decides the last tie."""

    model_config = ConfigDict(frozen=True)

    switches: tuple[Switch, ...] = ()
    ports: tuple[PortGroup, ...] = ()
    supplies: tuple[Supply, ...] = ()
    injectors: tuple[Injector, ...] = ()
    extenders: tuple[Extender, ...] = ()
    cables: tuple[Cable, ...] = ()
    backups: tuple[Battery, ...] = ()
    bundles: tuple[BundleLimit, ...] = ()
    extras: tuple[Extra, ...] = ()

    @cached_property
    def switch(self) -> dict[str, Switch]:
        """Switches by model."""
        return {row.model: row for row in self.switches}

    @cached_property
    def supply(self) -> dict[str, Supply]:
        """Supplies by model."""
        return {row.model: row for row in self.supplies}

    @cached_property
    def injector(self) -> dict[str, Injector]:
        """Injectors by model."""
        return {row.model: row for row in self.injectors}

    @cached_property
    def extender(self) -> dict[str, Extender]:
        """Extenders by model."""
        return {row.model: row for row in self.extenders}

    @cached_property
    def battery(self) -> dict[str, Battery]:
        """Battery units by model."""
        return {row.model: row for row in self.backups}

    @cached_property
    def groups(self) -> dict[str, tuple[PortGroup, ...]]:
        """Port groups by switch model, in table order."""
        return {row.model: tuple(group for group in self.ports if group.model == row.model) for row in self.switches}

    @cached_property
    def cable_models(self) -> dict[str, Cable]:
        """Cables by model."""
        return {row.model: row for row in self.cables}

    def cable(self, model: str | None) -> Cable:
        """The cable of that name; for no name the first of the catalog, else plain 24 AWG copper at no price."""
        if model:
            return self.cable_models[model]
        return self.cables[0] if self.cables else PLAIN_CABLE
