"""Dropping builds that cannot be in any cheapest kit: a switch with supplies that another set of supplies beats."""

from collections.abc import Iterable
from decimal import Decimal

from equipsel.feeds.builds import Build
from equipsel.site import Site


def worthwhile(builds: Iterable[Build], site: Site, most_load_mw: dict[str, int] | None = None, *, priced: bool = True) -> list[Build]:
    """The builds that no other of the same switch in the same place beats in budget, price, room, outlets and losses.

    A budget above `most_load_mw` of its place (all that could ever be plugged in there) is worth no more than that. Of
    builds at the same price the earlier stays (it wins a tie). Supplies already there are not their price: builds with
    them all stay. priced: whether the cost matters; where only what can be built does, no price keeps a build.
    """
    owned = {(row.place, row.model) for row in site.scenario.owned if priced}
    first = 0 if priced else 1
    kept: dict[tuple[str, str], list[Build]] = {}
    for build in builds:
        rivals = kept.setdefault((build.place, build.model.model), [])
        useful = (most_load_mw or {}).get(build.place)
        if not any(_dominates(rival, build, owned, useful, first) for rival in rivals):
            rivals[:] = [
                rival for rival in rivals if not ((_cheaper(build, rival) or not priced) and _dominates(build, rival, owned, useful, first))
            ]
            rivals.append(build)
    return [build for rivals in kept.values() for build in rivals]


def _dominates(one: Build, other: Build, owned: set[tuple[str, str]], useful: int | None, first: int) -> bool:
    """Whether a build is as good as another in all that matters, its burdens from the first on."""
    if not one.supplies or any((build.place, supply.model) in owned for build in (one, other) for supply in build.supplies):
        return False
    budgets = [build.limit_mw if useful is None else min(build.limit_mw, useful) for build in (one, other)]
    return budgets[0] >= budgets[1] and all(
        mine <= theirs for mine, theirs in zip(_burden(one)[first:], _burden(other)[first:], strict=True)
    )


def _cheaper(one: Build, other: Build) -> bool:
    return _burden(one)[0] < _burden(other)[0]


def _burden(build: Build) -> tuple[Decimal, ...]:
    """What a set of supplies costs: money, rack space, outlets, worst loss."""
    price = sum((supply.price + supply.install_cost for supply in build.supplies), Decimal(0))
    return (price, build.rack_u, Decimal(build.outlets), -Decimal(build.efficiency.numerator) / build.efficiency.denominator)
