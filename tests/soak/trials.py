"""One random case and all that is asked of it. A trial ends in words about what differs, or None; skipped ones say so.

Small cases are compared with the exhaustive search, as are small ones with more of their columns filled; middling ones with the
constraint model in CP-SAT. Every kit is re-checked; and the case is solved again with rows shuffled and names changed, at other
prices, without presolve; its program by CBC.
"""

import re
import subprocess
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from random import Random

import cpsat_model
import highspy
import pulp
from exhaustive import cheapest_cost
from late import Late, within
from law_sites import FAMILIES, kit, renamed, shuffled, with_prices
from random_columns import filled
from random_masts import masted
from random_sites import middling

from equipsel.audit import audit
from equipsel.kit import Kit, Severity
from equipsel.program import adapter
from equipsel.site import Site
from equipsel.solve import Limits, cheapest_kit, write_lp

EXHAUSTIVE_S = 25
CPSAT_S = 20
"""Of one thread. What it leaves undecided is held to its bounds (our own limit)."""
SAMPLE = 10
"""One case in so many is also solved without presolve and by CBC."""


@dataclass(frozen=True)
class Case:
    """A case by its kind (small, filled, middling) and number."""

    kind: str
    number: int


@dataclass
class Verdict:
    """What was asked of a case: how each trial ended, by its name ("same", "too slow", or what differs)."""

    case: Case
    trials: dict[str, str] = field(default_factory=dict)


def tried(case: Case) -> Verdict:
    """Solve a case and try everything on it."""
    site = site_of(case)
    found, verdict = cheapest_kit(site.scenario, site.catalog, Limits(reasons_s=0)), Verdict(case)
    if found.status not in ("optimal", "infeasible"):
        verdict.trials["proven"] = f"ended {found.status}"
        return verdict
    cents = _cents(found)
    trials: dict[str, Callable[[], str]] = {
        "re-check": lambda: _rechecked(found, site),
        "oracle": lambda: _cpsat(site, cents) if case.kind == "middling" else _exhaustive(site, cents),
        "other order and names": lambda: _same(cents, _cents(kit(shuffled(Site(renamed(site, "z "), site.catalog), Random(case.number))))),
        "prices times three": lambda: _tripled(found, site),
    }
    if case.number % SAMPLE == 0:
        trials["without presolve"] = lambda: _unpresolved(site, cents)
        trials["program by CBC"] = lambda: _by_cbc(site)
    for name, trial in trials.items():
        verdict.trials[name] = trial()
    return verdict


def site_of(case: Case) -> Site:
    """The site of a case: the families take turns."""
    family = FAMILIES[case.number % len(FAMILIES)]
    if case.kind == "small":
        return Site(*family(case.number))
    if case.kind == "filled":
        return filled(case.number, family)
    return Site(*(masted if case.number % 3 == 0 else middling)(case.number))


def _cents(found: Kit) -> int | None:
    return None if found.cost is None else round(found.cost * 100)


def _same(want: object, got: object) -> str:
    return "same" if want == got else f"{want} and {got}"


def _rechecked(found: Kit, site: Site) -> str:
    wrong = [item.message for item in audit(found, site.scenario, site.catalog) if item.severity is Severity.ERROR]
    return wrong[0] if wrong and found.cost is not None else "same"


def _exhaustive(site: Site, cents: int | None) -> str:
    try:
        with within(EXHAUSTIVE_S):
            return _same(cheapest_cost(site.scenario, site.catalog), cents)
    except Late:
        return "too slow"


def _cpsat(site: Site, cents: int | None) -> str:
    answer = cpsat_model.cheapest_cost(site.scenario, site.catalog, CPSAT_S, workers=1)
    if answer.proven:
        return _same(answer.cost, cents)
    within = answer.cost is None if cents is None else (answer.bound or 0) <= cents <= (answer.cost or cents)
    return "too slow" if within else f"{cents}, not between {answer.bound} and {answer.cost}"


def _tripled(before: Kit, site: Site) -> str:
    after = kit(with_prices(site, 3))
    if before.cost is None or after.cost is None:
        return _same(before.cost, after.cost)
    off = abs(after.cost - 3 * before.cost)
    return "same" if off <= 0.02 * max(len(before.lines), len(after.lines)) + 1e-9 else f"{off:.2f} more than rounding allows"


def _unpresolved(site: Site, cents: int | None) -> str:
    adapter.OPTIONS["presolve"] = "off"
    try:
        return _same(cents, _cents(kit(site)))
    finally:
        del adapter.OPTIONS["presolve"]


def _by_cbc(site: Site) -> str:
    """The first program of a site (pools, not units) by CBC and by HiGHS, both from the LP file; where they differ glpsol decides."""
    path = getattr(getattr(pulp, "PULP_CBC_CMD", None), "pulp_cbc_path", None)
    if path is None or not Path(path).is_file():
        return "no CBC here"
    with tempfile.TemporaryDirectory() as folder:
        program = Path(folder) / "kit.lp"
        write_lp(site.scenario, site.catalog, program)
        wanted = _by_highs(program)
        if wanted is None:
            return "no kit"
        got = _objective([path, str(program), "ratio", "0", "sec", "60", "solve", "quit"], r"^Objective value: +(\S+)$")
        if got in (None, wanted):
            return "too slow" if got is None else "same"
        third = _objective(["glpsol", "--lp", str(program), "--tmlim", "60", "-o", "/dev/stdout"], r"^Objective: +\S+ = (\S+)")
        return "CBC alone differs" if third == wanted else f"{wanted}, by CBC {got}, by glpsol {third}"


def _by_highs(program: Path) -> int | None:
    highs = highspy.Highs()
    highs.silent()
    for name, value in {**adapter.OPTIONS, "mip_rel_gap": 0.0}.items():  # with its own tolerance it is wrong on case 7790
        highs.setOptionValue(name, value)
    highs.readModel(str(program))
    highs.run()
    optimal = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return round(highs.getInfo().objective_function_value) if optimal else None


def _objective(command: list[str], pattern: str) -> int | None:
    """The optimum that a solver's program tells; None where its time ran out."""
    said = subprocess.run(command, capture_output=True, text=True, check=False).stdout
    value = re.search(pattern, said, re.MULTILINE)
    stopped = "Stopped on time" in said or "TIME LIMIT EXCEEDED" in said
    return None if value is None or stopped else round(float(value[1]))
