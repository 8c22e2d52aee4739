"""What a device brings along whatever powers it: its cable and the extras of it. Taking it away saves at least that."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction

from equipsel.audit.site import Route
from equipsel.audit.site import Site as Runs
from equipsel.scenario import Device
from equipsel.site import Site

Line = tuple[str, str]


def own_exact(site: Site, more: Mapping[str, int]) -> Fraction:
    """Cents that so many more devices bring along at the least, not rounded."""
    each = (number * amount for name, number in more.items() for _, amount in _lines(site, site.scenario.device[name]))
    return sum(each, Fraction(0)) * 100


def own_cents(site: Site, more: Mapping[str, int]) -> tuple[int, int]:
    """Cents that a kit with so many more devices costs more at least, and cents by which rounding may hide that it is so.

    Exact on each line of the bill, rounded down where a line ends in broken cents.
    """
    exact: defaultdict[Line, Fraction] = defaultdict(Fraction)
    for name, number in more.items():
        for line, amount in _lines(site, site.scenario.device[name]):
            exact[line] += number * amount * 100
    return sum(amount.__floor__() for amount in exact.values()), sum(amount.denominator > 1 for amount in exact.values())


def _lines(site: Site, row: Device) -> Iterator[tuple[Line, Fraction]]:
    """What one more of a row costs at least, by line of the bill."""
    routes = Runs(site.scenario, site.catalog).device_routes(row)
    cheapest = min(routes, key=lambda route: _pulled(route, all_new=row.existing_cable))
    yield ("cable", cheapest.cable.model), _pulled(cheapest, all_new=row.existing_cable)
    for number, extra in enumerate(site.catalog.extras):
        if extra.per in {"device", "run", "port"} and extra.for_ in {None, "", row.kind or None}:
            yield ("extra", str(number)), Fraction(extra.price + extra.install_cost)


def _pulled(route: Route, *, all_new: bool) -> Fraction:
    """What one more cable over a run costs at least: nothing where one may be there, only the pulling where it comes in boxes.

    all_new: those added have a row of their own, whose cable is all new.
    """
    if route.existing and not all_new:
        return Fraction(0)
    by_metre = route.cable.install_cost_per_m + (0 if route.cable.sold_m else route.cable.price_per_m)
    return Fraction(by_metre) * Fraction(route.run_m)
