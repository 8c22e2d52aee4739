"""What binds and how close: ports and watts of units, uplinks, rack, outlets, circuits, batteries, spare ports, models."""

from collections.abc import Iterator
from fractions import Fraction

from equipsel.audit.facts import Facts, UnitFact, build_facts
from equipsel.kit import Binding, Connection, FedBy, Kit
from equipsel.quantities import share_up
from equipsel.scenario import Place
from equipsel.site import Site


def bindings(site: Site, kit: Kit) -> tuple[Binding, ...]:
    """Every limit of a kit, the closest first."""
    facts = build_facts(kit, site.scenario, site.catalog)
    used = _ports_in_use(kit)
    found = [limit for fact in facts.units.values() for limit in _of_unit(fact, used, site)]
    found += [limit for place in site.scenario.place.values() for limit in _of_place(place, facts, used, site)]
    if site.rules.max_models is not None:
        models = {unit.model for unit in kit.units} | {step.model for one in kit.connections for step in one.extenders}
        models |= {step.model for unit in kit.units if unit.fed_by for step in unit.fed_by.extenders}
        found.append(_limit("site", "models (max_models)", len(models), site.rules.max_models, ""))
    return tuple(sorted(found, key=lambda limit: -limit.pct))


def _limit(where: str, what: str, used: Fraction | float, limit: Fraction | float, unit: str) -> Binding:
    pct = 100 * Fraction(used) / Fraction(limit) if limit else Fraction(100 if used else 0)
    return Binding(where=where, what=what, used=_plain(used), limit=_plain(limit), unit=unit, pct=round(float(pct), 1))


def _plain(value: Fraction | float) -> float | int:
    return int(value) if Fraction(value).denominator == 1 else round(float(value), 3)


def _ports_in_use(kit: Kit) -> dict[str, set[tuple[str, int]]]:
    """Ports in use of each unit, data leads of injectors too."""
    found: dict[str, set[tuple[str, int]]] = {}
    plugs: list[Connection | FedBy] = [*kit.connections, *(unit.fed_by for unit in kit.units if unit.fed_by)]
    for plug in plugs:
        found.setdefault(plug.unit, set()).add((plug.group, plug.port))
        if plug.injector:
            found.setdefault(plug.injector.unit, set()).add(("", plug.injector.port))
    return found


def _powered_in_use(fact: UnitFact, used: dict[str, set[tuple[str, int]]]) -> int:
    powered = {"", *(group.group for group in fact.node.groups if group.port_w > 0)}
    return sum(group in powered for group, _ in used.get(fact.node.name, ()))


def _of_unit(fact: UnitFact, used: dict[str, set[tuple[str, int]]], site: Site) -> Iterator[Binding]:
    name, total = fact.node.name, fact.node.powered_ports
    if total > 1:
        yield _limit(name, "powered ports", _powered_in_use(fact, used), total, "ports")
    if total:
        spare = f", {site.rules.spare_watts_pct:f} % kept spare" if site.rules.spare_watts_pct and total > 1 else ""
        yield _limit(name, f"watts reserved{spare}", Fraction(fact.reserved_mw, 1000), Fraction(fact.room_mw, 1000), "W")
    if fact.node.switch and fact.traffic_mbps:
        share = Fraction(fact.node.switch.uplink_mbps) * Fraction(site.rules.uplink_share_pct) / 100
        yield _limit(name, "traffic on its uplink", Fraction(fact.traffic_mbps), share, "Mb/s")


def _of_place(place: Place, facts: Facts, used: dict[str, set[tuple[str, int]]], site: Site) -> Iterator[Binding]:
    units, name, rules = facts.by_place.get(place.place, []), place.place, site.rules
    if not units:
        return
    if rules.spare_ports_pct:
        total = sum(fact.node.powered_ports for fact in units)
        taken = sum(_powered_in_use(fact, used) for fact in units)
        yield _limit(name, "powered ports less the spare", taken, total - share_up(rules.spare_ports_pct, total), "ports")
    batteries = facts.batteries.get(name, [])
    if place.rack_u is not None:
        rows = [*(row for fact in units for row in (fact.node.model, *fact.node.supplies) if row), *batteries]
        yield _limit(name, "rack", sum((Fraction(row.rack_u) for row in rows), Fraction(0)), Fraction(place.rack_u), "U")
    if place.outlets is not None:
        taken = sum(len(fact.node.supplies) or int(not fact.node.is_fed) for fact in units)
        yield _limit(name, "outlets", taken, place.outlets, "")
    drawn = sum((fact.mains_w for fact in units), Fraction(0))
    if place.circuit_a is not None and place.circuit_v is not None:
        gives = Fraction(place.circuit_a) * Fraction(place.circuit_v) * Fraction(rules.circuit_load_pct) / 100
        yield _limit(name, "circuit", drawn, gives, "W")
    if batteries:
        yield _limit(name, "watts of batteries", drawn, sum((Fraction(row.watts) for row in batteries), Fraction(0)), "W")
