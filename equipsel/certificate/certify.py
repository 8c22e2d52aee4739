"""Certificates of kits: made from the duals of the linear relaxation, checked against the tables without any solver."""

import time
from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction
from math import inf

from equipsel.certificate.bound import Program, Row, least_cents, mended
from equipsel.kit import Certificate, Finding, Kit, Severity, Status
from equipsel.program.adapter import relaxed
from equipsel.program.model import Refinement
from equipsel.program.of_site import powered
from equipsel.program.rows import Rows, Terms
from equipsel.program.rules import build_model
from equipsel.quantities import cents, money
from equipsel.site import Site

RULE = "certificate"
GRID = 10**9
"""Weights are taken from the solver to so many parts of 1: any weights prove something, better ones prove more."""


def certified(kit: Kit, site: Site, seconds: float) -> Kit:
    """The kit with a certificate of the part of its bound that the linear relaxation gives; as it is where time does not allow one."""
    deadline = time.monotonic() + seconds
    if kit.cost is None or kit.status not in (Status.OPTIMAL, Status.FEASIBLE):
        return kit
    rows, costs, fixed = _built(site)
    rows.problem.setObjective(sum(factor * variable for factor, variable in costs))
    value, duals = relaxed(rows.problem, deadline - time.monotonic())
    if value == -inf:
        return kit
    program = _program(rows, costs, fixed)
    solver = {name: Fraction(round(-dual * GRID), GRID) for name, dual in duals.items()}
    weights = {name: weight for name, weight in mended(program, solver).items() if weight}
    least = least_cents(program, weights)
    if least is None:
        return kit
    words = {name: str(weight) for name, weight in sorted(weights.items())}
    return kit.model_copy(update={"certificate": Certificate(bound=float(money(max(least, 0))), weights=words)})


def check_certificate(kit: Kit, site: Site) -> Iterator[Finding]:
    """Whether a kit's certificate shows what it says: reckoned again in fractions from the tables. Kits without one give nothing."""
    if kit.certificate is None:
        return
    weights = {name: Fraction(text) for name, text in kit.certificate.weights.items()}
    least = least_cents(_program(*_built(site)), weights) if powered(site).possible else None
    said = Decimal(str(kit.certificate.bound))
    if least is None:
        yield _finding(Severity.ERROR, "Its weights show nothing: they are not of this program's rows, or leave a cost without an end.")
    elif cents(said) > max(least, 0):
        yield _finding(Severity.ERROR, f"It says that no kit costs less than {said:.2f}; its weights show {money(max(least, 0)):.2f}.")
    elif kit.cost is not None and said > Decimal(str(kit.cost)):
        yield _finding(Severity.ERROR, f"It says that no kit costs less than {said:.2f}; this one costs {Decimal(str(kit.cost)):.2f}.")
    else:
        yield _finding(Severity.NOTE, f"No kit costs less than {said:.2f}: reckoned again in exact fractions.")


def _finding(severity: Severity, message: str) -> Finding:
    return Finding(rule=RULE, severity=severity, where="kit", message=message)


def _built(site: Site) -> tuple[Rows, Terms, int]:
    """The rows of a site's program, in exact figures too, its cost, and what is paid whatever is chosen."""
    model, price = build_model(powered(site).problem(), Refinement(), Rows("kit", keep=True))
    return model.rows, price.terms, price.fixed_cents


def _program(rows: Rows, costs: Terms, fixed: int) -> Program:
    assert rows.exact is not None, "the rows were kept"
    plain = {
        row.name: Row(tuple((Fraction(factor), variable.name) for factor, variable in row.terms), Fraction(row.limit), row.equal)
        for row in rows.exact
    }
    factors: dict[str, int] = {}
    for factor, variable in costs:
        factors[variable.name] = factors.get(variable.name, 0) + int(factor)
    variables = rows.problem.variables()
    low = {variable.name: round(variable.lowBound or 0) for variable in variables}
    high = {one.name: None if one.upBound in (None, inf) else round(one.upBound) for one in variables}  # inf: PuLP 4
    return Program(plain, factors, low, high, fixed)
