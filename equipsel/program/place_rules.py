"""Rules of one place: spare ports, rack, outlets, circuit, batteries, critical devices."""

from collections.abc import Iterator
from fractions import Fraction

from equipsel.feeds.fed import FedBuild
from equipsel.heat import AGEING
from equipsel.program.bins import Bin
from equipsel.program.model import Lead, Model, Way
from equipsel.program.rows import Terms, Variable
from equipsel.program.unit_rules import loads
from equipsel.scenario import Place


def define_spare_ports(model: Model) -> None:
    """In each place: powered ports in use + spare <= powered ports, spare >= spare_ports_pct of them, a whole number."""
    pct = Fraction(model.site.rules.spare_ports_pct)
    if not pct:
        return
    for place, bins in model.at.items():
        total: Terms = [(item.build.powered_ports, item.count) for item in bins]
        used: Terms = [(1, plug.count) for item in bins for plug in model.of(item) if plug.ports.powered]
        spare = model.rows.variable(f"spare_{place}")
        model.rows.at_least(f"{place}-spare_ports", [(100, spare), *((-pct * factor, variable) for factor, variable in total)])
        model.rows.at_most(f"{place}-ports_used", [*used, (1, spare), *((-factor, variable) for factor, variable in total)])


def define_rack(model: Model) -> None:
    """Rack space of units, their supplies and batteries <= the place's."""
    for place, bins in _places(model):
        if place.rack_u is not None:
            used: Terms = [(Fraction(item.build.rack_u), item.count) for item in bins]
            used += [(Fraction(model.site.catalog.battery[name].rack_u), count) for name, count in model.batteries[place.place].items()]
            model.rows.at_most(f"{place.place}-rack", used, Fraction(place.rack_u))


def define_outlets(model: Model) -> None:
    """Mains outlets of units and supplies <= the place's."""
    for place, bins in _places(model):
        if place.outlets is not None:
            model.rows.at_most(f"{place.place}-outlets", [(item.build.outlets, item.count) for item in bins], place.outlets)


def mains_terms(model: Model, bins: list[Bin]) -> Terms:
    """mW drawn from the mains by the units of a place: (own + reserved) / efficiency."""
    found: Terms = []
    for item in bins:
        if not isinstance(item.build, FedBuild):
            found.append((item.build.own_mw / item.build.efficiency, item.count))
            found += [(factor / item.build.efficiency, variable) for factor, variable in loads(model.of(item))]
    return found


def define_circuit(model: Model) -> None:
    """Mains draw of a place <= circuit_load_pct x amps x volts."""
    share = Fraction(model.site.rules.circuit_load_pct) / 100
    for place, bins in _places(model):
        if place.circuit_a is not None and place.circuit_v is not None:
            limit_mw = share * Fraction(place.circuit_a) * Fraction(place.circuit_v) * 1000
            model.rows.at_most(f"{place.place}-circuit", mains_terms(model, bins), limit_mw)


def define_critical_share(model: Model) -> None:
    """Critical devices on a unit <= the larger of one and max_critical_share_pct of those served in its place."""
    pct = Fraction(model.site.rules.max_critical_share_pct)
    if pct == 100:
        return
    for place, bins in model.at.items():
        critical = [plug for item in bins for plug in model.of(item) if plug.critical]
        served: Terms = [(1, plug.count) for plug in critical if isinstance(plug.payload, Way)]
        if served:
            many = sum(model.groups[index].count for index in {plug.payload.group for plug in critical if isinstance(plug.payload, Way)})
            allowed = _critical_allowed(model, place, served, pct, many)
            for item in bins:
                on_unit: Terms = [(1, plug.count) for plug in model.of(item) if plug.critical]
                if item.most == 1:
                    model.rows.at_most(f"{item.name}-critical", [*on_unit, (-1, allowed)])
                model.rows.at_most(f"{item.name}-critical_pool", [*on_unit, (-max(1, int(pct * many / 100)), item.count)])


def _critical_allowed(model: Model, place: str, served: Terms, pct: Fraction, many: int) -> Variable:
    """An integer variable: at most one, or (where chosen) at most the share of those served."""
    allowed = model.rows.variable(f"critical_{place}", 0, max(1, int(pct * many / 100)))
    shared = model.rows.variable(f"shared_{place}", 0, 1)
    model.rows.at_most(f"{place}-critical_one", [(1, allowed), (-many, shared)], 1)
    share: Terms = [(-pct, variable) for _, variable in served]
    model.rows.at_most(f"{place}-critical_share", [(100, allowed), *share, (100 * many, shared)], 100 * many)
    return allowed


def define_backup(model: Model) -> None:
    """Batteries in a place that holds: watts >= mains draw; watt-hours x efficiency >= mains draw x minutes x ageing."""
    _define_holding(model)
    need = Fraction(model.site.rules.backup_minutes) / 60 * AGEING
    for place, holds in model.holds.items():
        units = [(model.site.catalog.battery[name], count) for name, count in model.batteries[place].items()]
        lacking: Terms = [(-factor, variable) for factor, variable in mains_terms(model, model.at[place])]
        ceiling = _mains_ceiling(model, place)
        power: Terms = [(Fraction(battery.watts) * 1000, count) for battery, count in units]
        model.rows.at_least(f"{place}-backup_watts", [*power, *lacking, (-ceiling, holds)], -ceiling)
        energy: Terms = [(Fraction(battery.watt_hours) * Fraction(battery.efficiency) * 1000, count) for battery, count in units]
        wanted: Terms = [(factor * need, variable) for factor, variable in lacking]
        model.rows.at_least(f"{place}-backup_energy", [*energy, *wanted, (-ceiling * need, holds)], -ceiling * need)


def _define_holding(model: Model) -> None:
    """A place holds when a device to back up hangs on it, on a unit there or through switches fed from there; its data lead too."""
    for position, carries in model.carries.items():
        item = model.bins[position]
        if (holds := model.holds.get(item.build.place)) is not None:
            model.rows.at_most(f"{item.name}-holds_place", [(1, carries), (-1, holds)])
    held: dict[tuple[str, int], tuple[Variable, Terms]] = {}
    for plug in model.plugs if model.holds else ():
        host = model.carries.get(plug.bin.position, model.holds.get(plug.bin.build.place))
        if host is None:
            continue
        if isinstance(plug.payload, Way) and model.groups[plug.payload.group].first.device.backup:
            held.setdefault((host.name, plug.payload.group), (host, []))[1].append((1, plug.count))
        if isinstance(plug.payload, Lead) and plug.payload.backup:
            most = model.demand[plug.payload.place]
            model.rows.at_most(f"{plug.bin.name}-holds_data", [(1, plug.count), (-most, host)])
        fed = plug.payload if isinstance(plug.payload, Bin) else plug.payload.fed if isinstance(plug.payload, Lead) else None
        if fed is not None:
            most, carries = fed.most, model.carries[fed.position]
            model.rows.at_most(f"{plug.bin.name}-holds", [(1, plug.count), (-most, host), (most, carries)], most)
    for (name, group), (host, plugged) in held.items():
        model.rows.at_most(f"{name}-group{group}", [*plugged, (-model.groups[group].count, host)])


def _mains_ceiling(model: Model, place: str) -> Fraction:
    """More mW than the mains of a place can ever see: every device and every unit there at once."""
    total = Fraction(0)
    for item in model.at[place]:
        if not isinstance(item.build, FedBuild):
            most = item.build.own_mw + item.build.limit_mw
            total = max(total, most / item.build.efficiency)
    return total * model.demand[place] * 2


def _places(model: Model) -> Iterator[tuple[Place, list[Bin]]]:
    for name, bins in model.at.items():
        yield model.site.scenario.place[name], bins
