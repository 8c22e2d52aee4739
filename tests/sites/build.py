"""Small helpers to describe a site in a few lines and to read the kit chosen for it. Everything described with them is invented."""

from typing import Any

from equipsel.catalog import Catalog
from equipsel.kit import Connection, Kit, Severity, Status, Unit
from equipsel.scenario import Scenario
from equipsel.solve import Limits, cheapest_kit

Row = dict[str, Any]


def catalog(**tables: list[Row]) -> Catalog:
    """A catalog from rows; `ports` of a switch may stand in its own row as {group: {count, port_w, ...}}."""
    switches, ports = [], list(tables.pop("ports", []))
    for row in tables.pop("switches", []):
        groups = row.get("groups", {})
        ports += [{"model": row["model"], "group": name, **group} for name, group in groups.items()]
        switches.append({key: value for key, value in row.items() if key != "groups"})
    return Catalog.model_validate({"switches": switches, "ports": ports, **tables})


def ports(count: int, port_w: float, **more: Any) -> Row:
    """Ports of a switch, all alike."""
    return {"count": count, "port_w": port_w, **more}


def scenario(rules: Row | None = None, **tables: list[Row]) -> Scenario:
    """A scenario from rows. `rules` are those that differ from the defaults."""
    return Scenario.model_validate({"rules": rules or {}, **tables})


def solved(site: Scenario, bought: Catalog) -> Kit:
    """The cheapest kit; it must be proven and without an error of its re-check."""
    kit = cheapest_kit(site, bought, Limits(time_limit_s=60))
    assert kit.status is Status.OPTIMAL, (kit.status, kit.gap, kit.reasons)
    assert not [item for item in kit.findings if item.severity is Severity.ERROR]
    assert kit.cost == kit.lower_bound
    return kit


def refused(site: Scenario, bought: Catalog) -> str:
    """Why there is no kit, in one text."""
    kit = cheapest_kit(site, bought, Limits(time_limit_s=60))
    assert kit.status is Status.INFEASIBLE, (kit.status, kit.cost)
    assert kit.cost is None
    assert not kit.units
    assert kit.reasons
    return "\n".join(kit.reasons)


def bill(kit: Kit) -> dict[str, float]:
    """How many of each model over the whole site, owned ones too."""
    found: dict[str, float] = {}
    for line in kit.lines or ():
        found[line.model] = found.get(line.model, 0) + line.count
    return found


def units(kit: Kit, model: str) -> list[Unit]:
    """Units of a model."""
    return [unit for unit in kit.units if unit.model == model]


def unit(kit: Kit, model: str) -> Unit:
    """The only unit of a model."""
    (only,) = units(kit, model)
    return only


def row(kit: Kit, device: str) -> Connection:
    """The connection of a device."""
    return next(item for item in kit.connections if item.device == device)


def places(kit: Kit) -> list[str]:
    """The place of each device, in the order of their names."""
    return [item.place for item in sorted(kit.connections, key=lambda item: item.device)]
