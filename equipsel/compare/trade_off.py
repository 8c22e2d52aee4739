"""Trade-offs: the cost of more spare, and of fewer different models. Every option that no other beats, each one proven.

The least cost under a rule only rises as the rule asks for more. So the options that no other beats are the ends of the stretches on
which it stays: asked for a little more than such an option has, the cheapest kit costs more.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Literal

from equipsel.compare.ask import Question, Unproven, proven
from equipsel.kit import Connection, FedBy, Kit
from equipsel.quantities import money
from equipsel.variants import with_rules

Axis = Literal["spare", "models"]

ALL_PCT = Fraction(100)
"""Spare of a kit in which nothing is reserved on any unit that the rule is for; the rule itself takes less."""

FINEST_DIGITS = 20
"""Decimals of the spare asked for. Loads and budgets are whole milliwatts, so spares of two budgets of up to B mW differ by 100 / B^2 %
or not at all: 20 decimals tell them apart up to a hundred megawatts."""

SHOWN_DIGITS = 3

PLAIN_STEPS = 3
"""Steps of one cost before it begins to leap (our own figure: on the sites at hand few options of one cost stand so close)."""


@dataclass(frozen=True)
class Point:
    """One option no other beats: the least spare of its units in percent, exact, or how many different models; cost; its kit."""

    value: Fraction
    cost: Decimal
    kit: Kit

    @property
    def shown(self) -> int | float:
        """The value to three decimals, rounded down: a rule that asks for so much still allows the kit."""
        return floor(self.value) if self.value.denominator == 1 else floor(self.value * 10**SHOWN_DIGITS) / 10**SHOWN_DIGITS


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
    """Every option on the curve, from the cheapest on, until there is no kit or one cannot be proven."""
    points: list[Point] = []
    try:
        points.extend(_spare(task.question) if task.axis == "spare" else _models(task.question))
    except Unproven:
        return Curve(task.axis, tuple(points), False)
    return Curve(task.axis, tuple(points), True)


def _spare(question: Question) -> Iterator[Point]:
    """Options of rising spare, from none on."""
    point = _with_spare(question, Decimal(0))
    while point:
        last, dearer = _last_of_its_cost(question, point)
        yield last
        point = dearer


def _last_of_its_cost(question: Question, point: Point) -> tuple[Point, Point | None]:
    """The option of the same cost with the most spare, and the next dearer one, if any.

    Asks for the least more that there can be. Where that costs nothing time after time, it leaps halfway to what is known to cost more.
    """
    high, steps = ALL_PCT, 0
    while (more := _with_spare(question, _just_above(point.value))) and more.cost == point.cost:
        point, steps = more, steps + 1
        if steps >= PLAIN_STEPS:
            middle = (point.value + high) / 2
            leap = _leap(question, middle)
            point, high = (leap, high) if leap and leap.cost == point.cost else (point, middle)
    return point, more


def _leap(question: Question, pct: Fraction) -> Point | None:
    """An option of more than so much spare, if one is proven: a leap only saves searches."""
    try:
        return _with_spare(question, _just_above(pct))
    except Unproven:
        return None


def _just_above(pct: Fraction) -> Decimal:
    """The next percentage of so many decimals."""
    return Decimal(floor(pct * 10**FINEST_DIGITS) + 1).scaleb(-FINEST_DIGITS)


def _with_spare(question: Question, pct: Decimal) -> Point | None:
    kit, cost = proven(_under(question, spare_watts_pct=pct)) if pct < ALL_PCT else (None, None)
    return None if kit is None or cost is None else Point(spare_pct(question, kit), money(cost), kit)


def _models(question: Question) -> Iterator[Point]:
    """Options of ever fewer models, from as many as are cheapest."""
    point = _with_models(question, question.site.rules.max_models)
    while point:
        fewer = _with_models(question, int(point.value) - 1) if point.value > 1 else None
        if fewer is None or fewer.cost > point.cost:
            yield point
        point = fewer


def _with_models(question: Question, most: int | None) -> Point | None:
    kit, cost = proven(_under(question, max_models=most))
    return None if cost is None else Point(Fraction(len(models_of(kit))), money(cost), kit)


def _under(question: Question, **rules: object) -> Question:
    return Question(with_rules(question.site, **rules), question.restriction, question.gap, question.time_limit_s)


def models_of(kit: Kit) -> set[str]:
    """The different models of switch, injector and extender in a kit."""
    return {unit.model for unit in kit.units} | {item.model for run in runs_of(kit) for item in run.extenders}


def runs_of(kit: Kit) -> list[Connection | FedBy]:
    """The runs of a kit's devices, then those of its fed switches."""
    return [*kit.connections, *(unit.fed_by for unit in kit.units if unit.fed_by)]


def spare_pct(question: Question, kit: Kit) -> Fraction:
    """The spare in percent that every unit of a kit keeps at least (units with one powered port are exempt)."""
    catalog = question.site.catalog
    powered = {row.model: row.ports for row in catalog.injectors}
    powered |= {model: sum(row.count for row in groups if row.port_w) for model, groups in catalog.groups.items()}
    shares = [ALL_PCT]
    for unit in kit.units:
        if unit.budget_w and unit.reserved_w is not None and powered[unit.model] != 1:
            budget, used = Fraction(str(unit.budget_w)), Fraction(str(unit.reserved_w))
            shares.append(100 * (budget - used) / budget)
    return min(shares)
