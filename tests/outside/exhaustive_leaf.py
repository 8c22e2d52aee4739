"""A complete arrangement judged from scratch: the rule it breaks, or what it costs in cents."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from exhaustive_site import Feed, Placement, Site, Unit, grains
from oracle_feeds import exact, reserve_mw

from equipsel.catalog import Battery
from equipsel.quantities import cents

HOURS_A_YEAR = 8760


class Broken(Exception):  # noqa: N818 (the name says what happened)
    """A rule is broken; `place` is the place that lacks spare ports, where that is the rule."""

    def __init__(self, rule: str, place: str | None = None) -> None:
        super().__init__(rule)
        self.place = place


def judge(site: Site, units: list[Unit], placements: list[Placement]) -> int:
    """Cost of a complete arrangement, in cents. Raises Broken."""
    levels = _levels(site, units)
    volts = _volts(site, units, levels)
    reserved = _reserved(site, units, placements, levels, volts)
    _check_budgets(site, units, reserved)
    _check_uplinks(site, units, placements, levels)
    _check_critical(site, units, placements)
    _check_places(site, units, reserved)
    _check_models(site, units, placements)
    _check_spare_ports(site, units)
    return _cost(site, units, placements, reserved)


def _feeds(units: list[Unit]) -> list[tuple[Unit, Feed]]:
    return [(unit, unit.feed) for unit in units if unit.feed is not None]


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
    for unit, feed in sorted(_feeds(units), key=lambda pair: levels[pair[0]]):
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
    for unit, feed in sorted(_feeds(units), key=lambda pair: -levels[pair[0]]):
        source, group = (feed.unit, feed.group) if feed.injector is None else (feed.injector, 0)
        if sum(reserved[unit]) > site.budget(unit.build, feed.number):
            raise Broken("budget")
        reserved[source][group] += site.feed_at(unit, feed, volts.get(source), sum(reserved[unit]))
    return reserved


def _check_budgets(site: Site, units: list[Unit], reserved: dict[Unit, list[int]]) -> None:
    for unit in units:
        number = unit.feed.number if unit.feed else None
        if sum(reserved[unit]) > site.budget(unit.build, number):
            raise Broken("budget")
        for mw, (_, _, _, count, group_w), used in zip(reserved[unit], unit.build.heads, unit.used, strict=True):
            if used > count or (group_w is not None and mw > floor(exact(group_w) * 1000)):
                raise Broken("group")


def _check_uplinks(site: Site, units: list[Unit], placements: list[Placement], levels: dict[Unit, int]) -> None:
    traffic = dict.fromkeys(units, Fraction(0))
    for placed in placements:
        traffic[placed.unit] += site.traffic[placed.number]
    for unit, feed in sorted(_feeds(units), key=lambda pair: -levels[pair[0]]):
        traffic[feed.unit] += traffic[unit]
    if any(traffic[unit] > site.uplink(unit) for unit in units if not unit.build.injector):
        raise Broken("uplink")


def _check_critical(site: Site, units: list[Unit], placements: list[Placement]) -> None:
    critical = [placed for placed in placements if placed.device.priority == "critical"]
    there = Counter(placed.unit.place for placed in critical)
    on = Counter(unit for placed in critical for unit in (placed.unit, placed.injector) if unit is not None)
    share = exact(site.rules.max_critical_share_pct) / 100
    if any(count > max(1, floor(share * there[unit.place])) for unit, count in on.items()):
        raise Broken("critical share")


def mains_w(unit: Unit, total_mw: int) -> Fraction:
    """What a unit takes in, W, at the lowest efficiency of its supplies."""
    lowest = min((row.efficiency for row in unit.build.supplies), default=unit.build.model.efficiency)
    return (exact(unit.build.model.own_w) + Fraction(total_mw, 1000)) / exact(lowest)


def rack_and_outlets(units: list[Unit]) -> tuple[Fraction, int]:
    """Rack space and mains outlets that the units of a place take."""
    rack = sum((exact(row.rack_u) for unit in units for row in (unit.build.model, *unit.build.supplies)), Fraction(0))
    return rack, sum(len(unit.build.supplies) or 1 for unit in units if not unit.build.fed)


def _at(units: list[Unit], place: str) -> list[Unit]:
    return [unit for unit in units if unit.place == place]


def _drawn(units: list[Unit], reserved: dict[Unit, list[int]]) -> Fraction:
    return sum((mains_w(unit, sum(reserved[unit])) for unit in units if not unit.build.fed), Fraction(0))


def _check_places(site: Site, units: list[Unit], reserved: dict[Unit, list[int]]) -> None:
    for name, place in site.places.items():
        here = _at(units, name)
        rack, outlets = rack_and_outlets(here)
        if (place.rack_u is not None and rack > place.rack_u) or (place.outlets is not None and outlets > place.outlets):
            raise Broken("rack or outlets")
        if place.circuit_a is not None and place.circuit_v is not None:
            most = exact(place.circuit_a) * exact(place.circuit_v) * exact(site.rules.circuit_load_pct) / 100
            if _drawn(here, reserved) > most:
                raise Broken("circuit")


def _check_models(site: Site, units: list[Unit], placements: list[Placement]) -> None:
    names = {unit.build.model.model for unit in units} | {row.model for chain in _chains(units, placements) for row in chain}
    if site.rules.max_models is not None and len(names) > site.rules.max_models:
        raise Broken("models")


def _chains(units: list[Unit], placements: list[Placement]) -> Iterator[tuple[object, ...]]:
    yield from (placed.chain for placed in placements)
    yield from (feed.chain for _, feed in _feeds(units))


def _check_spare_ports(site: Site, units: list[Unit]) -> None:
    share = exact(site.rules.spare_ports_pct) / 100
    for name in site.places:
        powered = used = 0
        for unit in _at(units, name):
            powered += unit.build.powered
            used += sum(taken for taken, head in zip(unit.used, unit.build.heads, strict=True) if head[0] > 0)
        if used > powered - ceil(share * powered):
            raise Broken("spare ports", name)


def _cost(site: Site, units: list[Unit], placements: list[Placement], reserved: dict[Unit, list[int]]) -> int:
    total = _equipment(site, units) + _openings(site, units) + sum(site.extender(row) for chain in _chains(units, placements) for row in chain)
    whole = cents(Fraction(total, grains(Decimal(1))))
    whole += _cables(site, units, placements) + _extras(site, units, placements) + _energy(site, units, reserved)
    return whole + _backups(site, units, placements, reserved)


def _equipment(site: Site, units: list[Unit]) -> int:
    standing = Counter((unit.build.model.model, unit.place) for unit in units)
    supplies = Counter((row.model, unit.place) for unit in units for row in unit.build.supplies)
    rows = {row.model: row for row in (*site.catalog.switches, *site.catalog.injectors)}
    total = 0
    for (model, place), count in standing.items():
        each = rows[model].price + rows[model].install_cost + site.rules.piece_cost
        total += max(0, count - site.owned.get((model, place), 0)) * grains(each)
    for (model, place), count in supplies.items():
        supply = site.catalog.supply[model]
        total += max(0, count - site.owned.get((model, place), 0)) * grains(supply.price + supply.install_cost)
    return total


def _openings(site: Site, units: list[Unit]) -> int:
    return sum(grains(site.places[name].open_cost) for name in {unit.place for unit in units})


def _runs(units: list[Unit], placements: list[Placement]) -> list[tuple[object, object]]:
    """The run of every device and every feed with what it is shared by: its row, or its device."""
    runs: list[tuple[object, object]] = []
    for placed in placements:
        runs.append((placed.route, placed.number if placed.route.row is None else ("row", placed.route.row)))
    return runs + [(feed.route, ("row", feed.route.row)) for _, feed in _feeds(units)]


def _cables(site: Site, units: list[Unit], placements: list[Placement]) -> int:
    used = Counter(shared for _, shared in _runs(units, placements))
    routes = {shared: route for route, shared in _runs(units, placements)}
    metres: dict[str, Fraction] = {}
    cables = {}
    for shared, count in used.items():
        route = routes[shared]
        new = max(0, count - route.existing)
        metres[route.cable.model] = metres.get(route.cable.model, Fraction(0)) + new * exact(route.length)
        cables[route.cable.model] = route.cable
    return sum(_cable_cents(cables[model], length) for model, length in metres.items())


def _cable_cents(cable: object, metres: Fraction) -> int:
    if cable.sold_m == 0:
        return cents(metres * exact(cable.price_per_m + cable.install_cost_per_m))
    boxes = ceil(metres / exact(cable.sold_m))
    return cents(boxes * exact(cable.sold_m * cable.price_per_m)) + cents(metres * exact(cable.install_cost_per_m))


def _energy(site: Site, units: list[Unit], reserved: dict[Unit, list[int]]) -> int:
    heat = sum((mains_w(unit, sum(reserved[unit])) - Fraction(sum(reserved[unit]), 1000) for unit in units), Fraction(0))
    kwh = Fraction(ceil(heat * HOURS_A_YEAR * exact(site.rules.years)), 1000)
    return cents(kwh * exact(site.rules.energy_price_kwh))


def _extras(site: Site, units: list[Unit], placements: list[Placement]) -> int:
    counts = {
        "unit": [(unit.build.model.model,) for unit in units],
        "device": [(placed.device.kind, _source(placed).build.model.model) for placed in placements],
        "port": list(_ports(units, placements)),
        "run": list(_marked_runs(units, placements)),
        "extender": [(row.model, placed.device.kind) for placed in placements for row in placed.chain],
        "place": [
            {unit.build.model.model for unit in _at(units, name)} | {placed.device.kind for placed in placements if placed.unit.place == name}
            for name in {unit.place for unit in units}
        ],
    }
    counts["extender"] += [(row.model,) for _, feed in _feeds(units) for row in feed.chain]
    total = 0
    for extra in site.catalog.extras:
        count = sum(extra.for_ is None or extra.for_ in marks for marks in counts[extra.per])
        total += cents(count * (extra.price + extra.install_cost))
    return total


def _source(placed: Placement | Feed) -> Unit:
    return placed.unit if placed.injector is None else placed.injector


def _ports(units: list[Unit], placements: list[Placement]) -> Iterator[tuple[str, ...]]:
    for placed in placements:
        for unit in (placed.unit, placed.injector):
            if unit is not None:
                yield (unit.build.model.model, placed.device.kind)
    for _, feed in _feeds(units):
        for unit in (feed.unit, feed.injector):
            if unit is not None:
                yield (unit.build.model.model,)


def _marked_runs(units: list[Unit], placements: list[Placement]) -> Iterator[tuple[str, ...]]:
    for placed in placements:
        names = (row.model for row in placed.chain)
        yield (placed.route.cable.model, placed.device.kind, _source(placed).build.model.model, *names)
    for _, feed in _feeds(units):
        yield (feed.route.cable.model, _source(feed).build.model.model, *(row.model for row in feed.chain))


def _backups(site: Site, units: list[Unit], placements: list[Placement], reserved: dict[Unit, list[int]]) -> int:
    if site.rules.backup_minutes == 0:
        return 0
    needed: set[str] = set()
    for placed in placements:
        above: Unit | None = placed.unit if placed.device.backup else None
        while above is not None:
            needed.add(above.place)
            above = above.feed.unit if above.feed else None
    return sum(_batteries(site, _at(units, name), name, reserved) for name in needed if site.places[name].mains)


def _batteries(site: Site, here: list[Unit], name: str, reserved: dict[Unit, list[int]]) -> int:
    watts = _drawn(here, reserved)
    wh = watts * exact(site.rules.backup_minutes) / 60 * Fraction(5, 4)
    limit = site.places[name].rack_u
    rack = None if limit is None else exact(limit) - rack_and_outlets(here)[0]
    best = _cheapest_set(list(site.catalog.backups), watts, wh, rack)
    if best is None:
        raise Broken("backup")
    return cents(best)


def _cheapest_set(rows: list[Battery], watts: Fraction, wh: Fraction, rack: Fraction | None) -> Fraction | None:
    if watts <= 0 and wh <= 0:
        return Fraction(0)
    if not rows:
        return None
    best: Fraction | None = None
    row, rest = rows[0], rows[1:]
    each = exact(row.watt_hours) * exact(row.efficiency)
    for count in range(max(ceil(watts / exact(row.watts)), ceil(wh / each), 0) + 1):
        space = None if rack is None else rack - count * exact(row.rack_u)
        if space is not None and space < 0:
            break
        found = _cheapest_set(rest, watts - count * exact(row.watts), wh - count * each, space)
        if found is not None:
            total = found + count * exact(row.price + row.install_cost)
            best = total if best is None else min(best, total)
    return best
