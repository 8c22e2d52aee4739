"""Trade-offs: the cost of more spare, and of fewer different models. Every option that no other beats, each one proven."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Literal

from equipsel.compare.ask import Question, cost_cents, is_proven
from equipsel.kit import Connection, FedBy, Kit, Status
from equipsel.quantities import money
from equipsel.variants import with_rules

Axis = Literal["spare", "models"]

MOST_SPARE_PCT = 99
"""The most spare asked for, in whole percent: the rule takes less than 100."""


@dataclass(frozen=True)
class Point:
    """One option no other beats: spare of every unit's watts in whole percent, or how many different models; cost; its kit."""

    value: int
    cost: Decimal
    kit: Kit


@dataclass(frozen=True)
class Curve:
    """The trade-off along an axis. `complete`: every option is there and proven; else what could be proven in time."""

    axis: Axis
    points: tuple[Point, ...]
    complete: bool


@dataclass(frozen=True)
class CurveTask:
    """A site and an axis; the searches' gap is 0."""

    question: Question
    axis: Axis


def curve(task: CurveTask) -> Curve:
    """Ask for a little more (or one model fewer) than the kit before has, until there is no kit."""
    points: list[Point] = []
    complete = True
    for point in (_spare if task.axis == "spare" else _models)(replace(task.question, gap=Decimal(0))):
        if point is None:
            complete = False
            break
        if points and points[-1].cost == point.cost:
            points.pop()
        points.append(point)
    return Curve(task.axis, tuple(points), complete)


def _spare(question: Question) -> Iterator[Point | None]:
    """Kits of rising spare, from none on; None where one could not be proven."""
    asked = 0
    while asked <= MOST_SPARE_PCT:
        kit = _with(question, spare_watts_pct=Decimal(asked))
        if not is_proven(kit):
            yield None
            return
        cost = cost_cents(kit)
        if kit.status is Status.INFEASIBLE or cost is None:
            return
        has = max(asked, spare_pct(question, kit))
        yield Point(has, money(cost), kit)
        asked = has + 1


def _models(question: Question) -> Iterator[Point | None]:
    """Kits of ever fewer models, from as many as are cheapest."""
    most = question.site.rules.max_models
    while most is None or most >= 0:
        kit = question.kit() if most is None else _with(question, max_models=most)
        if not is_proven(kit):
            yield None
            return
        cost = cost_cents(kit)
        if kit.status is Status.INFEASIBLE or cost is None:
            return
        has = len(models_of(kit))
        yield Point(has, money(cost), kit)
        most = has - 1
        if most < 1:
            return


def _with(question: Question, **rules: object) -> Kit:
    return replace(question, site=with_rules(question.site, **rules)).kit()


def models_of(kit: Kit) -> set[str]:
    """The different models of switch, injector and extender in a kit."""
    return {unit.model for unit in kit.units} | {item.model for run in runs_of(kit) for item in run.extenders}


def runs_of(kit: Kit) -> list[Connection | FedBy]:
    """The runs of a kit's devices, then those of its fed switches."""
    return [*kit.connections, *(unit.fed_by for unit in kit.units if unit.fed_by)]


def spare_pct(question: Question, kit: Kit) -> int:
    """The most whole percent of spare that every unit of a kit keeps (units with one powered port are exempt)."""
    catalog = question.site.catalog
    powered = {row.model: row.ports for row in catalog.injectors}
    powered |= {model: sum(row.count for row in groups if row.port_w) for model, groups in catalog.groups.items()}
    shares = [MOST_SPARE_PCT]
    for unit in kit.units:
        if unit.budget_w and unit.reserved_w is not None and powered[unit.model] != 1:
            budget, used = Fraction(str(unit.budget_w)), Fraction(str(unit.reserved_w))
            shares.append(floor(100 * (budget - used) / budget))
    return min(shares)
