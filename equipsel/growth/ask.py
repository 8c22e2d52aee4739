"""From what is written on the command line to what is asked of a study."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from equipsel.files import InputError, read_site
from equipsel.files.changes import changed
from equipsel.files.problems import cell_problem
from equipsel.growth.plans import Terms
from equipsel.growth.points import CurveQuestion
from equipsel.growth.stages import Stage, Stages, stages
from equipsel.growth.study import Asked
from equipsel.growth.wishes import Wish, Wishes, of_table, of_texts
from equipsel.site import Site

MOST_POINTS = 200
"""Devices a curve may add (our own limit)."""


NOTHING_TO_PROVE = cell_problem("--prove", None, "", "there is no curve to prove", "write --curve as well, such as --curve kind:camera=20")


@dataclass(frozen=True)
class Written:
    """What was written: the scenario and its catalog, --add, --set, --curve, whether today's reach is asked for, when to stop.

    prove: whether the curves go on until every point is proven.
    """

    scenario: Path
    catalog: Path | None
    add: tuple[str, ...] = ()
    settings: tuple[str, ...] = ()
    curves: tuple[str, ...] = ()
    reach: bool = True
    gap: Decimal | None = None
    time_limit_s: float | None = None
    prove: bool = False


def asked(written: Written) -> Asked:
    """What is asked. Raises InputError with everything that is wrong with any of it."""
    site = read_site(written.scenario, written.catalog)
    terms = Terms(written.gap, written.time_limit_s)
    problems = [NOTHING_TO_PROVE] if written.prove and not written.curves else []
    variants: dict[str, tuple[Stage, ...]] = {}
    for text in written.settings:
        try:
            other = changed(site, [part for part in text.split(";") if part.strip()])
            variants[text] = _stages(other, written).stages
        except InputError as error:
            problems += error.problems
    try:
        asked_for = Asked(_stages(site, written), variants, _curves(site, written, terms), written.reach, terms)
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(dict.fromkeys(problems))
    return asked_for


def _stages(site: Site, written: Written) -> Stages:
    """The stages of --add, or where there is none of the growth table."""
    wishes = of_texts("--add", written.add, site.scenario) if written.add else of_table(site.scenario.growth)
    return stages(site, wishes)


def _curves(site: Site, written: Written, terms: Terms) -> list[CurveQuestion]:
    wishes: Wishes = of_texts("--curve", written.curves, site.scenario)
    return [_curve(site, wish, terms, prove=written.prove) for all_ in wishes.values() for wish in all_]


def _curve(site: Site, wish: Wish, terms: Terms, *, prove: bool) -> CurveQuestion:
    rows: Sequence[tuple[str, int]] = [
        (row.device, row.count) for row in site.scenario.devices if wish.target == (row.kind if wish.of_kind else row.device)
    ]
    most = wish.number(sum(count for _, count in rows))
    if most > MOST_POINTS:
        raise InputError([cell_problem("--curve", None, wish.target, f"{most} points are too many", f"write at most {MOST_POINTS}")])
    return CurveQuestion(wish.target, dict(rows), most, site, terms, prove)
