"""A complete arrangement judged from scratch: the rule it breaks, or what it costs in cents."""

from collections import Counter
from fractions import Fraction
from math import ceil, floor

from exhaustive_cost import cost_of
from exhaustive_parts import Broken, chains_of, drawn_w, feeds_of, rack_and_outlets, standing_at
from exhaustive_site import Placement, Site, Unit
from oracle_feeds import exact, reserve_mw


def judge(site: Site, units: list[Unit], placements: list[Placement]) -> int:
    """Cost of a complete arrangement, in cents. Raises Broken."""
    levels = _levels(site, units)
    volts = _volts(site, units, levels)
    reserved = _reserved(site, units, placements, levels, volts)
    _check_budgets(site, reserved)
    _check_uplinks(site, units, placements, levels)
    _check_critical(site, placements)
    _check_places(site, units, reserved)
    _check_models(site, units, placements)
    _check_spare_ports(site, units)
    return cost_of(site, units, placements, reserved)


def _levels(site: Site, units: list[Unit]) -> dict[Unit, int]:
    levels = {}
    for unit in units:
        above, level = unit, 0
        while above.feed is not None:
            above, level = above.feed.unit, level + 1
            if level > site.rules.max_cascade:
                raise Broken("cascade")
        levels[unit] = level
    return levels


def _volts(site: Site, units: list[Unit], levels: dict[Unit, int]) -> dict[Unit, float]:
    """Volts that reach each fed switch whose row states none; every feeding line is checked on the way."""
    volts: dict[Unit, float] = {}
    for unit, feed in sorted(feeds_of(units), key=lambda pair: levels[pair[0]]):
        solved = site.feed_line(unit, feed, volts.get(feed.unit) if feed.injector is None else None)
        if solved is None:
            raise Broken("feed line")
        if unit.build.model.volts is None:
            volts[unit] = solved.end_volts
    return volts


def _reserved(
    site: Site, units: list[Unit], placements: list[Placement], levels: dict[Unit, int], volts: dict[Unit, float]
) -> dict[Unit, list[int]]:
    """Watts set aside on each group of each unit, mW; from the outermost switches inwards."""
    reserved = {unit: [0] * len(unit.mw) for unit in units}
    for placed in placements:
        source, group = (placed.unit, placed.group) if placed.injector is None else (placed.injector, 0)
        solved = site.device_line(placed.number, source.build, group, placed.route, placed.chain, volts.get(source))
        if solved is None:
            raise Broken("line")
        reserved[source][group] += reserve_mw(site.rules, solved)
    for unit, feed in sorted(feeds_of(units), key=lambda pair: -levels[pair[0]]):
        source, group = (feed.unit, feed.group) if feed.injector is None else (feed.injector, 0)
        if sum(reserved[unit]) > site.budget(unit.build, feed.number):
            raise Broken("budget")
        reserved[source][group] += site.feed_at(unit, feed, volts.get(source), sum(reserved[unit]))
    return reserved


def _check_budgets(site: Site, reserved: dict[Unit, list[int]]) -> None:
    for unit, groups in reserved.items():
        number = unit.feed.number if unit.feed else None
        if sum(groups) > site.budget(unit.build, number):
            raise Broken("budget")
        for mw, (_, _, _, count, group_w), used in zip(groups, unit.build.heads, unit.used, strict=True):
            if used > count or (group_w is not None and mw > floor(exact(group_w) * 1000)):
                raise Broken("group")


def _check_uplinks(site: Site, units: list[Unit], placements: list[Placement], levels: dict[Unit, int]) -> None:
    traffic = dict.fromkeys(units, Fraction(0))
    for placed in placements:
        traffic[placed.unit] += site.traffic[placed.number]
    for unit, feed in sorted(feeds_of(units), key=lambda pair: -levels[pair[0]]):
        traffic[feed.unit] += traffic[unit]
    if any(traffic[unit] > site.uplink(unit) for unit in units if not unit.build.injector):
        raise Broken("uplink")


def _check_critical(site: Site, placements: list[Placement]) -> None:
    critical = [placed for placed in placements if placed.device.priority == "critical"]
    there = Counter(placed.unit.place for placed in critical)
    on = Counter(unit for placed in critical for unit in (placed.unit, placed.injector) if unit is not None)
    share = exact(site.rules.max_critical_share_pct) / 100
    if any(count > max(1, floor(share * there[unit.place])) for unit, count in on.items()):
        raise Broken("critical share")


def _check_places(site: Site, units: list[Unit], reserved: dict[Unit, list[int]]) -> None:
    for name, place in site.places.items():
        here = standing_at(units, name)
        rack, outlets = rack_and_outlets(here)
        if (place.rack_u is not None and rack > place.rack_u) or (place.outlets is not None and outlets > place.outlets):
            raise Broken("rack or outlets")
        if place.circuit_a is not None and place.circuit_v is not None:
            most = exact(place.circuit_a) * exact(place.circuit_v) * exact(site.rules.circuit_load_pct) / 100
            if drawn_w(here, reserved) > most:
                raise Broken("circuit")


def _check_models(site: Site, units: list[Unit], placements: list[Placement]) -> None:
    names = {unit.build.model.model for unit in units} | {row.model for chain in chains_of(units, placements) for row in chain}
    if site.rules.max_models is not None and len(names) > site.rules.max_models:
        raise Broken("models")


def _check_spare_ports(site: Site, units: list[Unit]) -> None:
    share = exact(site.rules.spare_ports_pct) / 100
    for name in site.places:
        powered = used = 0
        for unit in standing_at(units, name):
            powered += unit.build.powered
            used += sum(taken for taken, head in zip(unit.used, unit.build.heads, strict=True) if head[0] > 0)
        if used > powered - ceil(share * powered):
            raise Broken("spare ports", name)
