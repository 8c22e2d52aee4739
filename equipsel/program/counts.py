"""How many of what a choice takes along: metres of new cable, extenders, and whatever extras are counted by."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fractions import Fraction

from equipsel.catalog import Extra
from equipsel.feeds.fed import FedBuild
from equipsel.feeds.lines import Feed, Route
from equipsel.feeds.ways import Group
from equipsel.program.bins import Bin
from equipsel.program.model import Model, Plug, Way
from equipsel.program.paid import Key, run_key
from equipsel.program.rows import Counted, Terms, Variable


@dataclass(frozen=True, slots=True)
class NewCable:
    """New cables over a run: from which device or place, and how many."""

    start: str
    route: Route
    number: Counted

    @property
    def key(self) -> Key:
        """What tells it from other cable."""
        return ("cable", *key_of_run(self.start, self.route))


def key_of_run(start: str, route: Route) -> Key:
    """What tells a run from others."""
    return run_key(start, route.place, route.run_m, route.cable.model)


def run_of(model: Model, plug: Plug) -> tuple[Route, Feed] | None:
    """The run from a plug and the feed over it; None for a data lead, which stays in its place."""
    if isinstance(plug.payload, Way):
        way = plug.payload
        return model.groups[way.group].first.routes[way.route].route, way.feed
    if isinstance(plug.payload, Bin):
        feed, route = plug.payload.fed_build.fed
        return route, feed
    return None


def kind_of(model: Model, plug: Plug) -> str | None:
    """The kind of device a plug serves; None where it serves a fed switch or a lead."""
    return model.groups[plug.payload.group].first.device.kind if isinstance(plug.payload, Way) else None


def new_cable(model: Model) -> Iterator[NewCable]:
    """New cable for devices and for fed switches; cables already there are used first and cost nothing."""
    for index, group in enumerate(model.groups):
        if has_one_run(group):
            for member, _ in group.members:
                route = member.routes[0].route
                if route.existing is not None:
                    yield NewCable(member.device.device, route, Counted([], Fraction(1)))
        else:
            yield from _choices(model, index, group)
    yield from _feed_runs(model)


def has_one_run(group: Group) -> bool:
    """Whether its devices have one run each and no cables to share, so that their cable is settled before any choice."""
    routes = group.first.routes
    return len(routes) == 1 and routes[0].route.existing in (None, 0)


def _choices(model: Model, index: int, group: Group) -> Iterator[NewCable]:
    for number, ways in enumerate(group.first.routes):
        used = [
            plug.count
            for plug in model.plugs
            if isinstance(plug.payload, Way) and plug.payload.group == index and plug.payload.route == number
        ]
        if ways.route.existing is not None:
            new = _beyond(model, f"group{index}-route{number}", used, ways.route)
            yield NewCable(group.first.device.device, ways.route, Counted(new))


def _feed_runs(model: Model) -> Iterator[NewCable]:
    rows: dict[int, tuple[str, Route, list[Variable]]] = {}
    for item in model.bins:
        if isinstance(item.build, FedBuild):
            _, route = item.build.fed
            assert route.row is not None, "a feed run is a row of the runs table"
            rows.setdefault(route.row, (item.build.place, route, []))[2].append(item.count)
    for row, (place, route, used) in rows.items():
        yield NewCable(place, route, Counted(_beyond(model, f"run{row}", used, route)))


def _beyond(model: Model, name: str, used: Iterable[Variable], route: Route) -> Terms:
    """New cables on a route: those used beyond the ones already there."""
    counts: Terms = [(1, variable) for variable in used]
    if route.existing:
        new = model.rows.variable(f"{name}-new")
        model.rows.at_least(f"{name}-new_cables", [(1, new), *((-factor, variable) for factor, variable in counts)], -route.existing)
        return [(1, new)]
    return counts


def counted(model: Model, extra: Extra, number: int) -> Counted:
    """How many of an extra: by the plugs that call for it, by the units, by the places, or settled by the devices alone."""
    wanted = extra.for_ or None
    if extra.per == "unit":
        return Counted([(1, item.count) for item in model.bins if wanted in (None, item.build.model.model)])
    if extra.per == "place":
        return Counted([(1, variable) for variable in _places(model, wanted, number)])
    if extra.per == "device" and (wanted is None or wanted in _kinds(model)):
        return Counted([], Fraction(_devices(model, wanted)))
    if extra.per == "run":
        return _runs(model, wanted)
    by = {"port": _ports, "device": _fed_by, "extender": _extenders}[extra.per]
    return Counted([(factor, plug.count) for plug in model.plugs if (factor := by(model, plug, wanted))])


def _kinds(model: Model) -> set[str]:
    return {device.kind for device in model.site.scenario.devices}


def _devices(model: Model, kind: str | None) -> int:
    """Devices, all or of a kind: each is served, whatever is chosen."""
    return sum(device.count for device in model.site.scenario.devices if kind in (None, device.kind))


def _ports(model: Model, plug: Plug, wanted: str | None) -> int:
    """Ports in use; for a kind of device, the injector's and the data port of each."""
    if wanted in (None, plug.bin.build.model.model):
        return 1
    if kind_of(model, plug) == wanted:
        return 2 if plug.bin.build.is_injector else 1
    return 0


def _fed_by(model: Model, plug: Plug, wanted: str | None) -> int:
    """Devices that a model feeds."""
    del model
    return int(isinstance(plug.payload, Way) and plug.bin.build.model.model == wanted)


def _extenders(model: Model, plug: Plug, wanted: str | None) -> int:
    """Extenders along the runs in use, all, of a model, or on the runs of a kind of device."""
    run = run_of(model, plug)
    if run is None:
        return 0
    everything = wanted is None or wanted == kind_of(model, plug)
    return sum(1 for extender in run[1].chain if everything or extender.model == wanted)


def _runs(model: Model, wanted: str | None) -> Counted:
    """Runs in use, all, of a kind of device, or those whose cable, head or extenders a model is.

    The cable of devices that have one run each is settled, whichever of a group they are.
    """
    if wanted is None or wanted in _kinds(model):
        feeds: Terms = [(1, plug.count) for plug in model.plugs if wanted is None and isinstance(plug.payload, Bin)]
        return Counted(feeds, Fraction(_devices(model, wanted)))
    settled = {index for index, group in enumerate(model.groups) if has_one_run(group)}
    members = (member for index in settled for member, _ in model.groups[index].members)
    always = sum(member.routes[0].route.cable.model == wanted for member in members)
    terms: Terms = []
    for plug in model.plugs:
        run = run_of(model, plug)
        if run:
            cable_counts = not (isinstance(plug.payload, Way) and plug.payload.group in settled)
            names = {plug.bin.build.model.model, *(extender.model for extender in run[1].chain)}
            if wanted in names or (cable_counts and wanted == run[0].cable.model):
                terms.append((1, plug.count))
    return Counted(terms, Fraction(always))


def _places(model: Model, wanted: str | None, number: int) -> Iterator[Variable]:
    """A binary variable a place: whether units (all, of a model, or serving a kind of device) stand there."""
    for place, bins in model.at.items():
        units = [(item.count, item.most) for item in bins if wanted in (None, item.build.model.model)]
        units += [
            (plug.count, model.demand[place]) for item in bins for plug in model.of(item) if wanted and kind_of(model, plug) == wanted
        ]
        if units:
            yield any_of(model, f"extra{number}_{place}", units)


def any_of(model: Model, name: str, counts: Iterable[tuple[Variable, int]]) -> Variable:
    """A binary variable that is one where any of the counts (each with its most) is above zero."""
    chosen = model.rows.variable(name, 0, 1)
    for position, (count, most) in enumerate(counts):
        model.rows.at_most(f"{name}-{position}", [(1, count), (-most, chosen)])
    return chosen
