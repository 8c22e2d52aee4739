"""The answer to a part of a site in plain numbers: small, free of solver objects, and the same for parts that differ in names."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from equipsel.program.adapter import Stop
from equipsel.program.layout import Layout, Seat, Standing
from equipsel.program.model import Lead, Problem, Refinement, Way
from equipsel.program.parts import Part
from equipsel.program.search import Found


@dataclass(frozen=True, slots=True)
class Taken:
    """A port in use: its group's position in the build, and what is in it.

    way: a device's group, route, feed (by position); unit: the fed switch in it, or (lead set) the one whose data it carries.
    """

    ports: int
    load_mw: int
    traffic: Fraction
    critical: bool
    way: tuple[int, int, int] | None = None
    unit: int | None = None
    lead: tuple[Decimal, Decimal, bool, bool] | None = None


@dataclass(frozen=True, slots=True)
class Answer:
    """What the search of a part found. units: the build of each and its ports in use; batteries by position of the place."""

    stop: Stop
    cost_cents: int | None = None
    bound_cents: int | None = None
    units: tuple[tuple[int, tuple[Taken, ...]], ...] = ()
    batteries: tuple[tuple[int, str, int], ...] = ()
    refinement: Refinement = field(default_factory=Refinement)
    size: int = 0

    @property
    def gap_cents(self) -> int:
        """What the part may cost too much."""
        assert self.cost_cents is not None, "only an answer with a kit has a gap"
        return self.cost_cents - max(self.bound_cents or 0, 0)


def answer_of(found: Found, problem: Problem) -> Answer:
    """A search's answer in plain numbers."""
    if found.layout is None:
        return Answer(found.stop, None, found.bound_cents, refinement=found.learnt, size=found.size)
    at = {unit: number for number, unit in enumerate(found.layout.units)}
    builds = {id(build): number for number, build in enumerate(problem.builds)}
    units = tuple((builds[id(unit.build)], tuple(_taken(seat, unit, at, problem) for seat in unit.seats)) for unit in found.layout.units)
    places = {name: number for number, name in enumerate(problem.site.scenario.place)}
    batteries = tuple((places[place], model, count) for (place, model), count in found.batteries.items())
    return Answer(found.stop, found.cost_cents, found.bound_cents, units, batteries, found.learnt, found.size)


def _taken(seat: Seat, unit: Standing, at: dict[Standing, int], problem: Problem) -> Taken:
    ports = next(number for number, ports in enumerate(unit.build.ports) if ports is seat.ports)
    payload = seat.payload
    if isinstance(payload, Standing):
        return Taken(ports, seat.load_mw, seat.traffic, seat.critical, unit=at[payload])
    if isinstance(payload, Lead):
        above = None if seat.lead_of is None else at[seat.lead_of]
        return Taken(
            ports,
            seat.load_mw,
            seat.traffic,
            seat.critical,
            unit=above,
            lead=(payload.link_mbps, payload.mbps, payload.critical, payload.backup),
        )
    feeds = problem.groups[payload.group].first.routes[payload.route].feeds[seat.ports.head]
    feed = next(number for number, solved in enumerate(feeds) if solved is payload.feed)
    return Taken(ports, seat.load_mw, seat.traffic, seat.critical, way=(payload.group, payload.route, feed))


def joined(whole: Problem, answers: Iterable[tuple[Part, Answer]]) -> tuple[Layout, dict[tuple[str, str], int]]:
    """The answers of all parts as one layout of the whole, units in the order of its builds, and the batteries by place and model."""
    units: list[tuple[int, Standing]] = []
    batteries: dict[tuple[str, str], int] = {}
    for part, answer in answers:
        units += _standing(whole, part, answer)
        places = list(part.problem.site.scenario.place)
        batteries |= {(places[place], model): count for place, model, count in answer.batteries}
    ordered = sorted(units, key=lambda item: item[0])
    return Layout(tuple(unit for _, unit in ordered)), batteries


def _standing(whole: Problem, part: Part, answer: Answer) -> list[tuple[int, Standing]]:
    numbers = [part.builds[build] for build, _ in answer.units]
    units = [Standing(whole.builds[number], None) for number in numbers]
    for unit, (_, taken) in zip(units, answer.units, strict=True):
        unit.seats.extend(_seat(whole, part, unit, item, units) for item in taken)
    return list(zip(numbers, units, strict=True))


def _seat(whole: Problem, part: Part, unit: Standing, taken: Taken, units: list[Standing]) -> Seat:
    ports = unit.build.ports[taken.ports]
    if taken.lead is not None:
        link, mbps, critical, backup = taken.lead
        fed = None if taken.unit is None else units[taken.unit]
        return Seat(ports, Lead(unit.build.place, link, mbps, critical, backup=backup), taken.load_mw, taken.traffic, taken.critical, fed)
    if taken.way is None:
        assert taken.unit is not None, "a port in use holds a device, a lead or a fed switch"
        return Seat(ports, units[taken.unit], taken.load_mw, taken.traffic, taken.critical)
    group, route, feed = part.groups[taken.way[0]], taken.way[1], taken.way[2]
    solved = whole.groups[group].first.routes[route].feeds[ports.head][feed]
    return Seat(ports, Way(group, route, solved), taken.load_mw, taken.traffic, taken.critical)
