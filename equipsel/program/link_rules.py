"""Rules that tie plugs together: every device served, a data lead for each injector port, a port above each fed switch."""

from equipsel.feeds.fed import FedBuild
from equipsel.program.bins import Bin
from equipsel.program.model import Lead, Model, Plug, Way
from equipsel.program.rows import Terms, Variable
from equipsel.program.tangents import MARGIN_MW, Tangent, granted_tangents, head_tangents
from equipsel.program.unit_rules import loads


def define_served(model: Model, unserved: dict[int, Variable] | None = None) -> None:
    """Devices of a group plugged in (and, where allowed, unserved) = its count; <= where others may serve the rest."""
    served: dict[int, Terms] = {index: [] for index in range(len(model.groups))}
    for plug in model.plugs:
        if isinstance(plug.payload, Way):
            served[plug.payload.group].append((1, plug.count))
    for index, terms in served.items():
        missing: Terms = [(1, unserved[index])] if unserved else []
        tie = model.rows.at_most if index in model.optional else model.rows.equal
        tie(f"group{index}-served", [*terms, *missing], model.groups[index].count)


def define_leads(model: Model) -> None:
    """Data leads of a kind = ports in use on injectors that need that kind."""
    found: dict[Lead, Terms] = {}
    traffic: dict[Lead, Terms] = {}
    for plug in model.plugs:
        if isinstance(plug.payload, Lead):
            found.setdefault(plug.payload, []).append((1, plug.count))
            traffic.setdefault(plug.payload, []).extend(plug.traffic if plug.payload.fed else [])
        elif plug.bin.build.is_injector:
            found.setdefault(model.lead(plug), []).append((-1, plug.count))
    for number, (lead, terms) in enumerate(found.items()):
        model.rows.equal(f"lead{number}-{lead.place}-data", terms)
        if lead.fed and model.uplinks:
            _pass_traffic(model, lead.fed, [plug for plug in model.plugs if plug.payload == lead])


def define_fed(model: Model) -> None:
    """Fed switches = ports that feed them; what those ports reserve and pass on follows from what the switches hand out."""
    for fed in model.bins:
        if isinstance(fed.build, FedBuild):
            above = [plug for plug in model.plugs if plug.payload is fed]
            model.rows.equal(f"{fed.name}-fed", [*((1, plug.count) for plug in above), (-1, fed.count)])
            if model.uplinks and not fed.build.through_injector:
                _pass_traffic(model, fed, above)
            if model.site.rules.budget_basis != "class":
                _pass_load(model, fed, fed.build, above)


def _pass_traffic(model: Model, fed: Bin, above: list[Plug]) -> None:
    """Traffic above a fed switch = traffic on it; on each port what it carries at the least, and no more than its uplink may."""
    carried = [(-factor, variable) for plug in model.of(fed) for factor, variable in plug.traffic]
    passed = [term for plug in above for term in plug.traffic]
    if carried or passed:
        model.rows.equal(f"{fed.name}-passes", [*passed, *carried])
    limit = fed.build.traffic_mbps
    assert limit is not None, "a fed build is a switch"
    for plug in above:
        model.rows.at_most(f"{fed.name}-passes-{plug.bin.position}", [*plug.traffic, (-limit, plug.count)])
        if least := model.least_mbps(plug):
            model.rows.at_least(f"{fed.name}-passes_least-{plug.bin.position}", [*plug.traffic, (-least, plug.count)])


def _pass_load(model: Model, fed: Bin, build: FedBuild, above: list[Plug]) -> None:
    """mW reserved above >= the convex draw of the line, by its tangents at the points the search has visited."""
    least = model.least_upstream_mw(fed)
    for plug in above:
        most = min(build.upstream_mw(build.limit_mw), plug.bin.build.most_mw(plug.ports))
        model.rows.at_least(f"{fed.name}-least-{plug.bin.position}", [*plug.load, (-least, plug.count)])
        model.rows.at_most(f"{fed.name}-most-{plug.bin.position}", [*plug.load, (-most, plug.count)])
    handed, passed = loads(model.of(fed)), loads(above)
    for tangent in head_tangents(build, _points(model, fed), _margin(model, fed)):
        _above(model, f"{fed.name}-draws", passed, tangent, handed, fed)
    if model.site.rules.budget_basis == "granted":
        tenths = model.rows.variable(f"{fed.name}-tenths")
        model.rows.at_least(f"{fed.name}-granted", [*passed, (-100, tenths)])
        for tangent in granted_tangents(build, _points(model, fed), _margin(model, fed)):
            _above(model, f"{fed.name}-grants", [(100, tenths)], tangent, handed, fed)


def _points(model: Model, fed: Bin) -> list[int]:
    """The handed-out mW at which a fed build's draw is made exact: none, half, all, and what the search has visited."""
    visited = model.refinement.points.get(model.index[fed.build], ())
    return sorted({0, fed.build.limit_mw // 2, fed.build.limit_mw, *visited})


def _margin(model: Model, fed: Bin) -> float:
    """Tangents lie a hair below the curve; a hair above it where the hair below was seen to fall one milliwatt short."""
    return -MARGIN_MW if model.index[fed.build] in model.refinement.short else MARGIN_MW


def _above(model: Model, name: str, passed: Terms, tangent: Tangent, handed: Terms, fed: Bin) -> None:
    """Passed >= slope x handed + base x n."""
    lower = [(-tangent.slope * factor, variable) for factor, variable in handed]
    model.rows.at_least(name, [*passed, *lower, (-tangent.base_mw, fed.count)])
