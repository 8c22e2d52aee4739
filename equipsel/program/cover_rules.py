"""Rows that follow from others, place by place: the units that stand there cover the ports and the watts asked of them.

They change no kit. A solver rounds them up over whole units, which the rows of each bin apart do not let it do.
"""

from collections.abc import Iterator
from decimal import Decimal
from functools import lru_cache

from equipsel.feeds.builds import Build
from equipsel.program.bins import Bin
from equipsel.program.model import Lead, Model, Plug, Way
from equipsel.program.rows import Terms

FINEST = 8
"""Loads are rounded to at most this many steps of a budget; finer ones say little more (measured)."""

LARGEST_BUDGETS = 3
"""How many of a place's budgets are used as the measure, the largest first (our own limit)."""


def define_cover(model: Model) -> None:
    """For devices that need a port of at least t watts: their number <= such ports, their mW <= budgets of units with such."""
    for place, bins in model.at.items():
        plugs = [plug for item in bins for plug in model.of(item) if isinstance(plug.payload, Way)]
        weakest = _weakest_ports(plugs)
        for needed in sorted(set(weakest.values())):
            asking = {group for group, port_w in weakest.items() if port_w >= needed}
            asked = [plug for plug in plugs if isinstance(plug.payload, Way) and plug.payload.group in asking]
            _cover(model, f"{place}-from_{needed:f}_w", bins, asked, asking, needed)


def _weakest_ports(plugs: list[Plug]) -> dict[int, Decimal]:
    """The watts of the weakest port that serves each group in a place."""
    found: dict[int, Decimal] = {}
    for plug in plugs:
        if isinstance(plug.payload, Way):
            port_w = plug.ports.head.port_w
            found[plug.payload.group] = min(port_w, found.get(plug.payload.group, port_w))
    return found


def _cover(model: Model, name: str, bins: list[Bin], asked: list[Plug], asking: set[int], needed: Decimal) -> None:
    devices = sum(model.groups[index].count for index in asking)
    load = sum(max(_loads(asked, index)) * model.groups[index].count for index in asking)
    ports: Terms = []
    budgets: Terms = []
    for item in bins:
        strong = sum(group.count for group in item.build.ports if group.head.port_w >= needed)
        if strong:
            ports.append((min(strong, devices), item.count))
            budgets.append((min(item.build.limit_mw, load), item.count))
    model.rows.at_least(f"{name}-ports", [*ports, *((-1, plug.count) for plug in asked)])
    if load:
        drawn: Terms = [(-factor, variable) for plug in asked for factor, variable in plug.load]
        model.rows.at_least(f"{name}-watts", [*budgets, *drawn])


def _loads(asked: list[Plug], index: int) -> Iterator[int]:
    """The mW that a device of a group has reserved by each of its ways."""
    for plug in asked:
        if isinstance(plug.payload, Way) and plug.payload.group == index:
            yield plug.payload.feed.reserved_mw


def define_rounded_loads(model: Model) -> None:
    """Loads rounded down to whole steps of a budget: their sum <= the most steps one unit can hold x n, over all units.

    With f(w) = floor((k + 1) w / W): sum of f over what is plugged in <= sum of n x (the most f that fits into a unit at
    once, found exactly). What does not fit beside another in any unit counts as it should (after dual feasible functions).
    """
    for place, bins in model.at.items():
        plugs = [plug for item in bins for plug in model.of(item) if not isinstance(plug.payload, Lead) and model.least_mw(plug)]
        counts = _counts_by_load(model, plugs)
        budgets = sorted({item.build.limit_mw for item in bins if item.build.limit_mw}, reverse=True)[:LARGEST_BUDGETS]
        steps = {_rounded(counts, budget, k): (budget, k) for budget in budgets for k in range(1, FINEST + 1)}
        for rounded, (budget, k) in steps.items():
            if any(step for _, step in rounded):
                _cover_rounded(model, f"{place}-rounded_{budget}_{k}", bins, plugs, counts, dict(rounded))


def _rounded(counts: dict[int, int], budget: int, k: int) -> tuple[tuple[int, int], ...]:
    return tuple((load, (k + 1) * load // budget) for load in counts)


def _cover_rounded(model: Model, name: str, bins: list[Bin], plugs: list[Plug], counts: dict[int, int], steps: dict[int, int]) -> None:
    holds: Terms = [(most, item.count) for item in bins if (most := most_steps(item.build, counts, steps))]
    asked: Terms = [(-steps[load], plug.count) for plug in plugs if steps[load := model.least_mw(plug)]]
    model.rows.at_least(name, [*holds, *asked])


def _counts_by_load(model: Model, plugs: list[Plug]) -> dict[int, int]:
    """How many of each load, in mW, there can be at most in a place, the largest loads first."""
    groups: dict[int, set[int]] = {}
    feeds: dict[int, dict[int, int]] = {}
    for plug in plugs:
        load = model.least_mw(plug)
        groups.setdefault(load, set())
        if isinstance(plug.payload, Way):
            groups[load].add(plug.payload.group)
        elif isinstance(plug.payload, Bin):
            feeds.setdefault(load, {})[plug.payload.position] = plug.payload.most
    return {
        load: sum(model.groups[index].count for index in groups[load]) + sum(feeds.get(load, {}).values())
        for load in sorted(groups, reverse=True)
    }


def most_steps(build: Build, counts: dict[int, int], steps: dict[int, int]) -> int:
    """The most steps of load that fit into one unit at once, within its powered ports and its budget (exact)."""
    ports = build.powered_ports
    loads = tuple((load, step, min(counts[load], ports)) for load, step in steps.items() if step)
    return _most_steps(ports, build.limit_mw, loads)


@lru_cache(maxsize=100_000)
def _most_steps(ports: int, limit_mw: int, loads: tuple[tuple[int, int, int], ...]) -> int:
    """The same of so many ports and mW, for loads of so many steps and so many of each: asked again for every like place."""
    lightest = {(0, 0): 0}
    for load, step, count in loads:
        lightest = _with_more(lightest, load, step, count, ports, limit_mw)
    return max(value for _, value in lightest)


def _with_more(
    lightest: dict[tuple[int, int], int], load: int, step: int, count: int, most_ports: int, limit_mw: int
) -> dict[tuple[int, int], int]:
    """The lightest contents by (ports, steps), with up to `count` more of a load."""
    found = dict(lightest)
    for (ports, value), weight in lightest.items():
        for number in range(1, min(count, most_ports - ports, (limit_mw - weight) // load) + 1):
            key = (ports + number, value + number * step)
            found[key] = min(weight + number * load, found.get(key, limit_mw))
    return found
