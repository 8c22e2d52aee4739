"""Rows that follow from others, place by place: the units that stand there cover the ports and the watts asked of them.

They change no kit. A solver rounds them up over whole units, which the rows of each bin apart do not let it do.
"""

from collections.abc import Iterator
from decimal import Decimal

from equipsel.program.model import Bin, Model, Plug, Way
from equipsel.program.rows import Terms


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
