"""The model a textbook gives: one binary for each device and each port group of each numbered unit, in PuLP with HiGHS.

For comparison of time and of cost on the sites it knows: the same as the constraint model (no fed switches, batteries,
energy, circuits, critical shares or extras). Nothing is pooled and no symmetry is broken. How many numbered units each
model gets in each place is said by the caller, who must give enough.
"""

from collections import defaultdict
from dataclasses import dataclass
from time import perf_counter

import pulp
from oracle_feeds import (
    Build,
    bundle_limits,
    chains,
    device_load,
    device_routes,
    exact,
    head_of,
    injector_builds,
    reserve_mw,
    solve,
    stands,
    switch_builds,
)

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario


@dataclass(frozen=True)
class Answer:
    """What the textbook model found: cost and proven bound in the currency (None: nothing found), seconds, its size."""

    cost: float | None
    bound: float | None
    seconds: float
    binaries: int


def textbook(scenario: Scenario, catalog: Catalog, units: int, seconds: float, threads: int = 1) -> Answer:
    """Solve the textbook model with so many numbered units of each model in each place, within so many seconds."""
    model = Textbook(scenario, catalog, units)
    started = perf_counter()
    solver = pulp.HiGHS(msg=False, timeLimit=seconds, gapRel=0, threads=threads)
    model.problem.solve(solver)
    took = perf_counter() - started
    info = model.problem.solverModel.getInfo()
    found = info.primal_solution_status == 2
    bound = info.mip_dual_bound if abs(info.mip_dual_bound) < 1e20 else None
    return Answer(info.objective_function_value if found else None, bound, took, model.binaries)


class Numbered:
    """A numbered unit: whether it is used, which of its builds it is, what is plugged into each group."""

    def __init__(self, model: "Textbook", name: str, place: str, builds: list[Build]) -> None:
        self.place, self.builds = place, builds
        self.used = model.binary(f"{name}_used")
        self.chosen = [model.binary(f"{name}_build_{at}") for at in range(len(builds))]
        self.plugs: list[list[pulp.LpVariable]] = [[] for _ in builds[0].heads]
        self.watts: list[list[pulp.LpAffineExpression]] = [[] for _ in builds[0].heads]
        self.traffic: list[pulp.LpAffineExpression] = []


class Textbook:
    """The integer program, built row by row."""

    def __init__(self, scenario: Scenario, catalog: Catalog, units: int) -> None:
        self.scenario, self.catalog, self.rules = scenario, catalog, scenario.rules
        self.limits = bundle_limits(catalog)
        self.problem = pulp.LpProblem("textbook", pulp.LpMinimize)
        self.binaries = 0
        self.price: list[pulp.LpAffineExpression] = []
        self.rows: dict[int, list[pulp.LpVariable]] = defaultdict(list)
        self.units = [unit for name in scenario.place for unit in self._numbered(name, units)]
        for number, device in enumerate(scenario.devices):
            for copy in range(device.count):
                self._device(number, f"d{number}_{copy}")
        for unit in self.units:
            self._fill(unit)
        for name in scenario.place:
            self._place(name)
        for row, used in self.rows.items():
            run = scenario.runs[row]
            new = self._count(f"new_{row}")
            self._add(new >= pulp.lpSum(used) - run.existing)
            self.price.append(float(self._per_m(run.cable) * self.rules.run_m(run.run_m)) * new)
        self.problem += pulp.lpSum(self.price)

    def binary(self, name: str) -> pulp.LpVariable:
        """A new yes-or-no variable."""
        self.binaries += 1
        return self.problem.add_variable(name, 0, 1, pulp.LpInteger)

    def _count(self, name: str) -> pulp.LpVariable:
        return self.problem.add_variable(name, 0, None, pulp.LpInteger)

    def _add(self, constraint: pulp.LpConstraint) -> None:
        self.problem += constraint

    def _per_m(self, cable: str | None) -> object:
        row = self.catalog.cable(cable)
        return row.price_per_m + row.install_cost_per_m

    def _numbered(self, place: str, units: int) -> list[Numbered]:
        every = switch_builds(self.rules, self.catalog) + injector_builds(self.catalog)
        builds = [build for build in every if not build.fed and stands(build, self.scenario.place[place])]
        models = dict.fromkeys(build.model.model for build in builds)
        at = list(self.scenario.place).index(place)
        return [
            Numbered(self, f"p{at}_m{number}_{copy}", place, [build for build in builds if build.model.model == model])
            for number, model in enumerate(models)
            for copy in range(units)
        ]

    def _device(self, number: int, name: str) -> None:
        device = self.scenario.devices[number]
        load = device_load(device)
        taken = []
        for at, route in enumerate(device_routes(self.scenario, self.catalog, device)):
            for chained, chain in enumerate(chains(self.rules, self.catalog, route, load.link)):
                needs_power = load.number is not None or bool(chain)
                ways = self._way(number, f"{name}_w{at}_{chained}", route, chain, needs_power)
                each = sum(row.price + row.install_cost + self.rules.piece_cost for row in chain)
                if route.row is None and not route.existing:
                    each += self._per_m(device.cable) * route.length
                self.price += [float(each) * way for way in ways]
                taken += ways
                if route.row is not None:
                    self.rows[route.row] += ways
        self._add(pulp.lpSum(taken) == 1)

    def _way(self, number: int, name: str, route: object, chain: tuple[object, ...], needs_power: bool) -> list[pulp.LpVariable]:
        """One binary for each port group of each numbered unit of the place, and for each data port an injector needs."""
        device, load = self.scenario.devices[number], device_load(self.scenario.devices[number])
        ways, injected, data = [], [], []
        for at, unit in enumerate(self.units):
            injector = unit.builds[0].injector
            if unit.place != route.place or (injector and not needs_power):
                continue
            for group, head in enumerate(unit.builds[0].heads):
                found = solve(self.rules, head_of(unit.builds[0], group), route, chain, load, self.limits)
                if found is not None:
                    var = self.binary(f"{name}_u{at}_{group}")
                    unit.plugs[group].append(var)
                    unit.watts[group].append(reserve_mw(self.rules, found) * var)
                    unit.traffic.append(float(device.mbps) * var)
                    ways.append(var)
                    injected += [var] if injector else []
                if needs_power and not injector and head[2] >= load.link:
                    lead = self.binary(f"{name}_data{at}_{group}")
                    unit.plugs[group].append(lead)
                    unit.traffic.append(float(device.mbps) * lead)
                    data.append(lead)
        if data or injected:
            self._add(pulp.lpSum(data) == pulp.lpSum(injected))
        return ways

    def _fill(self, unit: Numbered) -> None:
        """What a unit can carry, and what it costs."""
        self._add(pulp.lpSum(unit.chosen) == unit.used)
        budget = pulp.lpSum(build.budget_mw(self.rules) * var for build, var in zip(unit.builds, unit.chosen, strict=True))
        self._add(pulp.lpSum(watts for group in unit.watts for watts in group) <= budget)
        for (_, _, _, count, group_w), plugs, watts in zip(unit.builds[0].heads, unit.plugs, unit.watts, strict=True):
            self._add(pulp.lpSum(plugs) <= count * unit.used)
            if group_w is not None:
                self._add(pulp.lpSum(watts) <= float(group_w) * 1000 * unit.used)
        if not unit.builds[0].injector:
            share = float(exact(unit.builds[0].model.uplink_mbps) * exact(self.rules.uplink_share_pct) / 100)
            self._add(pulp.lpSum(unit.traffic) <= share * unit.used)

    def _place(self, name: str) -> None:
        place = self.scenario.place[name]
        here = [unit for unit in self.units if unit.place == name]
        opened = self.binary(f"opened_{list(self.scenario.place).index(name)}")
        for unit in here:
            self._add(unit.used <= opened)
        self.price.append(float(place.open_cost) * opened)
        pairs = [(build, var) for unit in here for build, var in zip(unit.builds, unit.chosen, strict=True)]
        if place.outlets is not None:
            self._add(pulp.lpSum((len(build.supplies) or 1) * var for build, var in pairs) <= place.outlets)
        if place.rack_u is not None:
            needs = [float(sum(row.rack_u for row in (build.model, *build.supplies))) for build, _ in pairs]
            self._add(pulp.lpSum(need * var for need, (_, var) in zip(needs, pairs, strict=True)) <= float(place.rack_u))
        self._spare_ports(here, name)
        self._bill(here, name)

    def _spare_ports(self, here: list[Numbered], name: str) -> None:
        if not self.rules.spare_ports_pct:
            return
        total = pulp.lpSum(unit.builds[0].powered * unit.used for unit in here)
        groups = [plugs for unit in here for head, plugs in zip(unit.builds[0].heads, unit.plugs, strict=True) if head[0] > 0]
        spare = self._count(f"spare_{list(self.scenario.place).index(name)}")
        self._add(100 * spare >= float(self.rules.spare_ports_pct) * total)
        self._add(pulp.lpSum(plug for plugs in groups for plug in plugs) + spare <= total)

    def _bill(self, here: list[Numbered], name: str) -> None:
        """Prices of what stands in a place, owned ones first at no price."""
        counts: dict[str, list[pulp.LpVariable]] = defaultdict(list)
        prices: dict[str, float] = {}
        for unit in here:
            model = unit.builds[0].model
            counts[model.model].append(unit.used)
            prices[model.model] = float(model.price + model.install_cost + self.rules.piece_cost)
            for build, var in zip(unit.builds, unit.chosen, strict=True):
                for supply in build.supplies:
                    counts[supply.model].append(var)
                    prices[supply.model] = float(supply.price + supply.install_cost)
        for at, (model, used) in enumerate(counts.items()):
            owned = sum(row.count for row in self.scenario.owned if row.model == model and row.place == name)
            bought = self._count(f"bought_{list(self.scenario.place).index(name)}_{at}")
            self._add(bought >= pulp.lpSum(used) - owned)
            self.price.append(prices[model] * bought)
