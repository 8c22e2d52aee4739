"""Named rules: each can be lifted for good, or eased step by step; every change is another site."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import reduce
from typing import Any

from equipsel.columns import Row
from equipsel.site import Site
from equipsel.variants import with_tables, with_values

Change = Callable[[Site], Site]


@dataclass(frozen=True)
class Step:
    """One way to ease a rule: the words of what would then hold, and the change to a site."""

    words: str
    change: Change


@dataclass(frozen=True)
class Ease:
    """Ways to ease a rule along one scale: steps from the least to the most, each allowing all that those before it allow."""

    steps: Sequence[Step]


@dataclass(frozen=True)
class Rule:
    """A rule in the user's words; the change that lifts it altogether; what it could be eased by, what is nearest to hand first.

    wanted: it is what a device itself asks for, and is eased last. heavy: without it a site is much harder to solve.
    """

    words: str
    lift: Change
    eases: tuple[Ease, ...] = ()
    wanted: bool = False
    heavy: bool = False


def without(site: Site, rules: Iterable[Rule]) -> Site:
    """The site with rules lifted."""
    return reduce(lambda changed, rule: rule.lift(changed), rules, site)


def one(words: str, change: Change) -> Ease:
    """An ease of a single step."""
    return Ease((Step(words, change),))


def changed_rows(table: str, wanted: Callable[[Any], bool], values: Callable[[Any], dict[str, Any]]) -> Change:
    """A change of the wanted rows of a table, each to values of its own."""

    def change(site: Site) -> Site:
        rows: tuple[Row, ...] = getattr(site.scenario if hasattr(site.scenario, table) else site.catalog, table)
        return with_tables(site, **{table: tuple(with_values(row, **values(row)) if wanted(row) else row for row in rows)})

    return change


def then(*changes: Change) -> Change:
    """Several changes, one after the other."""
    return lambda site: reduce(lambda changed, change: change(changed), changes, site)
