"""The answer: units, connections and lines, as kit.json holds them. Powers in W, lengths in m, money in the currency."""

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Number = float | int


class Part(BaseModel):
    """A part of kit.json. Fields that a hand-made kit may leave out are None until they are recomputed."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, alias_generator=lambda name: name.rstrip("_"))


class Status(StrEnum):
    """What the answer is."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    STOPPED = "stopped"


class Severity(StrEnum):
    """How grave a finding is."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Finding(Part):
    """One thing the re-check found: which rule, how grave, where, and in words what is wrong and what is allowed."""

    rule: str
    severity: Severity
    where: str
    message: str


class Line(Part):
    """A line of the bill of materials; the lines add up to the kit's cost."""

    model: str
    kind: Literal["switch", "supply", "injector", "extender", "cable", "backup", "extra", "place", "energy"]
    place: str | None = None
    count: Number
    unit_cost: Number
    cost: Number


class ExtenderAt(Part):
    """An extender along a run, at_m from its head."""

    model: str
    at_m: Number | None = None


class InjectorPort(Part):
    """A powered port of an injector."""

    unit: str
    port: int


class FedBy(Part):
    """The port that feeds a fed switch, and its line at what the switch draws. With an injector, unit, group and port are the data port."""

    unit: str
    group: str
    port: int
    injector: InjectorPort | None = None
    extenders: tuple[ExtenderAt, ...] = ()
    run_m: Number | None = None
    cable: str | None = None
    class_: int | None = None
    reserved_w: Number | None = None
    pse_w: Number | None = None
    pd_w: Number | None = None
    pd_volts: Number | None = None
    amps: Number | None = None
    loss_w: Number | None = None


class Unit(Part):
    """A switch or an injector of the kit."""

    unit: str
    model: str
    place: str
    supplies: tuple[str, ...] = ()
    owned: bool = False
    fed_by: FedBy | None = None
    budget_w: Number | None = None
    reserved_w: Number | None = None
    draw_w: Number | None = None
    heat_w: Number | None = None
    mains_w: Number | None = None
    traffic_mbps: Number | None = None


class Connection(Part):
    """Where one device plugs in, and its line as solved. With an injector, unit, group and port are the data port."""

    device: str
    place: str
    unit: str
    group: str
    port: int
    injector: InjectorPort | None = None
    extenders: tuple[ExtenderAt, ...] = ()
    run_m: Number | None = None
    cable: str | None = None
    class_: int | None = None
    port_w: Number | None = None
    reserved_w: Number | None = None
    pse_w: Number | None = None
    pd_w: Number | None = None
    pd_volts: Number | None = None
    amps: Number | None = None
    loss_w: Number | None = None


class LineReason(Part):
    """Why a purchased line is there, and what the cheapest kit without it costs more.

    Without it: none of that model in that place (for a place: nothing stands there). `without_cost` is in money, None where there
    is no kit without it or none was found in time; `exact` says that both costs are proven, else the figure is a lower bound.
    """

    model: str
    place: str | None = None
    kind: str
    text: str
    without_cost: Number | None = None
    exact: bool = True
    without_text: str


class Binding(Part):
    """How close a limit is: used of limit, in its unit, and that in percent."""

    where: str
    what: str
    used: Number
    limit: Number
    unit: str
    pct: Number


class DeviceReason(Part):
    """Why devices (alike, drawn together in one text) hang where they do and not in a cheaper way."""

    device: str
    text: str


class Cheaper(Part):
    """A smaller request and what it saves, in money; `exact` as for a line: else at most so much is known to be saved."""

    request: str
    saves: Number
    exact: bool = True
    text: str


class Why(Part):
    """Why this kit: its lines, what binds, its devices, cheaper requests, what looks odd. `complete`: not cut short by time."""

    lines: tuple[LineReason, ...] = ()
    binding: tuple[Binding, ...] = ()
    devices: tuple[DeviceReason, ...] = ()
    cheaper: tuple[Cheaper, ...] = ()
    odd: tuple[str, ...] = ()
    complete: bool = True


Fractional = Annotated[str, Field(pattern=r"^-?\d{1,60}(/[1-9]\d{0,59})?$")]
"""A fraction as text, such as 3/7 (our own limit on its length)."""


class Certificate(Part):
    """What no kit costs less than, in money, and what shows it: weights of the rows of the program, by their names."""

    bound: Annotated[float, Field(ge=0, le=1e12, allow_inf_nan=False)]
    weights: dict[str, Fractional] = {}


class Kit(Part):
    """The whole answer."""

    status: Status = Status.FEASIBLE
    currency: str = ""
    cost: Number | None = None
    lower_bound: Number | None = None
    gap: Number | None = None
    seconds: Number | None = None
    tool_version: str | None = None
    inputs_sha256: str | None = None
    lines: tuple[Line, ...] | None = None
    units: tuple[Unit, ...] = ()
    connections: tuple[Connection, ...] = ()
    findings: tuple[Finding, ...] = ()
    reasons: tuple[str, ...] = ()
    why: Why | None = None
    certificate: Certificate | None = None

    def to_json(self) -> str:
        """The text of kit.json."""
        return self.model_dump_json(by_alias=True, indent=2) + "\n"
