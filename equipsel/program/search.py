"""The search: solve, pack every unit exactly, learn from what cannot be packed, and again; then settle the ties."""

import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from math import ceil, inf

import pulp

from equipsel.program import link_rules, place_rules, site_rules, unit_rules
from equipsel.program.adapter import Answer, Stop, solve
from equipsel.program.layout import Layout, Unpacked, check_energy, lay_out
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.money import Money
from equipsel.program.rows import Terms

RULES: tuple[Callable[[Model], None], ...] = (
    unit_rules.define_ports,
    unit_rules.define_all_ports,
    unit_rules.define_each_group,
    unit_rules.define_group_watts,
    unit_rules.define_budget,
    unit_rules.define_large_loads,
    unit_rules.define_uplink,
    unit_rules.define_split_order,
    link_rules.define_leads,
    link_rules.define_fed,
    place_rules.define_spare_ports,
    place_rules.define_rack,
    place_rules.define_outlets,
    place_rules.define_circuit,
    place_rules.define_critical_share,
    place_rules.define_backup,
    site_rules.define_max_models,
)
"""Every rule, each adding its rows to the program."""

TIE_NODES = 2000
"""Nodes of the search tree spent on each tie (our own limit: a count, not seconds, so that the answer repeats)."""

Progress = Callable[[int | None, int | None], None]
"""Called with the cents of the best kit so far and of the proven bound; None where there is none yet."""


@dataclass(frozen=True)
class Found:
    """What the search found: the layout (None: none), why it stopped, and its cost and the proven bound in cents.

    The cost is None for a layout that took more units than the program said.
    """

    stop: Stop
    layout: Layout | None = None
    model: Model | None = None
    cost_cents: int | None = None
    bound_cents: int | None = None


@dataclass(frozen=True)
class Tie:
    """A solved objective kept at its best while the next one is settled."""

    name: str
    terms: Callable[[Model, Money], Terms]
    most: int


class Search:
    """One search over one problem, with its clock and what it has learnt."""

    def __init__(self, problem: Problem, gap: float, time_limit_s: float, progress: Progress | None = None) -> None:
        """Start the clock."""
        self.problem, self.gap, self.progress = problem, gap, progress
        self.deadline = time.monotonic() + time_limit_s
        self.refinement = Refinement()
        self.bound = -inf
        self.spare: tuple[Layout, Model] | None = None

    def run(self) -> Found:
        """The cheapest layout, and among those of its cost the one the ties prefer."""
        found = self._settle(_cost, [], self.gap, None)
        if found.layout is None or found.cost_cents is None or found.stop is not Stop.PROVEN:
            return found
        ties = [Tie("cost", _cost, found.cost_cents)]
        for name, terms in (("port_watts", _port_watts), ("fewest", _fewest)):
            better = self._settle(terms, ties, 0.0, TIE_NODES)
            if better.layout is None or better.cost_cents is None:
                break
            found = Found(found.stop, better.layout, better.model, found.cost_cents, found.bound_cents)
            ties.append(Tie(name, terms, better.cost_cents))
            if better.stop is Stop.INTERRUPTED:
                break
        return found

    def _settle(self, objective: Callable[[Model, Money], Terms], ties: list[Tie], gap: float, nodes: int | None) -> Found:
        """Solve for an objective until every unit is packed; `cost_cents` is the objective's value."""
        while True:
            model, money = build_model(self.problem, self.refinement)
            terms = objective(model, money)
            for tie in ties:
                fixed = money.fixed_cents if tie.name == "cost" else 0
                model.rows.at_most(f"tie-{tie.name}", tie.terms(model, money), tie.most - fixed)
            fixed = money.fixed_cents if objective is _cost else 0
            model.rows.problem += pulp.lpSum(factor * variable for factor, variable in terms)
            answer = solve(model.rows.problem, gap, self.deadline - time.monotonic(), nodes, self._reporter(fixed, bool(ties)))
            if not ties and answer.bound > -inf and answer.bound < inf:
                self.bound = max(self.bound, ceil(answer.bound - 1e-6) + fixed)
            if not answer.found:
                return self._without(answer)
            try:
                layout = lay_out(model)
                check_energy(model, layout)
            except Unpacked as lesson:
                if not ties:
                    self._keep_spare(model)
                self.refinement = lesson.refinement
                if answer.stop is Stop.INTERRUPTED or time.monotonic() >= self.deadline:
                    return self._without(answer)
                continue
            value = round(answer.value) + fixed
            return Found(answer.stop, layout, model, value, None if ties else self._bound(answer, value))

    def _bound(self, answer: Answer, value: int) -> int | None:
        if self.bound == -inf:
            return None
        return min(int(self.bound), value) if answer.stop is Stop.PROVEN else int(self.bound)

    def _without(self, answer: Answer) -> Found:
        """No packed answer in this round: what an earlier round left over, if anything."""
        stop = Stop.LIMIT if answer.stop is Stop.PROVEN else answer.stop
        bound = None if self.bound == -inf else int(self.bound)
        if self.spare and stop is not Stop.INFEASIBLE:
            return Found(stop, *self.spare, None, bound)
        return Found(stop, bound_cents=bound)

    def _keep_spare(self, model: Model) -> None:
        """Keep a layout with more units in the pools that could not be packed, in case time runs out."""
        if self.spare is None:
            with suppress(Unpacked):
                self.spare = (lay_out(model, more_units=True), model)

    def _reporter(self, fixed: int, tie: bool) -> Callable[[float, float], None] | None:
        if self.progress is None or tie:
            return None
        report = self.progress
        return lambda best, bound: report(
            None if best == inf else round(best) + fixed, None if bound == -inf else ceil(bound - 1e-6) + fixed
        )


def build_model(problem: Problem, refinement: Refinement) -> tuple[Model, Money]:
    """The program of a problem: variables, every rule, and the money; no objective yet."""
    model = Model(problem, refinement)
    link_rules.define_served(model)
    for rule in RULES:
        rule(model)
    return model, Money(model)


def _cost(model: Model, money: Money) -> Terms:
    del model
    return money.terms


def _port_watts(model: Model, money: Money) -> Terms:
    del money
    return site_rules.port_watts(model)


def _fewest(model: Model, money: Money) -> Terms:
    del money
    return site_rules.fewest(model)
