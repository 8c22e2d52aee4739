"""Describes a small invented site in a few lines, and solves it."""

from decimal import Decimal
from random import Random
from typing import Any, TypeVar

from equipsel.catalog import Catalog
from equipsel.feeds.builds import Build
from equipsel.feeds.ways import DeviceWays, all_builds, device_ways, groups, uplinks_matter
from equipsel.kit import Kit, Severity, Status
from equipsel.program.model import Problem
from equipsel.scenario import Scenario
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit

Row = dict[str, Any]
RULES: Row = {"cable_c": 20}
"""Cold conductors: then 100 m of the plain cable is 8.42 ohm a conductor, as tabled."""


def switch(model: str, price: float, budget_w: float, *groups: Row, **more: Any) -> Row:
    """A mains switch and its groups of ports (see `ports`)."""
    return {"model": model, "price": price, "budget_w": budget_w, "groups": list(groups), **more}


def supplied(model: str, price: float, slots: int, *groups: Row, **more: Any) -> Row:
    """A switch that takes supplies of fit "dc"."""
    return {"model": model, "price": price, "feed": "supply", "supply_fit": "dc", "supply_slots": slots, "groups": list(groups), **more}


def fed(model: str, price: float, in_class: int, *groups: Row, **more: Any) -> Row:
    """A switch fed through an Ethernet port."""
    return {"model": model, "price": price, "feed": "port", "in_class": in_class, "groups": list(groups), **more}


def ports(count: int, port_w: float, group: str = "out", **more: Any) -> Row:
    """A group of like ports."""
    return {"count": count, "port_w": port_w, "group": group, **more}


def catalog(*switches: Row, **tables: list[Row]) -> Catalog:
    """A catalog from rows of switches, with their ports in them, and other tables."""
    groups_of = [{"model": row["model"], **group} for row in switches for group in row["groups"]]
    plain = [{key: value for key, value in row.items() if key != "groups"} for row in switches]
    return Catalog.model_validate({"switches": plain, "ports": groups_of, **tables})


def device(name: str, watts: float, place: str = "hall", run_m: float = 30, **more: Any) -> Row:
    """A device; `class_` is its class."""
    return {"device": name, "watts": watts, "place": place, "run_m": run_m, **{key.rstrip("_"): value for key, value in more.items()}}


def run(source: str, to: str, run_m: float, **more: Any) -> Row:
    """A row of `runs`."""
    return {"from": source, "to": to, "run_m": run_m, **more}


def scenario(*devices: Row, rules: Row | None = None, **tables: list[Row]) -> Scenario:
    """A scenario from rows of devices, the rules that differ from the defaults, and other tables."""
    return Scenario.model_validate({"devices": list(devices), "rules": {**RULES, **(rules or {})}, **tables})


Whole = TypeVar("Whole", Catalog, Scenario)


def changed(whole: Whole, **tables: Any) -> Whole:
    """Another catalog or scenario with other tables: made anew, since a copy would keep what the first has looked up."""
    return type(whole)(**{**{name: getattr(whole, name) for name in type(whole).model_fields}, **tables})


def ruled(described: Scenario, **rules: Any) -> Scenario:
    """The same scenario under other rules."""
    return changed(described, rules=described.rules.model_copy(update={name: Decimal(str(value)) for name, value in rules.items()}))


def site(described: Scenario, bought: Catalog) -> Site:
    """Both together."""
    return Site(described, bought)


def powered(place: Site) -> tuple[list[Build], list[DeviceWays]]:
    """Everything that may stand anywhere, and every way to power each row of devices."""
    builds = all_builds(place)
    return builds, device_ways(place, builds)


def problem(place: Site) -> Problem:
    """The problem of a site, no build dropped."""
    builds, ways = powered(place)
    uplinks = uplinks_matter(place, builds)
    return Problem(place, groups(ways, place, uplinks), builds, uplinks)


def solved(described: Scenario, bought: Catalog) -> Kit:
    """The cheapest kit, which must be proven and pass its re-check, and whose lines must add up to its cost."""
    kit = cheapest_kit(described, bought, Limits(time_limit_s=30))
    assert kit.status is Status.OPTIMAL, (kit.status, kit.reasons)
    assert not [finding for finding in kit.findings if finding.severity is Severity.ERROR]
    assert sum(Decimal(str(line.cost)) for line in kit.lines or ()) == Decimal(str(kit.cost))
    assert (kit.lower_bound, kit.gap) == (kit.cost, 0)
    return kit


def refused(described: Scenario, bought: Catalog) -> str:
    """Why there is no kit, as one text."""
    kit = cheapest_kit(described, bought, Limits(time_limit_s=30))
    assert kit.status is Status.INFEASIBLE, (kit.status, kit.cost)
    return "\n".join(kit.reasons)


def models(kit: Kit) -> list[str]:
    """The models of its units, sorted."""
    return sorted(unit.model for unit in kit.units)


def lines(kit: Kit) -> dict[tuple[str, str], tuple[float, float]]:
    """Count and cost of each line by kind and model, over all places."""
    found: dict[tuple[str, str], tuple[float, float]] = {}
    for line in kit.lines or ():
        count, cost = found.get((line.kind, line.model), (0, 0.0))
        found[line.kind, line.model] = (count + line.count, round(cost + line.cost, 2))
    return found


def spread(places: int, rows: int) -> tuple[Scenario, Catalog]:
    """Places that cost something to open, and devices that reach five of them each: hard to prove, easy to pack. Always the same."""
    rng, names = Random(1), [f"p{number}" for number in range(places)]
    devices: list[Row] = []
    runs: list[Row] = []
    for number in range(rows):
        spots = rng.sample(names, 5)
        devices.append(device(f"d{number}", rng.choice((5, 20, 45, 70)), spots[0], run_m=rng.randint(10, 95), count=rng.randint(1, 4)))
        runs += [run(f"d{number}", spot, rng.randint(10, 95)) for spot in spots[1:]]
    sizes = [(count, watts) for count in (4, 8, 16) for watts in (15.4, 30, 60, 90)]
    switches = [
        switch(f"s{count}_{watts}", 40 + count * 9 + watts * 2 + rng.randint(0, 30), count * watts, ports(count, watts))
        for count, watts in sizes
    ]
    spots_ = [{"place": name, "open_cost": rng.randint(50, 200)} for name in names]
    return scenario(*devices, runs=runs, places=spots_), catalog(*switches, cables=[{"model": "c", "price_per_m": "0.83", "awg": 23}])
