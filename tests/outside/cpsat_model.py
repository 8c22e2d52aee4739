"""The cheapest kit by a constraint model (OR-Tools CP-SAT, PyPI) in which each device goes to a numbered unit on its own.

Nothing is pooled or counted: a device is given a run with its extenders, and a port group of a numbered switch or a
numbered injector with a data port. Only what lies beyond the numbered units is relaxed: one stand-in for each model and
place has the ports and watts of any number of units together. An answer in which a stand-in is no more than one unit is
exact; else there are too few numbers and the model is made again with more. Integer cents and milliwatts. It knows
places, supplies, injectors, extenders, alternatives, owned equipment, spare watts and ports, uplinks, rack space and
outlets, and by class fed switches (cpsat_fed.py); no fed switches by stated or granted draw, where what a feed takes is a
curve, no batteries, energy, circuits, critical shares or extras.
"""

from collections import defaultdict
from itertools import pairwise
from math import ceil, floor
from time import monotonic
from typing import NamedTuple

from beyond import refuse
from cpsat_fed import Feeds
from cpsat_slot import MILLI, Slot, cents
from oracle_feeds import (
    Build,
    Route,
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
from ortools.sat.python import cp_model

from equipsel.catalog import Catalog
from equipsel.scenario import Scenario


class Answer(NamedTuple):
    """Cost of the cheapest kit found (None: none was), whether it is proven, and the proven lower bound; in cents."""

    cost: int | None
    proven: bool
    bound: int | None


def cheapest_cost(scenario: Scenario, catalog: Catalog, seconds: float = 30, workers: int = 2) -> Answer:
    """The cheapest kit by this model, searched for so many seconds at most. Raises Beyond for a site it does not know."""
    refuse(scenario, catalog, energy=True)
    numbered: dict[tuple[str, str], int] = defaultdict(lambda: 2)
    ends = monotonic() + seconds
    while True:
        model = SiteModel(scenario, catalog, numbered)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = workers
        solver.parameters.max_time_in_seconds = max(0.1, ends - monotonic())
        status = solver.solve(model.cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Answer(None, status == cp_model.INFEASIBLE, None)
        pooled = {key: solver.value(slot.count) for key, slot in model.beyond.items() if solver.value(slot.count) > slot.exact_up_to}
        if not pooled or monotonic() > ends:
            cost = None if pooled else round(solver.objective_value)
            return Answer(cost, status == cp_model.OPTIMAL and not pooled, ceil(solver.best_objective_bound - 0.001))
        for key, count in pooled.items():
            numbered[key] += count


class SiteModel:
    """The model of a site with so many numbered units of each model in each place."""

    def __init__(self, scenario: Scenario, catalog: Catalog, numbered: dict[tuple[str, str], int]) -> None:
        self.scenario, self.catalog, self.rules = scenario, catalog, scenario.rules
        self.limits = bundle_limits(catalog)
        self.cp = cp_model.CpModel()
        self.price: list[cp_model.LinearExprT] = []
        self.beyond: dict[tuple[str, str], Slot] = {}
        self.total = sum(row.count for row in scenario.devices)
        self.switches: dict[str, list[Slot]] = {}
        self.injectors: dict[str, list[Slot]] = {}
        for name in scenario.place:
            self.switches[name] = self._slots(name, switch_builds(self.rules, catalog), numbered)
            self.injectors[name] = self._slots(name, injector_builds(catalog), numbered)
        self.rows: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        self.feeds = Feeds(self, numbered)
        for number in range(len(scenario.devices)):
            self._devices(number)
        self.feeds.connect()
        for name in scenario.place:
            self._place(name)
        self._shared_cables()
        self.cp.minimize(sum(self.price))

    def _slots(self, place: str, builds: list[Build], numbered: dict[tuple[str, str], int]) -> list[Slot]:
        standing = [build for build in builds if not build.fed and stands(build, self.scenario.place[place])]
        slots = []
        for model in dict.fromkeys(build.model.model for build in standing):
            of_model = [build for build in standing if build.model.model == model]
            budgets = [build.budget_mw(self.rules) for build in of_model]
            row = [Slot(self.cp, f"{place} {model} {at}", of_model, budgets, 1) for at in range(numbered[place, model])]
            beyond = Slot(self.cp, f"{place} {model} beyond", of_model, budgets, self.total + 4)
            slots += self.in_order(place, model, row, beyond)
        return slots

    def in_order(self, place: str, model: str, row: list[Slot], beyond: Slot) -> list[Slot]:
        """Numbered units one after the other, the stand-in last."""
        self.beyond[place, model] = beyond
        for slot, after in pairwise(row):
            self.cp.add(slot.count >= after.count)
        self.cp.add(beyond.count <= (self.total + 4) * row[-1].count)
        return [*row, beyond]

    def _devices(self, number: int) -> None:
        device = self.scenario.devices[number]
        load = device_load(device)
        routes = device_routes(self.scenario, self.catalog, device)
        ways = [(route, chain) for route in routes for chain in chains(self.rules, self.catalog, route, load.link)]
        for copy in range(device.count):
            taken: list[cp_model.IntVar] = []
            for at, (route, chain) in enumerate(ways):
                name = f"{number}.{copy} way {at}"
                direct = self._direct(number, name, route, chain)
                injected = self._injected(number, name, route, chain) if load.number is not None or chain else []
                extra = sum(cents(row.price + row.install_cost + self.rules.piece_cost) for row in chain)
                home = 0 if route.row is not None or route.existing else self._pulled(route)
                taken += [*direct, *injected]
                self.price += [(extra + home) * var for var in (*direct, *injected)]
                if route.row is not None:
                    self.rows[route.row] += [*direct, *injected]
            self.cp.add_exactly_one(taken)

    def _pulled(self, route: Route) -> int:
        return cents((route.cable.price_per_m + route.cable.install_cost_per_m) * route.length)

    def _reserve(self, number: int, build: Build, group: int, route: Route, chain: tuple[object, ...]) -> int | None:
        load = device_load(self.scenario.devices[number])
        found = solve(self.rules, head_of(build, group), route, chain, load, self.limits)
        return None if found is None else reserve_mw(self.rules, found)

    def _direct(self, number: int, name: str, route: Route, chain: tuple[object, ...]) -> list[cp_model.IntVar]:
        """The device on each group of each switch of the place."""
        found = []
        known: dict[tuple[str, int], int | None] = {}
        for at, slot in enumerate(self.switches[route.place]):
            build = slot.builds[0]
            for group in range(len(build.heads)):
                if build.fed:
                    found += self.feeds.device(number, f"{name} switch {at} group {group}", slot, group, route, chain)
                    continue
                key = (build.model.model, group)
                if key not in known:
                    known[key] = self._reserve(number, build, group, route, chain)
                if known[key] is not None:
                    var = self.cp.new_bool_var(f"{name} switch {at} group {group}")
                    self.plug(slot, group, var, number)
                    slot.watts[group].append(known[key] * var)
                    found.append(var)
        return found

    def plug(self, slot: Slot, group: int, var: cp_model.IntVar, number: int) -> None:
        """A device's plug in a port of a switch, with its traffic."""
        slot.plugs[group].append(var)
        self.cp.add(var <= slot.count)
        slot.traffic.append(floor(exact(self.scenario.devices[number].mbps) * MILLI) * var)

    def _injected(self, number: int, name: str, route: Route, chain: tuple[object, ...]) -> list[cp_model.IntVar]:
        """The device on each injector of the place, with a data port on one of its switches."""
        found = []
        for at, slot in enumerate(self.injectors[route.place]):
            mw = self._reserve(number, slot.builds[0], 0, route, chain)
            if mw is not None:
                var = self.cp.new_bool_var(f"{name} injector {at}")
                slot.plugs[0].append(var)
                self.cp.add(var <= slot.count)
                slot.watts[0].append(mw * var)
                found.append(var)
        if found:
            self._data_port(number, name, route.place, found)
        return found

    def _data_port(self, number: int, name: str, place: str, injected: list[cp_model.IntVar]) -> None:
        link, ports = device_load(self.scenario.devices[number]).link, []
        for at, slot in enumerate(self.switches[place]):
            for group, head in enumerate(slot.builds[0].heads):
                if head[2] >= link:
                    var = self.cp.new_bool_var(f"{name} data {at} group {group}")
                    self.plug(slot, group, var, number)
                    ports.append(var)
        self.cp.add(sum(ports) == sum(injected))

    def _place(self, name: str) -> None:
        place = self.scenario.place[name]
        slots = self.switches[name] + self.injectors[name]
        for slot in slots:
            self._fill(slot)
        for slot in self.switches[name]:
            share = exact(slot.builds[0].model.uplink_mbps) * exact(self.rules.uplink_share_pct) / 100
            self.cp.add(sum(slot.traffic) <= floor(share * MILLI) * slot.count)
        opened = self.cp.new_bool_var(f"{name} opened")
        for slot in slots:
            self.cp.add(slot.count <= (self.total + 4) * opened)
        self.price.append(cents(place.open_cost) * opened)
        self._spare_ports(slots)
        self._space(name, slots)
        self._bill(name, slots)

    def _fill(self, slot: Slot) -> None:
        """Ports and watts of a unit and of each of its groups."""
        self.cp.add(sum(sum(watts) for watts in slot.watts) <= sum(mw * var for mw, var in zip(slot.budgets, slot.chosen, strict=True)))
        for (_, _, _, count, group_w), plugs, watts in zip(slot.builds[0].heads, slot.plugs, slot.watts, strict=True):
            self.cp.add(sum(plugs) <= count * slot.count)
            if group_w is not None:
                self.cp.add(sum(watts) <= floor(exact(group_w) * MILLI) * slot.count)

    def _spare_ports(self, slots: list[Slot]) -> None:
        total = sum(slot.builds[0].powered * slot.count for slot in slots)
        used = sum(sum(plugs) for slot in slots for head, plugs in zip(slot.builds[0].heads, slot.plugs, strict=True) if head[0] > 0)
        share = exact(self.rules.spare_ports_pct) / 100
        spare = self.cp.new_int_var(0, 100_000, "spare ports")
        self.cp.add(spare * share.denominator >= total * share.numerator)
        self.cp.add(used + spare <= total)

    def _space(self, name: str, slots: list[Slot]) -> None:
        place = self.scenario.place[name]
        pairs = [(build, var) for slot in slots for build, var in zip(slot.builds, slot.chosen, strict=True)]
        if place.outlets is not None:
            self.cp.add(sum((len(build.supplies) or 1) * var for build, var in pairs if not build.fed) <= place.outlets)
        if place.rack_u is not None:
            needs = [sum(exact(row.rack_u) for row in (build.model, *build.supplies)) for build, _ in pairs]
            used = sum(ceil(need * MILLI) * var for need, (_, var) in zip(needs, pairs, strict=True))
            self.cp.add(used <= floor(exact(place.rack_u) * MILLI))

    def _bill(self, name: str, slots: list[Slot]) -> None:
        """Prices of what stands in a place, owned ones first at no price."""
        owned: dict[str, int] = defaultdict(int)
        for row in self.scenario.owned:
            owned[row.model] += row.count if row.place == name else 0
        counts: dict[str, list[cp_model.LinearExprT]] = defaultdict(list)
        prices: dict[str, int] = {}
        for slot in slots:
            model = slot.builds[0].model
            counts[model.model].append(slot.count)
            prices[model.model] = cents(model.price + model.install_cost + self.rules.piece_cost)
            for build, var in zip(slot.builds, slot.chosen, strict=True):
                for supply in build.supplies:
                    counts[supply.model].append(var)
                    prices[supply.model] = cents(supply.price + supply.install_cost)
        for model, used in counts.items():
            if owned[model]:
                bought = self.cp.new_int_var(0, 10_000, f"{name} {model} bought")
                self.cp.add(bought >= sum(used) - owned[model])
                self.price.append(prices[model] * bought)
            else:
                self.price.append(prices[model] * sum(used))

    def _shared_cables(self) -> None:
        for row, used in self.rows.items():
            run = self.scenario.runs[row]
            cable = self.catalog.cable(run.cable)
            new = self.cp.new_int_var(0, len(used), f"run {row} new")
            self.cp.add(new >= sum(used) - run.existing)
            self.price.append(cents((cable.price_per_m + cable.install_cost_per_m) * self.rules.run_m(run.run_m)) * new)
