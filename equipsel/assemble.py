"""From a packed layout to a kit's units and connections: names, port numbers, and every figure as kit.json holds it."""

from collections import defaultdict
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from itertools import count

from equipsel.bill import RunInUse
from equipsel.feeds.fed import FedBuild
from equipsel.feeds.lines import Feed, Route
from equipsel.feeds.ways import DeviceWays
from equipsel.kit import Connection, ExtenderAt, FedBy, InjectorPort, Unit
from equipsel.program.layout import Layout, Seat, Standing
from equipsel.program.model import Lead, Problem, Way, device_lead
from equipsel.program.money import heat_mw
from equipsel.quantities import milliwatts_up, watts
from equipsel.scenario import Device

VOLT_DIGITS, AMP_DIGITS, WATT_DIGITS, METRE_DIGITS = 3, 4, 3, 3


class Assembly:
    """Units and connections of a kit, from a layout and the problem it solves."""

    def __init__(self, layout: Layout, problem: Problem) -> None:
        """Name the units, number the ports, hand out the devices."""
        self.layout, self.problem = layout, problem
        self.names = _unit_names(layout, problem)
        self.ports = {seat: number for unit in layout.units for seat, number in _numbered(unit)}
        self.leads = self._free_leads()
        self.waiting = [iter(group.members) for group in problem.groups]
        self.seated = list(self._seat_devices())
        self.drawn: dict[Standing, int] = defaultdict(int)
        for ways, _, unit, seat in self.seated:
            self.drawn[unit] += self._feed(ways, seat)[0].pse_mw
        self.carried: dict[Standing, Fraction] = defaultdict(Fraction)
        self.below: dict[Standing, list[Standing]] = defaultdict(list)
        self.lead_of = {name: self.leads[self._lead(ways, unit)].pop(0) for ways, name, unit, _ in self.seated if unit.build.is_injector}
        self._carry()

    def units(self) -> tuple[Unit, ...]:
        """Every unit of the kit."""
        owned = self.problem.site.owned()
        above = self._above()
        return tuple(self._unit(unit, owned, above) for unit in self.layout.units)

    def connections(self) -> tuple[Connection, ...]:
        """One connection for each device, in the order of the device table."""
        order = {name: index for index, name in enumerate(name for row in self.problem.site.scenario.devices for name in row.names)}
        found = [self._connection(*seated) for seated in self.seated]
        return tuple(sorted(found, key=lambda item: order[item.device]))

    def runs(self) -> Iterator[RunInUse]:
        """Every run in use and whether its cable is new: cables already there are taken in order."""
        left: dict[int, int] = {}
        units = {unit.unit: unit for unit in self.units()}
        by_device = {item.device: item for item in self.connections()}
        for ways, name, unit, seat in self.seated:
            route = self._feed(ways, seat)[1]
            yield self._run(units[self.names[unit]], by_device[name], route, left, ways.device)
        for unit in self.layout.units:
            for seat in unit.seats:
                if isinstance(seat.payload, Standing) and isinstance(seat.payload.build, FedBuild):
                    fed_by = units[self.names[seat.payload]].fed_by
                    assert fed_by is not None, "a fed unit has a port above"
                    yield self._run(units[self.names[unit]], fed_by, seat.payload.build.fed[1], left, None)

    def _run(self, head: Unit, run: Connection | FedBy, route: Route, left: dict[int, int], device: Device | None) -> RunInUse:
        new = route.existing is not None
        if route.row is not None:
            left.setdefault(route.row, route.existing or 0)
            new = left[route.row] <= 0
            left[route.row] -= 1
        return RunInUse(head, run, route.cable, Fraction(route.run_m), new, device)

    def heat_mw(self) -> Fraction:
        """mW that all units turn into heat."""
        return sum((heat_mw(unit.build, unit.handed_mw) for unit in self.layout.units), Fraction(0))

    def _free_leads(self) -> dict[Lead, list[tuple[Standing, Seat]]]:
        found: dict[Lead, list[tuple[Standing, Seat]]] = defaultdict(list)
        for unit in self.layout.units:
            for seat in unit.seats:
                if isinstance(seat.payload, Lead) and seat.lead_of is None:
                    found[seat.payload].append((unit, seat))
        return found

    def _seat_devices(self) -> Iterator[tuple[DeviceWays, str, Standing, Seat]]:
        for unit in self.layout.units:
            for seat in unit.seats:
                if isinstance(seat.payload, Way):
                    ways, name = next(self.waiting[seat.payload.group])
                    yield ways, name, unit, seat

    def _carry(self) -> None:
        """Whose traffic passes which switch."""
        for ways, name, unit, seat in self.seated:
            switch, _ = self.lead_of.get(name, (unit, seat))
            self.carried[switch] += Fraction(ways.device.mbps)
        for unit in self.layout.units:
            for seat in unit.seats:
                fed = seat.lead_of or (seat.payload if isinstance(seat.payload, Standing) and not unit.build.is_injector else None)
                if fed:
                    self.below[unit].append(fed)

    def _above(self) -> dict[Standing, FedBy]:
        """What feeds each fed unit."""
        leads = {seat.lead_of: (unit, seat) for unit in self.layout.units for seat in unit.seats if seat.lead_of}
        found = {}
        for unit in self.layout.units:
            for seat in unit.seats:
                if isinstance(seat.payload, Standing) and isinstance(seat.payload.build, FedBuild):
                    fed = seat.payload
                    build = seat.payload.build
                    feed, route = build.fed
                    switch, data = leads.get(fed, (unit, seat))
                    line = build.line_at(self._draw_mw(fed))
                    found[fed] = FedBy(
                        unit=self.names[switch],
                        group=data.ports.group,
                        port=self.ports[data],
                        injector=self._injector(unit, seat),
                        extenders=_extenders(feed),
                        run_m=_metres(route.run_m),
                        cable=route.cable.model,
                        class_=build.class_,
                        reserved_w=watts(seat.load_mw),
                        pse_w=watts(milliwatts_up(line.head_w)),
                        pd_w=round(line.end.watts, WATT_DIGITS),
                        pd_volts=round(line.end.volts, VOLT_DIGITS),
                        amps=round(line.head_amps, AMP_DIGITS),
                        loss_w=round(line.loss_w, WATT_DIGITS),
                    )
        return found

    def _injector(self, unit: Standing, seat: Seat) -> InjectorPort | None:
        return InjectorPort(unit=self.names[unit], port=self.ports[seat]) if unit.build.is_injector else None

    def _unit(self, unit: Standing, owned: dict[tuple[str, str], int], above: dict[Standing, FedBy]) -> Unit:
        build = unit.build
        key = (build.place, build.model.model)
        mine = owned.get(key, 0) > 0
        if mine:
            owned[key] -= 1
        reserved, draw = unit.handed_mw, self._draw_mw(unit)
        return Unit(
            unit=self.names[unit],
            model=build.model.model,
            place=build.place,
            supplies=tuple(supply.model for supply in build.supplies),
            owned=mine,
            fed_by=above.get(unit),
            budget_w=watts(build.budget_mw),
            reserved_w=watts(reserved),
            draw_w=watts(draw),
            heat_w=watts(_up(heat_mw(build, reserved))),
            mains_w=0.0 if isinstance(build, FedBuild) else watts(_up((build.own_mw + reserved) / build.efficiency)),
            traffic_mbps=float(round(self._traffic(unit), 3)),
        )

    def _traffic(self, unit: Standing) -> Fraction:
        """Mb/s through a switch: its own devices', those on injectors whose data it carries, and fed switches below."""
        return self.carried[unit] + sum((self._traffic(fed) for fed in self.below[unit]), Fraction(0))

    def _draw_mw(self, unit: Standing) -> int:
        """mW drawn from a unit, each line solved for the very device on it."""
        total = 0
        for seat in unit.seats:
            if isinstance(seat.payload, Standing) and isinstance(seat.payload.build, FedBuild):
                total += seat.payload.build.drawn_mw(self._draw_mw(seat.payload))
        return total + self.drawn[unit]

    def _feed(self, ways: DeviceWays, seat: Seat) -> tuple[Feed, Route]:
        """A device's own feed over the way its group was given."""
        way = seat.payload
        assert isinstance(way, Way), "only devices have ways"
        found = ways.routes[way.route]
        models = [item.model for item in way.feed.chain]
        same = (feed for feed in found.feeds[seat.ports.head] if [item.model for item in feed.chain] == models)
        return next(same), found.route

    def _connection(self, ways: DeviceWays, name: str, unit: Standing, seat: Seat) -> Connection:
        feed, route = self._feed(ways, seat)
        switch, data = self.lead_of.get(name, (unit, seat))
        line, powered = feed.line, ways.device.pd_w > 0
        return Connection(
            device=name,
            place=switch.build.place,
            unit=self.names[switch],
            group=data.ports.group,
            port=self.ports[data],
            injector=self._injector(unit, seat),
            extenders=_extenders(feed),
            run_m=_metres(route.run_m),
            cable=route.cable.model,
            class_=ways.device.number,
            port_w=float(seat.ports.head.port_w),
            reserved_w=watts(feed.reserved_mw),
            pse_w=watts(feed.pse_mw),
            pd_w=float(ways.device.pd_w),
            pd_volts=round(line.end.volts, VOLT_DIGITS) if powered else None,
            amps=round(line.head_amps, AMP_DIGITS),
            loss_w=round(sum(span.loss_w for span in line.spans), WATT_DIGITS),
        )

    def _lead(self, ways: DeviceWays, unit: Standing) -> Lead:
        return device_lead(self.problem.site, ways.device, unit.build.place, self.problem.uplinks)


def _unit_names(layout: Layout, problem: Problem) -> dict[Standing, str]:
    """Units are named by their place and a number: switches and injectors of a place in catalog order."""
    numbers = {place: count(1) for place in problem.site.scenario.place}
    return {unit: f"{unit.build.place}-{next(numbers[unit.build.place])}" for unit in layout.units}


def _numbered(unit: Standing) -> Iterator[tuple[Seat, int]]:
    numbers = {ports.group: count(1) for ports in unit.build.ports}
    for seat in unit.seats:
        yield seat, next(numbers[seat.ports.group])


def _extenders(feed: Feed) -> tuple[ExtenderAt, ...]:
    return tuple(ExtenderAt(model=item.model, at_m=_metres(at)) for item, at in zip(feed.chain, feed.at_m, strict=True))


def _metres(length: Decimal) -> float:
    return float(round(length, METRE_DIGITS))


def _up(amount_mw: Fraction) -> int:
    return milliwatts_up(amount_mw / 1000)
