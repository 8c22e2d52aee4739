"""Every way a switch can be fed through a port, by class: for the models of this folder that give each unit a number.

By class what a feed sets aside upstream, and what the switch can hand out, are fixed once its class, its run and the volts
it is fed with are. Volts that a fed switch passes on are followed from switch to switch.
"""

from collections.abc import Iterator
from typing import NamedTuple

from oracle_feeds import (
    Build,
    Chain,
    Route,
    bundle_limits,
    chains,
    fed_budget_w,
    fed_load,
    feed_routes,
    head_of,
    injector_builds,
    reserve_mw,
    solve,
    stands,
    switch_builds,
)

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario


class Variant(NamedTuple):
    """A switch fed at a class over a run from a group of a model of unit.

    head_volts: of the source, where it passes on what reaches it (else None). volts: that this switch passes on (None: it
    states its own). reserve_mw: set aside upstream. budget_mw: that it can hand out, spare kept free.
    """

    number: int
    route: Route
    chain: Chain
    source: str
    injector: bool
    group: int
    head_volts: float | None
    volts: float | None
    reserve_mw: int
    budget_mw: int


class Feeding:
    """All variants of every fed switch in every place, for a site by class."""

    def __init__(self, scenario: Scenario, catalog: Catalog) -> None:
        self.scenario, self.catalog, self.rules = scenario, catalog, scenario.rules
        self.limits = bundle_limits(catalog)
        builds = switch_builds(self.rules, catalog) + injector_builds(catalog)
        self.standing = {name: [build for build in builds if stands(build, place)] for name, place in scenario.place.items()}
        self._known: dict[tuple[str, str, int], list[Variant]] = {}

    def variants(self, place: str, build: Build, steps: int | None = None) -> list[Variant]:
        """The variants of a fed switch in a place that hangs at most so many switches deep (as many as allowed)."""
        steps = self.rules.max_cascade if steps is None else steps
        key = (place, build.model.model, steps)
        if key not in self._known:
            self._known[key] = list(self._variants(place, build, steps)) if steps else []
        return self._known[key]

    def _variants(self, place: str, build: Build, steps: int) -> Iterator[Variant]:
        own_volts = build.model.volts is not None
        for number in range(1, build.model.in_class + 1):
            if fed_budget_w(build.model, number) < 0:
                continue
            load = fed_load(build.model, number)
            for route in feed_routes(self.scenario, self.catalog, place):
                for chain in chains(self.rules, self.catalog, route, load.link):
                    for source, group, volts in self._heads(route.place, steps):
                        found = solve(self.rules, head_of(source, group, volts), route, chain, load, self.limits)
                        if found is not None:
                            passed, budget = None if own_volts else found.end_volts, build.budget_mw(self.rules, number)
                            yield Variant(
                                number, route, chain, source.model.model, source.injector, group, volts, passed,
                                reserve_mw(self.rules, found), budget,
                            )  # fmt: skip

    def _heads(self, place: str, steps: int) -> Iterator[tuple[Build, int, float | None]]:
        """The groups of the models of a place, with each of the volts they may pass on."""
        for source in {build.model.model: build for build in self.standing[place]}.values():
            volts: list[float | None] = [None]
            if source.fed:
                above = self.variants(place, source, steps - 1)
                volts = list(dict.fromkeys(variant.volts for variant in above))
            for group in range(len(source.heads)):
                for each in volts:
                    yield source, group, each
