"""The model a textbook gives: one binary for each device and each port group of each numbered unit, in PuLP with HiGHS.

For comparison of time and of cost on the sites it knows: the same as the constraint model, and energy (no fed switches by
stated or granted draw, batteries, circuits, critical shares or extras). Nothing is pooled and no symmetry is broken. How
many numbered units each model gets in each place is said by the caller, who must give enough. Energy and cable are not
rounded to the cent.
"""

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from time import perf_counter

import pulp
from beyond import refuse
from oracle_feeds import (
    Build,
    Route,
    bundle_limits,
    chains,
    device_load,
    device_routes,
    head_of,
    injector_builds,
    reserve_mw,
    solve,
    stands,
    switch_builds,
)
from textbook_fed import Feeds, share_mbps

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario

HOURS_A_YEAR = 8760


@dataclass(frozen=True)
class Answer:
    """What the textbook model found: cost and proven bound in the currency (None: nothing found), seconds, its size."""

    cost: float | None
    bound: float | None
    seconds: float
    binaries: int


Units = Callable[[str, Build], int]
"""How many numbered units a model gets in a place."""


def enough(scenario: Scenario, catalog: Catalog) -> Units:
    """One unit more than would carry everything that can be cabled to the place, by ports and by watts, were there no other model."""
    ports: dict[str, int] = defaultdict(int)
    watts: dict[str, float] = defaultdict(float)
    for device in scenario.devices:
        for place in {route.place for route in device_routes(scenario, catalog, device)}:
            ports[place] += device.count
            watts[place] += device.count * float(device.pd_w) * 1.25
    for row in scenario.runs:
        if row.from_ in scenario.place:
            ports[row.to] += 2
            watts[row.to] += 120.0

    def units(place: str, build: Build) -> int:
        budget = float(build.model.budget_w or 60) if build.budget_w is None else float(build.budget_w)
        return 1 + max(ceil(ports[place] / sum(head[3] for head in build.heads)), ceil(watts[place] / max(budget, 1.0)))

    return units


def textbook(scenario: Scenario, catalog: Catalog, units: int | Units, seconds: float, threads: int = 1) -> Answer:
    """Solve the textbook model with so many numbered units of each model in each place, within so many seconds.

    Raises Beyond for a site it does not know.
    """
    refuse(scenario, catalog, energy=False)
    model = Textbook(scenario, catalog, (lambda _place, _build: units) if isinstance(units, int) else units)
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

    def __init__(self, model: "Textbook", name: str, place: str, builds: list[Build], budgets: list[int]) -> None:
        self.name, self.place, self.builds, self.budgets = name, place, builds, budgets
        self.used = model.binary(f"{name}_used")
        self.chosen = [model.binary(f"{name}_build_{at}") for at in range(len(builds))]
        self.plugs: list[list[pulp.LpVariable]] = [[] for _ in builds[0].heads]
        self.watts: list[list[pulp.LpAffineExpression]] = [[] for _ in builds[0].heads]
        self.traffic: list[pulp.LpAffineExpression] = []


class Textbook:
    """The integer program, built row by row."""

    def __init__(self, scenario: Scenario, catalog: Catalog, units: Units) -> None:
        self.scenario, self.catalog, self.rules = scenario, catalog, scenario.rules
        self.limits = bundle_limits(catalog)
        self.problem = pulp.LpProblem("textbook", pulp.LpMinimize)
        self.binaries = 0
        self.price: list[pulp.LpAffineExpression] = []
        self.rows: dict[int, list[pulp.LpVariable]] = defaultdict(list)
        self.feeds = Feeds(self)
        self.units = [unit for name in scenario.place for unit in (*self._numbered(name, units), *self._fed(name, units))]
        for number, device in enumerate(scenario.devices):
            for copy in range(device.count):
                self._device(number, f"d{number}_{copy}")
        self.feeds.connect()
        for unit in self.units:
            self._fill(unit)
        for name in scenario.place:
            self._place(name)
        for row, used in self.rows.items():
            run = scenario.runs[row]
            new = self._count(f"new_{row}")
            self.add(new >= pulp.lpSum(used) - run.existing)
            self.price.append(float(self._per_m(run.cable) * self.rules.run_m(run.run_m)) * new)
        self.problem += pulp.lpSum(self.price)

    def binary(self, name: str) -> pulp.LpVariable:
        """A new yes-or-no variable."""
        self.binaries += 1
        return self.problem.add_variable(name, 0, 1, pulp.LpInteger)

    def _count(self, name: str) -> pulp.LpVariable:
        return self.problem.add_variable(name, 0, None, pulp.LpInteger)

    def add(self, constraint: pulp.LpConstraint) -> None:
        """A new row."""
        self.problem += constraint

    def _per_m(self, cable: str | None) -> object:
        row = self.catalog.cable(cable)
        return row.price_per_m + row.install_cost_per_m

    def _numbered(self, place: str, units: Units) -> list[Numbered]:
        every = switch_builds(self.rules, self.catalog) + injector_builds(self.catalog)
        builds = [build for build in every if not build.fed and stands(build, self.scenario.place[place])]
        found = []
        for number, model in enumerate(dict.fromkeys(build.model.model for build in builds)):
            own = [build for build in builds if build.model.model == model]
            most = max(units(place, build) for build in own)
            budgets = [build.budget_mw(self.rules) for build in own]
            found += [Numbered(self, f"p{self._at(place)}_m{number}_{copy}", place, own, budgets) for copy in range(most)]
        return found

    def _at(self, place: str) -> int:
        return list(self.scenario.place).index(place)

    def _fed(self, place: str, units: Units) -> list[Numbered]:
        found = []
        for number, (build, variants) in enumerate(self.feeds.standing(place)):
            for copy in range(units(place, build)):
                budgets = [variant.budget_mw for variant in variants]
                unit = Numbered(self, f"p{self._at(place)}_f{number}_{copy}", place, [build] * len(variants), budgets)
                self.feeds.enter(unit, variants)
                found.append(unit)
        return found

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
        self.add(pulp.lpSum(taken) == 1)

    def _way(self, number: int, name: str, route: object, chain: tuple[object, ...], needs_power: bool) -> list[pulp.LpVariable]:
        """One binary for each port group of each numbered unit of the place, and for each data port an injector needs."""
        device, load = self.scenario.devices[number], device_load(self.scenario.devices[number])
        ways, injected, data = [], [], []
        for at, unit in enumerate(self.units):
            injector = unit.builds[0].injector
            if unit.place != route.place or (injector and not needs_power):
                continue
            for group, head in enumerate(unit.builds[0].heads):
                for var in self._on(number, f"{name}_u{at}_{group}", unit, group, route, chain):
                    unit.plugs[group].append(var)
                    unit.traffic.append(float(device.mbps) * var)
                    ways.append(var)
                    injected += [var] if injector else []
                if needs_power and not injector and head[2] >= load.link:
                    lead = self.binary(f"{name}_data{at}_{group}")
                    unit.plugs[group].append(lead)
                    unit.traffic.append(float(device.mbps) * lead)
                    data.append(lead)
        if data or injected:
            self.add(pulp.lpSum(data) == pulp.lpSum(injected))
        return ways

    def _on(self, number: int, name: str, unit: Numbered, group: int, route: Route, chain: tuple[object, ...]) -> list[pulp.LpVariable]:
        """The device on a group of a unit, where its line works: a binary, with what the port sets aside."""
        build = unit.builds[0]
        if build.fed:
            return self.feeds.device(number, name, unit, group, route, chain)
        found = solve(self.rules, head_of(build, group), route, chain, device_load(self.scenario.devices[number]), self.limits)
        if found is None:
            return []
        var = self.binary(name)
        unit.watts[group].append(reserve_mw(self.rules, found) * var)
        return [var]

    def _fill(self, unit: Numbered) -> None:
        """What a unit can carry, and what it costs."""
        self.add(pulp.lpSum(unit.chosen) == unit.used)
        budget = pulp.lpSum(mw * var for mw, var in zip(unit.budgets, unit.chosen, strict=True))
        self.add(pulp.lpSum(watts for group in unit.watts for watts in group) <= budget)
        for (_, _, _, count, group_w), plugs, watts in zip(unit.builds[0].heads, unit.plugs, unit.watts, strict=True):
            self.add(pulp.lpSum(plugs) <= count * unit.used)
            if group_w is not None:
                self.add(pulp.lpSum(watts) <= float(group_w) * 1000 * unit.used)
        if not unit.builds[0].injector:
            self.add(pulp.lpSum(unit.traffic) <= share_mbps(self, unit) * unit.used)
        if self.rules.energy_price_kwh * self.rules.years:
            self._energy(unit)

    def _energy(self, unit: Numbered) -> None:
        """Own draw and conversion loss of a unit, by the lowest efficiency of what it is built of."""
        each_w = float(self.rules.energy_price_kwh * self.rules.years) * HOURS_A_YEAR / 1000
        shares = []
        for at, (build, mw, chosen) in enumerate(zip(unit.builds, unit.budgets, unit.chosen, strict=True)):
            lowest = float(min((row.efficiency for row in build.supplies), default=build.model.efficiency))
            share = self.problem.add_variable(f"{unit.name}_share_{at}", 0)
            self.add(share <= mw * chosen)
            shares.append(share)
            self.price += [each_w * (1 / lowest - 1) / 1000 * share, each_w * float(build.model.own_w) / lowest * chosen]
        self.add(pulp.lpSum(shares) == pulp.lpSum(watts for group in unit.watts for watts in group))

    def _place(self, name: str) -> None:
        place = self.scenario.place[name]
        here = [unit for unit in self.units if unit.place == name]
        opened = self.binary(f"opened_{self._at(name)}")
        for unit in here:
            self.add(unit.used <= opened)
        self.price.append(float(place.open_cost) * opened)
        pairs = [(build, var) for unit in here for build, var in zip(unit.builds, unit.chosen, strict=True)]
        if place.outlets is not None:
            self.add(pulp.lpSum((len(build.supplies) or 1) * var for build, var in pairs if not build.fed) <= place.outlets)
        if place.rack_u is not None:
            needs = [float(sum(row.rack_u for row in (build.model, *build.supplies))) for build, _ in pairs]
            self.add(pulp.lpSum(need * var for need, (_, var) in zip(needs, pairs, strict=True)) <= float(place.rack_u))
        self._spare_ports(here, name)
        self._bill(here, name)

    def _spare_ports(self, here: list[Numbered], name: str) -> None:
        if not self.rules.spare_ports_pct:
            return
        total = pulp.lpSum(unit.builds[0].powered * unit.used for unit in here)
        groups = [plugs for unit in here for head, plugs in zip(unit.builds[0].heads, unit.plugs, strict=True) if head[0] > 0]
        spare = self._count(f"spare_{self._at(name)}")
        self.add(100 * spare >= float(self.rules.spare_ports_pct) * total)
        self.add(pulp.lpSum(plug for plugs in groups for plug in plugs) + spare <= total)

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
            bought = self._count(f"bought_{self._at(name)}_{at}")
            self.add(bought >= pulp.lpSum(used) - owned)
            self.price.append(prices[model] * bought)
