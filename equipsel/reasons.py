"""Why there is no kit: the devices no way can power, or those that cannot all be served together."""

from collections.abc import Iterable

import pulp

from equipsel.feeds.lines import Refusal
from equipsel.feeds.ways import DeviceWays
from equipsel.program import link_rules
from equipsel.program.adapter import solve, whole
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.search import RULES

MOST_REASONS = 3
"""Refusals named for one device, the nearest to working of each rule (our own limit)."""

NEAREST_FIRST = ("volts", "current", "bundle", "port watts", "extender", "class", "collapse", "pairs", "speed")
"""Rules in the order in which a refusal by them is near to working: a line that was solved before one that was not."""


def impossible_devices(ways: Iterable[DeviceWays]) -> tuple[str, ...]:
    """One sentence a device that the catalog cannot power at all: what was tried and the number that stopped it."""
    return tuple(_impossible(item) for item in ways if not item.possible)


def _impossible(ways: DeviceWays) -> str:
    device = ways.device
    needs = f"needs {device.pd_w:f} W" if device.pd_w else "needs a data port"
    nearest: dict[str, Refusal] = {}
    for refusal in ways.refusals:
        known = nearest.setdefault(refusal.rule, refusal)
        if refusal.nearness > known.nearness:
            nearest[refusal.rule] = refusal
    order = [*NEAREST_FIRST, *(rule for rule in nearest if rule not in NEAREST_FIRST)]
    tried = [nearest[rule].message for rule in order if rule in nearest][:MOST_REASONS]
    runs = " or ".join(f"{item.route.run_m:f} m to {item.route.place}" for item in ways.routes) or f"{device.run_m:f} m to {device.place}"
    return f"{device.device}: {needs} at {runs}; " + "; ".join(tried or ["nothing in the catalog may stand there"])


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


