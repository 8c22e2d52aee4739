"""What a complete arrangement costs, line by line, each line rounded to the cent."""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from math import ceil

from exhaustive_parts import Broken, chains_of, drawn_w, feeds_of, mains_w, rack_and_outlets, standing_at
from exhaustive_site import Feed, Placement, Site, Unit, grains
from oracle_feeds import Route, exact

from equipsel.catalog import Battery, Cable
from equipsel.quantities import cents

HOURS_A_YEAR = 8760


def cost_of(site: Site, units: list[Unit], placements: list[Placement], reserved: dict[Unit, list[int]]) -> int:
    total = (
        _equipment(site, units)
        + _openings(site, units)
        + sum(site.extender(row) for chain in chains_of(units, placements) for row in chain)
    )
    whole = cents(Fraction(total, grains(Decimal(1))))
    whole += _cables(units, placements) + _extras(site, units, placements) + _energy(site, reserved)
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


def _runs(units: list[Unit], placements: list[Placement]) -> list[tuple[Route, object]]:
    """The run of every device and every feed with what it is shared by: its row, or its device."""
    shared = [placed.number if placed.route.row is None else ("row", placed.route.row) for placed in placements]
    runs: list[tuple[Route, object]] = [(placed.route, key) for placed, key in zip(placements, shared, strict=True)]
    return runs + [(feed.route, ("row", feed.route.row)) for _, feed in feeds_of(units)]


def _cables(units: list[Unit], placements: list[Placement]) -> int:
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


def _cable_cents(cable: Cable, metres: Fraction) -> int:
    if cable.sold_m == 0:
        return cents(metres * exact(cable.price_per_m + cable.install_cost_per_m))
    boxes = ceil(metres / exact(cable.sold_m))
    return cents(boxes * exact(cable.sold_m * cable.price_per_m)) + cents(metres * exact(cable.install_cost_per_m))


def _energy(site: Site, reserved: dict[Unit, list[int]]) -> int:
    heat = sum((mains_w(unit, sum(reserved[unit])) - Fraction(sum(reserved[unit]), 1000) for unit in reserved), Fraction(0))
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
            {unit.build.model.model for unit in standing_at(units, name)}
            | {placed.device.kind for placed in placements if placed.unit.place == name}
            for name in {unit.place for unit in units}
        ],
    }
    counts["extender"] += [(row.model,) for _, feed in feeds_of(units) for row in feed.chain]
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
    for _, feed in feeds_of(units):
        for unit in (feed.unit, feed.injector):
            if unit is not None:
                yield (unit.build.model.model,)


def _marked_runs(units: list[Unit], placements: list[Placement]) -> Iterator[tuple[str, ...]]:
    for placed in placements:
        names = (row.model for row in placed.chain)
        yield (placed.route.cable.model, placed.device.kind, _source(placed).build.model.model, *names)
    for _, feed in feeds_of(units):
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
    return sum(_batteries(site, standing_at(units, name), name, reserved) for name in needed if site.places[name].mains)


def _batteries(site: Site, here: list[Unit], name: str, reserved: dict[Unit, list[int]]) -> int:
    watts = drawn_w(here, reserved)
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
