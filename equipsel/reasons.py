"""Why there is no kit: the devices no way can power, or those that cannot all be served together."""

from collections.abc import Iterable

import pulp

from equipsel.feeds.builds import Build
from equipsel.feeds.fed import fed_refusals
from equipsel.feeds.lines import Refusal
from equipsel.feeds.ways import DeviceWays
from equipsel.program import link_rules
from equipsel.program.adapter import solve, whole
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.search import RULES
from equipsel.site import Site

MOST_REASONS = 3
"""Refusals named for one device, the nearest to working of each rule (our own limit)."""

NEAREST_FIRST = ("volts", "current", "bundle", "port watts", "extender", "class", "collapse", "pairs", "speed")
"""Rules in the order in which a refusal by them is near to working: a line that was solved before one that was not."""


def impossible_devices(ways: Iterable[DeviceWays], site: Site, builds: list[Build]) -> tuple[str, ...]:
    """One sentence a device that the catalog cannot power at all: what was tried and the number that stopped it."""
    return tuple(_impossible(item, site, builds) for item in ways if not item.possible)


def _impossible(ways: DeviceWays, site: Site, builds: list[Build]) -> str:
    device = ways.device
    needs = f"needs {device.pd_w:f} W" if device.pd_w else "needs a data port"
    tried = [refusal.message for refusal in nearest(ways.refusals)]
    standing = {build.place for build in builds}
    empty = [item.route.place for item in ways.routes if item.route.place not in standing]
    tried += [why_empty(place, site, builds) for place in dict.fromkeys(empty)]
    runs = " or ".join(f"{item.route.run_m:f} m to {item.route.place}" for item in ways.routes) or f"{device.run_m:f} m to {device.place}"
    return f"{device.device}: {needs} at {runs}; " + "; ".join(tried or ["nothing in the catalog may stand there"])


def nearest(refusals: Iterable[Refusal]) -> list[Refusal]:
    """The refusal nearest to working of each rule, the nearest rules first."""
    found: dict[str, Refusal] = {}
    for refusal in refusals:
        if refusal.nearness > found.setdefault(refusal.rule, refusal).nearness:
            found[refusal.rule] = refusal
    order = [*NEAREST_FIRST, *(rule for rule in found if rule not in NEAREST_FIRST)]
    return [found[rule] for rule in order if rule in found][:MOST_REASONS]


def why_empty(place: str, site: Site, builds: list[Build]) -> str:
    """Why nothing of the catalog may stand in a place."""
    if site.scenario.place[place].mains:
        return f"nothing in the catalog bears the ingress and ambient of {place}"
    text = f"{place} has no mains, so only a switch fed through a port may stand there"
    if site.rules.max_cascade == 0:
        return f"{text}, and max_cascade is 0"
    refused = nearest(fed_refusals(place, [build for build in builds if build.level == 0], site))
    return f"{text}: " + "; ".join(refusal.message for refusal in refused) if refused else text


def unserved(problem: Problem, time_limit_s: float) -> tuple[str, ...]:
    """Devices left over when as many as possible are served: they cannot all be served together with the others."""
    model = Model(problem, Refinement())
    left = {index: model.rows.variable(f"unserved_{index}", 0, group.count) for index, group in enumerate(problem.groups)}
    link_rules.define_served(model, left)
    for rule in RULES:
        rule(model)
    model.rows.problem += pulp.lpSum(left.values())
    answer = solve(model.rows.problem, 0.0, time_limit_s)
    if not answer.found:
        return ("no kit satisfies every rule",)
    found = []
    for index, count in left.items():
        if whole(count):
            group = problem.groups[index]
            names = ", ".join(name for _, name in group.members[-whole(count) :])
            places = " or ".join(dict.fromkeys(item.route.place for item in group.first.routes))
            found.append(f"{places}: {whole(count)} of {group.count} devices like {group.first.device.device} cannot be served ({names})")
    return tuple(found) or ("each device can be served, but no packing of whole units satisfies every rule",)
