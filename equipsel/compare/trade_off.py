"""Trade-offs: the cost of more spare, and of fewer different models. Every option that no other beats, each one proven.

The least cost under a rule only rises as the rule asks for more. So the options that no other beats are the ends of the stretches on
which it stays: asked for a little more than such an option has, the cheapest kit costs more.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import floor
from typing import Literal

from equipsel.compare.ask import Question, Unproven
from equipsel.compare.stepwise import Searches
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
    """The trade-off along an axis. `complete`: every option is there and proven; else what could be proven in time.

    Until it is complete, an option may be missing that costs as much as the last and keeps more spare, or takes fewer models.
    """

    axis: Axis
    points: tuple[Point, ...]
    complete: bool


class TradeOff:
    """The study: every option on the curve, from the cheapest on, until there is no kit or one cannot be proven."""

    def __init__(self, question: Question, axis: Axis) -> None:
        """A site and an axis."""
        self.question, self.axis = question, axis
        self.points: list[Point] = []
        self.complete = False

    @property
    def found(self) -> Curve:
        """The options known by now."""
        return Curve(self.axis, tuple(self.points), self.complete)

    def searches(self) -> Searches[None]:
        """Until the end of the curve."""
        yield from self._spare() if self.axis == "spare" else self._models()
        self.complete = True

    def _spare(self) -> Searches[None]:
        """Options of rising spare, from none on."""
        point = yield from self._with_spare(Decimal(0))
        while point:
            self.points.append(point)
            point = yield from self._next_dearer()

    def _next_dearer(self) -> Searches[Point | None]:
        """Replace the last option by that of its cost with the most spare; the next dearer one, if any.

        Asks for the least more that there can be. Where that costs nothing time after time, it leaps halfway to what is known to cost more,
        or what no kit was proven for.
        """
        high, steps = ALL_PCT, 0
        while (more := (yield from self._more())) and more.cost == self.points[-1].cost:
            self.points[-1], steps = more, steps + 1
            if steps >= PLAIN_STEPS and more.value < high:
                middle = (more.value + high) / 2
                leap = yield from self._leap(middle)
                if leap and leap.cost == more.cost:
                    self.points[-1] = leap
                else:
                    high = middle
        return more

    def _more(self) -> Searches[Point | None]:
        """The cheapest option of more spare than the last."""
        return (yield from self._with_spare(_just_above(self.points[-1].value)))

    def _leap(self, pct: Fraction) -> Searches[Point | None]:
        """An option of more than so much spare, if one is proven: a leap only saves searches."""
        try:
            return (yield from self._with_spare(_just_above(pct)))
        except Unproven:
            return None

    def _with_spare(self, pct: Decimal) -> Searches[Point | None]:
        if pct >= ALL_PCT:
            return None
        kit, cost = yield _under(self.question, spare_watts_pct=pct)
        return None if cost is None else Point(spare_pct(self.question, kit), money(cost), kit)

    def _models(self) -> Searches[None]:
        """Options of ever fewer models, from as many as are cheapest."""
        point = yield from self._with_models(self.question.site.rules.max_models)
        while point:
            if self.points and self.points[-1].cost == point.cost:
                self.points.pop()
            self.points.append(point)
            point = (yield from self._with_models(int(point.value) - 1)) if point.value > 1 else None

    def _with_models(self, most: int | None) -> Searches[Point | None]:
        kit, cost = yield _under(self.question, max_models=most)
        return None if cost is None else Point(Fraction(len(models_of(kit))), money(cost), kit)


def _just_above(pct: Fraction) -> Decimal:
    """The next percentage of so many decimals."""
    return Decimal(floor(pct * 10**FINEST_DIGITS) + 1).scaleb(-FINEST_DIGITS)


def _under(question: Question, **rules: object) -> Question:
    return replace(question, site=with_rules(question.site, **rules))


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
