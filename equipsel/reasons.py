"""Why there is no kit: the devices no way can power, or those that cannot all be served together."""

from collections.abc import Callable, Iterable

import pulp

from equipsel.catalog import Injector, Switch
from equipsel.feeds.builds import Build
from equipsel.feeds.fed import fed_refusals
from equipsel.feeds.fits import fits
from equipsel.feeds.lines import Refusal
from equipsel.feeds.ways import DeviceWays, Group
from equipsel.program import link_rules, place_rules, site_rules, unit_rules
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
        return _why_nothing_stands(place, site)
    text = f"{place} has no mains, so only a switch fed through a port may stand there"
    if site.rules.max_cascade == 0:
        return f"{text}, and max_cascade is 0"
    refused = nearest(fed_refusals(place, [build for build in builds if build.level == 0], site))
    return f"{text}: " + "; ".join(refusal.message for refusal in refused) if refused else text


def _why_nothing_stands(place: str, site: Site) -> str:
    spot = site.scenario.place[place]
    rows: list[Switch | Injector] = [*(row for row in site.catalog.switches if row.feed != "port"), *site.catalog.injectors]
    bear = [row.model for row in rows if fits(row, spot.ip, spot.low_c, spot.high_c)]
    if not bear:
        return f"nothing in the catalog bears the ingress and ambient of {place}"
    least = "two or more (redundant_supplies)" if site.rules.redundant_supplies else "one or more"
    return f"of what bears {place} ({', '.join(bear)}) each needs {least} supplies that fit it, bear the place and give more than it draws"


LIFTED: dict[str, Callable[[Model], None]] = {
    "rack_u": place_rules.define_rack,
    "outlets": place_rules.define_outlets,
    "circuit_a, circuit_v and circuit_load_pct": place_rules.define_circuit,
    "spare_ports_pct": place_rules.define_spare_ports,
    "max_critical_share_pct": place_rules.define_critical_share,
    "backup_minutes": place_rules.define_backup,
    "max_models": site_rules.define_max_models,
    "uplink_share_pct": unit_rules.define_uplink,
}
"""Rules that are lifted one at a time, to see whether every device could then be served."""


def unserved(problem: Problem, time_limit_s: float) -> tuple[str, ...]:
    """Devices left over when as many as possible are served, and the rules any one of which, lifted, would let all be served."""
    left = _left_over(problem, None, time_limit_s)
    if left is None:
        return ("no kit satisfies every rule",)
    found = [_left_words(problem.groups[index], count) for index, count in left.items()]
    if not found:
        return ("each device can be served, but no packing of whole units satisfies every rule",)
    share = time_limit_s / len(LIFTED)
    lifted = [words for words, rule in LIFTED.items() if _left_over(problem, rule, share) == {}]
    if lifted:
        found.append(f"in the way: {'; or '.join(lifted)} (without it every device could be served)")
    return tuple(found)


def _left_words(group: Group, count: int) -> str:
    names = ", ".join(name for _, name in group.members[-count:])
    places = " or ".join(dict.fromkeys(item.route.place for item in group.first.routes))
    return f"{places}: {count} of {group.count} devices like {group.first.device.device} cannot be served ({names})"


def _left_over(problem: Problem, lifted: Callable[[Model], None] | None, time_limit_s: float) -> dict[int, int] | None:
    """How many devices of each group are left when as many as possible are served; None where that was not found in time."""
    model = Model(problem, Refinement())
    left = {index: model.rows.variable(f"unserved_{index}", 0, group.count) for index, group in enumerate(problem.groups)}
    link_rules.define_served(model, left)
    for rule in RULES:
        if rule is not lifted:
            rule(model)
    model.rows.problem += pulp.lpSum(left.values())
    answer = solve(model.rows.problem, 0.0, time_limit_s)
    return {index: whole(count) for index, count in left.items() if whole(count)} if answer.found else None
