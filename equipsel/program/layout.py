"""From a solved program to units that stand somewhere with something in each port, every unit packed exactly."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction

from equipsel.feeds.builds import Build, Ports
from equipsel.feeds.fed import FedBuild
from equipsel.program.adapter import whole
from equipsel.program.bins import Bin
from equipsel.program.model import Lead, Model, Plug, Refinement, Way
from equipsel.program.packing import Item, pack
from equipsel.program.unit_rules import loads


@dataclass(eq=False)
class Standing:
    """A unit of the answer: its build and what is plugged into it, in order."""

    build: Build
    bin: Bin | None
    seats: list["Seat"] = field(default_factory=list)

    @property
    def home(self) -> Bin:
        """The bin it comes from; a layout put together from parts knows none."""
        assert self.bin is not None, "only a program's own layout is learnt from"
        return self.bin

    @property
    def handed_mw(self) -> int:
        """mW it reserves for what is plugged into it."""
        return sum(seat.load_mw for seat in self.seats)

    @property
    def traffic(self) -> Fraction:
        """Mb/s of traffic through it, where traffic is reckoned with."""
        return sum((seat.traffic for seat in self.seats), Fraction(0))


@dataclass(frozen=True, eq=False)
class Seat:
    """One port in use and what is in it: a device by a way, a data lead, a fed switch, or a fed switch's data lead."""

    ports: Ports
    payload: Way | Lead | Standing
    load_mw: int = 0
    traffic: Fraction = Fraction(0)
    critical: bool = False
    lead_of: Standing | None = None


@dataclass(frozen=True)
class Layout:
    """All standing units."""

    units: tuple[Standing, ...]


class Unpacked(Exception):  # noqa: N818 (it is no error: the search learns from it)
    """A bin that could not be packed; `refinement` is what the search learns."""

    def __init__(self, refinement: Refinement) -> None:
        """Keep what was learnt."""
        super().__init__("a bin could not be packed")
        self.refinement = refinement

    @classmethod
    def learning(cls, model: Model, refinement: Refinement) -> "Unpacked":
        """The lesson of a program that could not be packed. Raises AssertionError where there is none: the program is wrong."""
        assert refinement != model.refinement, "a unit of its own breaks a rule that the program holds"
        return cls(refinement)


def lay_out(model: Model) -> Layout:
    """Pack every bin of a solved program. Raises Unpacked where that fails, or where the program reckoned with too little draw."""
    layout = _Layer(model).run()
    _check_reckoned(model, layout)
    return layout


class _Layer:
    """The work of `lay_out`: fed switches first, from the outermost in, since what they draw is a load further in."""

    def __init__(self, model: Model) -> None:
        self.model = model
        self.waiting: dict[tuple[int, bool], list[Standing]] = defaultdict(list)
        self.units: list[Standing] = []

    def run(self) -> Layout:
        for item in sorted(self.model.bins, key=lambda one: (-one.build.level, one.build.is_injector, one.position)):
            if whole(item.count):
                self._pack(item)
        return Layout(tuple(sorted(self.units, key=lambda unit: unit.home.position)))

    def _pack(self, item: Bin) -> None:
        seats = list(self._seats(item))
        items = [Item(seat.ports, seat.load_mw, seat.traffic, seat.critical, index) for index, seat in enumerate(seats)]
        packed = pack(item.build, whole(item.count), items, self._critical_allowed(item.build.place))
        if packed is None:
            raise Unpacked.learning(self.model, self._learn(item, seats))
        for unit in packed:
            held = [seats[one.what] for one in sorted(unit.items, key=lambda one: one.what)]
            standing = Standing(item.build, item, held)
            self.units.append(standing)
            if isinstance(item.build, FedBuild):
                self.waiting[item.position, False].append(standing)
                if item.build.through_injector:
                    self.waiting[item.position, True].append(standing)

    def _seats(self, item: Bin) -> Iterator[Seat]:
        for plug in self.model.of(item):
            for _ in range(whole(plug.count)):
                yield self._seat(plug)

    def _seat(self, plug: Plug) -> Seat:
        payload = plug.payload
        if isinstance(payload, Bin):
            unit = self.waiting[payload.position, False].pop(0)
            traffic = unit.traffic if self.model.carries_data(plug.bin) else Fraction(0)
            assert isinstance(unit.build, FedBuild), "only fed builds wait for a port"
            return Seat(plug.ports, unit, unit.build.upstream_mw(unit.handed_mw), traffic)
        if isinstance(payload, Lead):
            if payload.fed is None:
                return Seat(plug.ports, payload, traffic=Fraction(payload.mbps), critical=payload.critical)
            unit = self.waiting[payload.fed.position, True].pop(0)
            return Seat(plug.ports, payload, traffic=unit.traffic, lead_of=unit)
        device = self.model.groups[payload.group].first.device
        traffic = Fraction(device.mbps) if self.model.carries_data(plug.bin) else Fraction(0)
        return Seat(plug.ports, payload, payload.feed.reserved_mw, traffic, plug.critical)

    def _critical_allowed(self, place: str) -> int | None:
        pct = Fraction(self.model.site.rules.max_critical_share_pct)
        if pct == 100:
            return None
        plugs = (plug for item in self.model.at[place] for plug in self.model.of(item))
        served = sum(whole(plug.count) for plug in plugs if plug.critical and isinstance(plug.payload, Way))
        return max(1, int(pct * served / 100))

    def _learn(self, item: Bin, seats: list[Seat]) -> Refinement:
        """Split the pool that could not be packed; for a unit of its own, make the draws of its fed switches exact."""
        if item.most > 1:
            return replace(self.model.refinement, split=_split(self.model, item))
        fed = [seat.lead_of or seat.payload for seat in seats]
        return sharpened(self.model, [unit for unit in fed if isinstance(unit, Standing)])


def sharpened(model: Model, fed: list[Standing]) -> Refinement:
    """Make the draws of fed switches exact at what they hand out; split their pools."""
    known = model.refinement
    split, points = dict(known.split), dict(known.points)
    for unit in fed:
        if unit.home.most > 1:
            split |= _split(model, unit.home)
        for index in _alike(model, unit.build):
            points[index] = tuple(sorted({*points.get(index, ()), min(unit.handed_mw, model.builds[index].limit_mw)}))
    seen = [unit for unit in fed if unit.handed_mw in known.points.get(model.index[unit.build], ())]
    lacking = [unit for unit in seen if _falls_short(model, unit)]
    if not lacking and (split, points) == (known.split, known.points):
        lacking = seen
    return Refinement(split, points, known.short | {model.index[unit.build] for unit in lacking})


def _falls_short(model: Model, unit: Standing) -> bool:
    """Whether the program took less from the port above a unit of its own than the unit draws there."""
    assert isinstance(unit.build, FedBuild), "only fed switches draw from a port"
    taken = (term for plug in model.plugs if plug.payload is unit.home for term in plug.load)
    return unit.home.most == 1 and sum(factor * whole(variable) for factor, variable in taken) < unit.build.upstream_mw(unit.handed_mw)


def _split(model: Model, item: Bin) -> dict[int, int]:
    """Split a pool, and those of the same model in its place: else the search would only turn to the next of them."""
    split = dict(model.refinement.split)
    units = split.get(model.index[item.build], 0) + whole(item.count) + 1
    return split | {index: max(units, split.get(index, 0)) for index in _alike(model, item.build)}


def _alike(model: Model, build: Build) -> list[int]:
    """Builds of the same model in the same place: with other supplies; fed switches in other classes from like ports."""
    return [index for index, other in enumerate(model.builds) if _likeness(other) == _likeness(build)]


def _likeness(build: Build) -> tuple[object, ...]:
    above = (build.fed[1].row, build.through_injector, build.volts, build.port_pairs, build.level) if isinstance(build, FedBuild) else ()
    return (build.place, build.model.model, *above)


def _check_reckoned(model: Model, layout: Layout) -> None:
    """Raise Unpacked where the program reckoned with less mW than a place's units reserve, and mains draw or energy counts."""
    for place, bins in model.at.items():
        reckoned = sum(Fraction(factor) * whole(variable) for item in bins for factor, variable in loads(model.of(item)))
        if _draw_counts(model, place) and sum(unit.handed_mw for unit in layout.units if unit.build.place == place) > reckoned:
            raise Unpacked.learning(model, sharpened(model, [unit for unit in layout.units if isinstance(unit.build, FedBuild)]))


def _draw_counts(model: Model, place: str) -> bool:
    """Whether what a place's units reserve bears on more than their budgets: a circuit, batteries, the energy paid for."""
    spot, rules = model.site.scenario.place[place], model.site.rules
    circuit = spot.circuit_a is not None and spot.circuit_v is not None
    return circuit or place in model.holds or bool(rules.energy_price_kwh and rules.years)
