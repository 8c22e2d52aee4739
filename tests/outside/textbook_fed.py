"""Fed switches of the textbook model: numbered units whose builds are the ways to feed them by class.

One binary for each way to feed a unit from each other unit. A level a unit keeps rings and too long rows out; traffic is
carried from switch to switch. All with the usual large numbers, as a textbook would.
"""

from collections import defaultdict
from typing import TYPE_CHECKING

import pulp
from oracle_fed import Feeding, Variant
from oracle_feeds import Build, Chain, Route, device_load, exact, head_of, reserve_mw, solve

if TYPE_CHECKING:
    from textbook import Numbered, Textbook


class Feeds:
    """All fed switches of a site."""

    def __init__(self, model: "Textbook") -> None:
        self.model, self.feeding = model, Feeding(model.scenario, model.catalog)
        self.variants: dict[int, list[Variant]] = {}
        self.levels: dict[int, pulp.LpVariable] = {}
        self.carried: dict[int, pulp.LpVariable] = {}
        self.flows: dict[tuple[int, int], pulp.LpVariable] = {}
        self._solved: dict[tuple[object, ...], int | None] = {}

    def standing(self, place: str) -> list[tuple[Build, list[Variant]]]:
        """The models of fed switches that something can feed in a place."""
        found = [(build, self.feeding.variants(place, build)) for build in self.feeding.standing[place] if build.fed]
        return [(build, variants) for build, variants in found if variants]

    def enter(self, unit: "Numbered", variants: list[Variant]) -> None:
        """A numbered fed switch with its level and its traffic."""
        self.variants[id(unit)] = variants
        self.levels[id(unit)] = self.model.problem.add_variable(f"{unit.name}_level", 1, self.model.rules.max_cascade)
        self.carried[id(unit)] = self.model.problem.add_variable(f"{unit.name}_carried", 0, share_mbps(self.model, unit))

    def device(
        self, number: int, name: str, unit: "Numbered", group: int, route: Route, chain: tuple[object, ...]
    ) -> list[pulp.LpVariable]:
        """A device on a group of a fed switch, while the switch is fed so that the device's line works."""
        pairs = [
            (chosen, self._reserve(number, unit.builds[0], group, route, chain, variant.volts))
            for chosen, variant in zip(unit.chosen, self.variants[id(unit)], strict=True)
        ]
        works = [(chosen, mw) for chosen, mw in pairs if mw is not None]
        if not works:
            return []
        var, least = self.model.binary(name), min(mw for _, mw in works)
        self.model.add(var <= pulp.lpSum(chosen for chosen, _ in works))
        unit.watts[group].append(least * var)
        more = [(chosen, mw - least) for chosen, mw in works if mw > least]
        if more:
            extra = self.model.problem.add_variable(f"{name}_extra", 0)
            unit.watts[group].append(1 * extra)
            for chosen, mw in more:
                self.model.add(extra >= mw * (var + chosen - 1))
        return [var]

    def _reserve(self, number: int, build: Build, group: int, route: Route, chain: Chain, volts: float | None) -> int | None:
        key = (number, id(build.model), group, id(route), id(chain), volts)
        if key not in self._solved:
            load = device_load(self.model.scenario.devices[number])
            found = solve(self.model.rules, head_of(build, group, volts), route, chain, load, self.model.limits)
            self._solved[key] = None if found is None else reserve_mw(self.model.rules, found)
        return self._solved[key]

    def connect(self) -> None:
        """Plug every fed switch into a unit, its data too; then carry the traffic inwards."""
        fed = [unit for unit in self.model.units if id(unit) in self.variants]
        for unit in fed:
            self._connect(unit)
        for unit in fed:
            self.model.add(self.carried[id(unit)] == pulp.lpSum(unit.traffic))

    def _connect(self, unit: "Numbered") -> None:
        injected: dict[str, list[pulp.LpVariable]] = defaultdict(list)
        for at, (variant, chosen) in enumerate(zip(self.variants[id(unit)], unit.chosen, strict=True)):
            taken = []
            for number, source in enumerate(self.model.units):
                if source is unit or source.place != variant.route.place or source.builds[0].model.model != variant.source:
                    continue
                var = self.model.binary(f"{unit.name}_v{at}_from{number}")
                self._feed(unit, variant, source, var)
                taken.append(var)
            self.model.add(pulp.lpSum(taken) == chosen)
            if variant.injector:
                injected[variant.route.place] += taken
            each = sum(row.price + row.install_cost + self.model.rules.piece_cost for row in variant.chain)
            self.model.price.append(float(each) * chosen)
            self.model.rows[variant.route.row].append(chosen)
        for place, feeds in injected.items():
            self._data_leads(unit, place, feeds)

    def _feed(self, unit: "Numbered", variant: Variant, source: "Numbered", var: pulp.LpVariable) -> None:
        source.plugs[variant.group].append(var)
        source.watts[variant.group].append(variant.reserve_mw * var)
        if id(source) in self.variants:
            above = zip(self.variants[id(source)], source.chosen, strict=True)
            self.model.add(var <= pulp.lpSum(chosen for other, chosen in above if other.volts == variant.head_volts))
        if not variant.injector:
            self._hang(unit, source, var)

    def _data_leads(self, unit: "Numbered", place: str, feeds: list[pulp.LpVariable]) -> None:
        link, leads = min(unit.builds[0].model.uplink_mbps, 1000), []
        for at, switch in enumerate(self.model.units):
            if switch is unit or switch.place != place or switch.builds[0].injector:
                continue
            for group, head in enumerate(switch.builds[0].heads):
                if head[2] >= link:
                    lead = self.model.binary(f"{unit.name}_data{at}_{group}")
                    switch.plugs[group].append(lead)
                    self._hang(unit, switch, lead)
                    leads.append(lead)
        self.model.add(pulp.lpSum(leads) == pulp.lpSum(feeds))

    def _hang(self, unit: "Numbered", source: "Numbered", var: pulp.LpVariable) -> None:
        """The data of a fed switch passes a switch, which stands nearer to the mains."""
        key = (id(unit), id(source))
        if key not in self.flows:
            self.flows[key] = self.model.problem.add_variable(f"{unit.name}_through_{source.name}", 0)
            source.traffic.append(1 * self.flows[key])
        self.model.add(self.flows[key] >= self.carried[id(unit)] - share_mbps(self.model, unit) * (1 - var))
        if id(source) in self.levels:
            most = self.model.rules.max_cascade
            self.model.add(self.levels[id(unit)] >= self.levels[id(source)] + 1 - most * (1 - var))


def share_mbps(model: "Textbook", unit: "Numbered") -> float:
    """Traffic a switch's uplink may carry, Mb/s."""
    return float(exact(unit.builds[0].model.uplink_mbps) * exact(model.rules.uplink_share_pct) / 100)
