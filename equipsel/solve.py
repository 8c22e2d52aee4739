"""The cheapest compliant kit of a site: ways to power, integer program, kit, independent re-check."""

import time
from collections.abc import Callable
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
from equipsel.feeds.builds import Build
from equipsel.feeds.dominance import worthwhile
from equipsel.feeds.ways import DeviceWays, all_builds, device_ways, groups, most_load_mw, uplinks_matter
from equipsel.kit import Finding, Kit, Severity, Status
from equipsel.program.adapter import Stop, whole
from equipsel.program.model import Model, Problem, Refinement
from equipsel.program.search import Found, Search, build_model
from equipsel.quantities import money
from equipsel.reasons import impossible_devices, unserved
from equipsel.scenario import Scenario
from equipsel.site import Site

REASONS_LIMIT_S = 20.0
"""Seconds spent on finding out which devices cannot be served together (our own limit)."""


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a search stands: cost of the best kit so far and proven bound (None: none yet), seconds gone."""

    cost: Decimal | None
    bound: Decimal | None
    seconds: float


@dataclass(frozen=True, slots=True)
class Limits:
    """When a search may stop: relative gap, seconds (None: as the scenario's rules say), and who is told how it goes."""

    gap: Decimal | None = None
    time_limit_s: float | None = None
    progress: Callable[[Progress], None] | None = None


class AuditFailed(Exception):  # noqa: N818 (the name says what happened)
    """The independent re-check refused a kit: a bug, told rather than hidden."""

    def __init__(self, kit: Kit, findings: list[Finding]) -> None:
        """Keep the kit and what is wrong with it."""
        super().__init__("the kit failed its own re-check: " + "; ".join(item.message for item in findings))
        self.kit, self.findings = kit, findings


def cheapest_kit(scenario: Scenario, catalog: Catalog, limits: Limits | None = None) -> Kit:
    """Choose the cheapest kit that satisfies every rule, proven or with its gap; or say why there is none.

    Ctrl-C ends the search and gives the best kit so far. Raises AuditFailed where the independent re-check finds an error.
    """
    started, site, limits = time.monotonic(), Site(scenario, catalog), limits or Limits()
    builds = all_builds(site)
    ways = device_ways(site, builds)
    reasons = impossible_devices(ways, site, builds)
    if reasons:
        return _none(site, Status.INFEASIBLE, reasons, started)
    problem = _problem(site, builds, ways)
    gap = float(site.rules.mip_gap if limits.gap is None else limits.gap)
    seconds = float(site.rules.time_limit_s) if limits.time_limit_s is None else limits.time_limit_s
    found = Search(problem, gap, seconds, _reporter(limits, started)).run()
    if found.stop is Stop.INFEASIBLE:
        return _none(site, Status.INFEASIBLE, unserved(problem, min(seconds, REASONS_LIMIT_S)), started)
    if found.layout is None or found.model is None:
        return _none(site, Status.STOPPED, (), started)
    kit = _kit(site, found, found.model, started)
    return _checked(kit, site)


def write_lp(scenario: Scenario, catalog: Catalog, path: Path) -> None:
    """Write the integer program of a site (its cost as the objective) as an LP file that other solvers read."""
    site = Site(scenario, catalog)
    builds = all_builds(site)
    model, price = build_model(_problem(site, builds, device_ways(site, builds)), Refinement())
    model.rows.problem += pulp.lpSum(factor * variable for factor, variable in price.terms)
    model.rows.problem.writeLP(str(path))


def _problem(site: Site, builds: list[Build], ways: list[DeviceWays]) -> Problem:
    uplinks = uplinks_matter(site, builds)
    kept = worthwhile(builds, site, most_load_mw(ways, builds))
    return Problem(site, groups(ways, site, uplinks), kept, uplinks)


def _none(site: Site, status: Status, reasons: tuple[str, ...], started: float) -> Kit:
    return Kit(status=status, seconds=_since(started), reasons=reasons, **_origin(site))


def _origin(site: Site) -> dict[str, str]:
    """What a kit says of where it comes from."""
    return {"currency": site.scenario.currency, "tool_version": __version__, "inputs_sha256": inputs_sha256(site)}


def _since(started: float) -> float:
    return round(time.monotonic() - started, 3)


def _reporter(limits: Limits, started: float) -> Callable[[int | None, int | None], None] | None:
    if limits.progress is None:
        return None
    tell = limits.progress
    return lambda best, bound: tell(
        Progress(None if best is None else money(best), None if bound is None else money(bound), time.monotonic() - started)
    )


def _kit(site: Site, found: Found, model: Model, started: float) -> Kit:
    assert found.layout is not None, "a kit is made of a layout"
    assembly = Assembly(found.layout, model)
    units = assembly.units()
    batteries = {
        (place, name): number for place, counts in model.batteries.items() for name, count in counts.items() if (number := whole(count))
    }
    lines = Bill(site, units, list(assembly.runs()), batteries, assembly.heat_mw()).lines()
    cost = sum((Decimal(str(line.cost)) for line in lines), Decimal(0))
    bound = money(max(found.bound_cents or 0, 0))
    assert found.cost_cents is not None, "a layout has a cost"
    assert bound <= cost <= money(found.cost_cents), f"the bill is {cost}, the program's cost {money(found.cost_cents)}, its bound {bound}"
    gap = Fraction(cost - bound) / Fraction(cost) if cost else Fraction(0)
    return Kit(
        status=Status.OPTIMAL if found.stop is Stop.PROVEN else Status.FEASIBLE,
        cost=float(cost),
        lower_bound=float(bound),
        gap=round(float(gap), 6),
        seconds=_since(started),
        lines=lines,
        units=units,
        connections=assembly.connections(),
        **_origin(site),
    )


def _checked(kit: Kit, site: Site) -> Kit:
    """The kit with the findings of its re-check. Raises AuditFailed where one is an error."""
    findings = audit(kit, site.scenario, site.catalog)
    errors = [item for item in findings if item.severity is Severity.ERROR]
    if errors:
        raise AuditFailed(kit, errors)
    return kit.model_copy(update={"findings": tuple(findings)})
