"""Rules of one unit: its ports, its groups, its budget, its uplink. n is the number of units in a bin."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from equipsel.feeds.builds import Ports
from equipsel.program.bins import Bin
from equipsel.program.model import Model, Plug, Way
from equipsel.program.rows import Term, Terms


def loads(plugs: Iterable[Plug]) -> Terms:
    """mW reserved by plugs."""
    return [term for plug in plugs for term in plug.load]


def define_ports(model: Model) -> None:
    """Ports in use <= ports x n, for each group of ports.

    Never more than could be plugged in there at all: a tighter row for a unit larger than its place needs.
    """
    for item in model.bins:
        for ports in item.build.ports:
            plugs = [plug for plug in model.of(item) if plug.ports is ports]
            most = min(ports.count, model.most_plugs(item, plugs))
            model.rows.at_most(f"{item.name}-ports-{ports.group}", [*((1, plug.count) for plug in plugs), (-most, item.count)])


def define_all_ports(model: Model) -> None:
    """Ports in use on a unit <= what could be plugged into it at all x n, where that is less than it has."""
    for item in model.bins:
        plugs = model.of(item)
        most = model.most_plugs(item, plugs)
        if len(item.build.ports) > 1 and most < sum(ports.count for ports in item.build.ports):
            model.rows.at_most(f"{item.name}-ports", [*((1, plug.count) for plug in plugs), (-most, item.count)])


def define_each_group(model: Model) -> None:
    """Devices of a group on a unit <= the group's count x n, where that is less than its ports."""
    for item in model.bins:
        shares: dict[int, Terms] = {}
        for plug in model.of(item):
            if isinstance(plug.payload, Way):
                shares.setdefault(plug.payload.group, []).append((1, plug.count))
        for index, terms in shares.items():
            most = model.groups[index].count
            if most < sum(ports.count for ports in item.build.ports):
                model.rows.at_most(f"{item.name}-group{index}", [*terms, (-most, item.count)])


def define_group_watts(model: Model) -> None:
    """mW reserved on a group of ports <= group_w x n."""
    for item in model.bins:
        for ports in item.build.ports:
            if ports.limit_mw is not None:
                used = loads(plug for plug in model.of(item) if plug.ports is ports)
                model.rows.at_most(f"{item.name}-group_w-{ports.group}", [*used, (-ports.limit_mw, item.count)])


def define_budget(model: Model) -> None:
    """mW reserved on a unit <= budget x (1 - spare) x n; never more than could be plugged into it at all."""
    for item in model.bins:
        limit = max(0, min(model.hosts.most_handed_mw(item), model.most_load(item)))
        if budget_binds(model, item) or limit < item.build.limit_mw:
            model.rows.at_most(f"{item.name}-budget", [*loads(model.of(item)), (-limit, item.count)])


def budget_binds(model: Model, item: Bin) -> bool:
    """Whether a budget can bind at all: not where every port may have its heaviest load at once."""
    heaviest: dict[str, int] = {}
    for plug in model.of(item):
        load = plug.payload.fed_build.fed[0].reserved_mw if isinstance(plug.payload, Bin) else model.least_mw(plug)
        heaviest[plug.ports.group] = max(load, heaviest.get(plug.ports.group, 0))
    return sum(ports.count * heaviest.get(ports.group, 0) for ports in item.build.ports) > item.build.limit_mw


def define_large_loads(model: Model) -> None:
    """Loads above budget / (k + 1): at most k x n of them (valid for every packing; sharpens the bound of a pool)."""
    for item in model.bins:
        if budget_binds(model, item):
            _large(model, item, item.build.limit_mw, [(model.least_mw(plug), plug) for plug in model.of(item)], "budget")
        for ports in item.build.ports:
            if ports.limit_mw is not None:
                sized = [(model.least_mw(plug), plug) for plug in model.of(item) if plug.ports is ports]
                _large(model, item, ports.limit_mw, sized, ports.group)


def define_large_traffic(model: Model) -> None:
    """The same of traffic: more than uplink / (k + 1) each, at most k x n of them."""
    for item in model.bins:
        limit = item.build.traffic_mbps
        if limit is not None and model.uplinks:
            _large(model, item, limit, [(model.least_mbps(plug), plug) for plug in model.of(item)], "uplink")


def _large(model: Model, item: Bin, limit: int | Fraction, plugs: Sequence[tuple[int | Fraction, Plug]], name: str) -> None:
    sized = [(size, plug) for size, plug in plugs if size > 0]
    smallest: dict[int, int | Fraction] = {}
    for size, _ in sized:
        together = int(limit // size)
        smallest[together] = min(size, smallest.get(together, size))
    for together, size in smallest.items():
        if together < _ports_of(plug.ports for least, plug in sized if least >= size):
            terms: list[Term] = [(1, plug.count) for least, plug in sized if least >= size]
            model.rows.at_most(f"{item.name}-large-{name}-{together}", [*terms, (-together, item.count)])


def _ports_of(groups: Iterable[Ports]) -> int:
    return sum(ports.count for ports in dict.fromkeys(groups))


def define_uplink(model: Model) -> None:
    """Mb/s of traffic on a switch <= uplink_share_pct x uplink x n."""
    for item in model.bins:
        limit = item.build.traffic_mbps
        if limit is not None and model.uplinks:
            used = [term for plug in model.of(item) for term in plug.traffic]
            model.rows.at_most(f"{item.name}-uplink", [*used, (-limit, item.count)])


def define_split_order(model: Model) -> None:
    """Units of their own come in order: the next only after the one before, the pool only after all (they are alike)."""
    for before, after in zip(model.bins, model.bins[1:], strict=False):
        if before.build is after.build:
            model.rows.at_most(f"{after.name}-order", [(1, after.count), (-after.most, before.count)])
            if after.most == 1 and budget_binds(model, after):
                heavier = [(-factor, variable) for factor, variable in loads(model.of(before))]
                model.rows.at_most(f"{after.name}-heavier", [*loads(model.of(after)), *heavier])
