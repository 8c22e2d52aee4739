"""The cheapest compliant kit of a site: ways to power, integer program, kit, independent re-check."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pulp

from equipsel import __version__
from equipsel.assemble import Assembly
from equipsel.audit import audit
from equipsel.bill import Bill
from equipsel.catalog import Catalog
from equipsel.digest import inputs_sha256
from equipsel.explain.devices import stopped
from equipsel.explain.no_kit import NoKit
from equipsel.kit import Finding, Kit, Line, Severity, Status
from equipsel.program.adapter import Stop
from equipsel.program.layout import Layout
from equipsel.program.model import Problem, Refinement
from equipsel.program.of_site import Powered, powered
from equipsel.program.paid import Paid
from equipsel.program.restriction import FREE, Restriction
from equipsel.program.rules import build_model
from equipsel.program.stages import Aim, Stages
from equipsel.program.whole import Result, Standing, Terms, Whole
from equipsel.quantities import money
from equipsel.scenario import Scenario
from equipsel.site import Site

REASONS_LIMIT_S = 20.0
"""Seconds spent on finding out why there is no kit (our own limit)."""


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a search stands: cost of the best kit so far and proven bound (None: none yet), seconds gone and left.

    done, parts: how many of the parts of the site that have nothing to do with each other have been searched.
    """

    cost: Decimal | None
    bound: Decimal | None
    seconds: float
    left_s: float = 0.0
    done: int = 0
    parts: int = 1

    @property
    def gap(self) -> float | None:
        """What the best kit may cost too much, relative to its cost; None where there is no kit or no bound yet."""
        if self.cost is None or self.bound is None:
            return None
        return float((self.cost - self.bound) / self.cost) if self.cost else 0.0


@dataclass(frozen=True, slots=True)
class Limits:
    """When a search may stop: relative gap, seconds (None: as the scenario's rules say), and who is told how it goes.

    workers: on how many processes of this machine parts of a large site are searched (spawned: a script that asks for more than
    one must guard its main module). The kit does not depend on it. reasons_s: seconds for finding out why there is no kit (0: not asked).
    again: who is told how many sites have been solved again to find that out.
    ties: whether it matters which of the cheapest kits it is; where only the cost is asked for, that saves time.
    """

    gap: Decimal | None = None
    time_limit_s: float | None = None
    progress: Callable[[Progress], None] | None = None
    workers: int = 1
    reasons_s: float = REASONS_LIMIT_S
    ties: bool = True
    again: Callable[[int], None] | None = None


class AuditFailed(Exception):  # noqa: N818 (the name says what happened)
    """The independent re-check refused a kit: a bug, told rather than hidden."""

    def __init__(self, kit: Kit, findings: list[Finding]) -> None:
        """Keep the kit and what is wrong with it."""
        super().__init__("the kit failed its own re-check: " + "; ".join(item.message for item in findings))
        self.kit, self.findings = kit, findings


def cheapest_kit(
    scenario: Scenario,
    catalog: Catalog,
    limits: Limits | None = None,
    restriction: Restriction = FREE,
    paid: Paid | None = None,
) -> Kit:
    """Choose the cheapest kit that satisfies every rule (and a restriction), proven or with its gap; or say why there is none.

    Where no kit differs from the bills of a restriction, no reasons are sought. With what an earlier stage has paid for, it is the
    kit for which least is to be paid more; its cost is that of all of it as new, and no bound on that is known.
    Ctrl-C ends the search and gives the best kit so far. Raises AuditFailed where the independent re-check finds an error.
    """
    started, site, limits = time.monotonic(), Site(scenario, catalog), limits or Limits()
    asked = powered(site, restriction, paid)
    if stopped(asked):
        return _none(site, Status.INFEASIBLE, _reasons(asked, (), limits), started)
    problem = asked.problem()
    gap = float(site.rules.mip_gap if limits.gap is None else limits.gap)
    seconds = float(site.rules.time_limit_s) if limits.time_limit_s is None else limits.time_limit_s
    left_s = seconds - (time.monotonic() - started)
    found = Whole(problem, Terms(gap, left_s, limits.workers, _reporter(limits, started, seconds), limits.ties)).run()
    if found.stop is Stop.INFEASIBLE:
        return _none(site, Status.INFEASIBLE, _reasons(asked, found.hopeless, limits), started)
    if found.layout is None:
        return _none(site, Status.STOPPED, (), started)
    return _checked(_kit(problem, found, found.layout, started), site)


def cheapest_stages(sites: Sequence[Site], aim: Aim, seconds: float) -> tuple[bool, tuple[Kit, ...]]:
    """The kits of all stages of a site in one program, each keeping what the one before bought; and whether that is proven.

    No kits where nothing beats what the aim says is known. Each stage must have a kit of its own. Raises AuditFailed.
    """
    started = time.monotonic()
    problems = [powered(site, paid=Paid()).problem() for site in sites]
    found = Stages(problems, aim, seconds - (time.monotonic() - started)).run()
    kits = (
        _plain_kit(problem, answer.layout, answer.batteries, Status.FEASIBLE, started)
        for problem, answer in zip(problems, found.stages, strict=False)
    )
    return found.proven, tuple(_checked(kit, problem.site) for kit, problem in zip(kits, problems, strict=False))


def _reasons(asked: Powered, hopeless: tuple[Problem, ...], limits: Limits) -> tuple[str, ...]:
    """Why there is no kit; none are sought where a kit must differ from others or buy nothing, or no time is given for it."""
    if asked.restriction.bills or (asked.paid is not None and asked.paid.frozen) or limits.reasons_s <= 0:
        return ()
    return NoKit(asked, hopeless, limits.reasons_s, limits.again).found().texts()


def write_lp(scenario: Scenario, catalog: Catalog, path: Path) -> None:
    """Write the integer program of a site (its cost as the objective) as an LP file that other solvers read."""
    site = Site(scenario, catalog)
    model, price = build_model(powered(site).problem(), Refinement())
    model.rows.problem += pulp.lpSum(factor * variable for factor, variable in price.terms)
    model.rows.problem.writeLP(str(path))


def _none(site: Site, status: Status, reasons: tuple[str, ...], started: float) -> Kit:
    return Kit(status=status, seconds=_since(started), reasons=reasons, **_origin(site))


def _origin(site: Site) -> dict[str, str]:
    """What a kit says of where it comes from."""
    return {"currency": site.scenario.currency, "tool_version": __version__, "inputs_sha256": inputs_sha256(site)}


def _since(started: float) -> float:
    return round(time.monotonic() - started, 3)


def _reporter(limits: Limits, started: float, limit_s: float) -> Callable[[Standing], None] | None:
    if limits.progress is None:
        return None
    tell = limits.progress

    def report(at: Standing) -> None:
        gone = time.monotonic() - started
        cost, bound = (None if cents is None else money(max(cents, 0)) for cents in (at.best, at.bound))
        tell(Progress(cost, bound, gone, max(limit_s - gone, 0.0), at.done, at.parts))

    return report


def _lines(assembly: Assembly, problem: Problem, batteries: dict[tuple[str, str], int]) -> tuple[Line, ...]:
    return Bill(problem.site, assembly.units(), list(assembly.runs()), batteries, assembly.heat_mw()).lines()


def _kit(problem: Problem, found: Result, layout: Layout, started: float) -> Kit:
    status = Status.OPTIMAL if found.stop is Stop.PROVEN else Status.FEASIBLE
    kit = _plain_kit(problem, layout, found.batteries, status, started)
    if problem.paid is not None:
        return kit
    cost = Decimal(str(kit.cost))
    reckoned = cost if found.cost_cents is None else money(found.cost_cents)
    bound = max(reckoned - money(found.gap_cents), Decimal(0))
    assert bound <= cost <= reckoned, f"the bill is {cost}, the program's cost {reckoned}, its bound {bound}"
    relative = Fraction(cost - bound) / Fraction(cost) if cost else Fraction(0)
    return kit.model_copy(update={"lower_bound": float(bound), "gap": round(float(relative), 6)})


def _plain_kit(problem: Problem, layout: Layout, batteries: dict[tuple[str, str], int], status: Status, started: float) -> Kit:
    """A layout as a kit with its bill; nothing is said of how cheap it is."""
    assembly = Assembly(layout, problem)
    lines = _lines(assembly, problem, batteries)
    return Kit(
        status=status,
        cost=float(sum((Decimal(str(line.cost)) for line in lines), Decimal(0))),
        seconds=_since(started),
        lines=lines,
        units=assembly.units(),
        connections=assembly.connections(),
        **_origin(problem.site),
    )


def _checked(kit: Kit, site: Site) -> Kit:
    """The kit with the findings of its re-check. Raises AuditFailed where one is an error."""
    findings = audit(kit, site.scenario, site.catalog)
    errors = [item for item in findings if item.severity is Severity.ERROR]
    if errors:
        raise AuditFailed(kit, errors)
    return kit.model_copy(update={"findings": tuple(findings)})
