"""The walk along a curve: against plain enumeration of made-up options, and where a search proves nothing."""

from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from random import Random

import pytest
from sketch import catalog, device, ports, scenario, switch

from equipsel.compare.ask import Question, Unproven
from equipsel.compare.stepwise import Searches, Stepwise, worked_out
from equipsel.compare.trade_off import Axis, Curve, Point, TradeOff, spare_pct
from equipsel.kit import Kit, Status
from equipsel.site import Site

SITE = Site(scenario(device("cam", 9, count=6)), catalog(switch("four", 50, 62, ports(4, 30)), switch("eight", 90, 130, ports(8, 30))))
KIT = Kit(status=Status.OPTIMAL)


def curve(site: Site = SITE, axis: Axis = "spare") -> Curve:
    return worked_out(TradeOff(Question(site), axis))


def walked(monkeypatch: pytest.MonkeyPatch, answer: Callable[[Decimal], Point | None]) -> Curve:
    """A curve whose searches are answered so instead."""

    def with_spare(_: TradeOff, pct: Decimal) -> Searches[Point | None]:
        yield from ()
        return answer(pct)

    monkeypatch.setattr(TradeOff, "_with_spare", with_spare)
    study = TradeOff(Question(SITE), "spare")
    assert list(study.searches()) == []
    return study.found


class Made:
    """Made-up options in place of a solver, which gives the one of the least spare among the cheapest."""

    def __init__(self, number: int) -> None:
        rng = Random(number)
        budgets = [rng.randint(1, 10**7) for _ in range(4)]
        spares = [Fraction(100 * rng.randint(0, budget - 1), budget) for budget in budgets for _ in range(10)]
        spares += [spare + Fraction(1, 10**13) for spare in spares[:5]]
        self.options = sorted({(rng.randint(1, 8), spare) for spare in spares})
        self.searches = 0

    def __call__(self, pct: Decimal) -> Point | None:
        self.searches += 1
        enough = [(cost, spare) for cost, spare in self.options if spare >= Fraction(pct)]
        return Point(min(enough)[1], Decimal(min(enough)[0]), KIT) if enough else None

    def front(self) -> list[tuple[Fraction, int]]:
        """The options that no other beats."""
        return [
            (spare, cost)
            for cost, spare in self.options
            if not any((other <= cost and more > spare) or (other < cost and more >= spare) for other, more in self.options)
        ]


@pytest.mark.parametrize("number", range(60))
def test_the_walk_finds_every_option_that_no_other_beats(number: int, monkeypatch: pytest.MonkeyPatch) -> None:
    made = Made(number)
    found = walked(monkeypatch, made)
    assert found.complete
    assert [(point.value, point.cost) for point in found.points] == made.front()
    assert [point.shown for point in found.points] == sorted(point.shown for point in found.points)
    assert all(0 <= point.value - Fraction(str(point.shown)) < Fraction(1, 1000) for point in found.points)


def test_leaps_save_searches_and_need_not_be_proven(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two hundred options of one cost, each a hair above the one before."""
    made = Made(0)
    made.options = [(1, Fraction(at, 4)) for at in range(200)] + [(2, Fraction(60))]
    assert [point.value for point in walked(monkeypatch, made).points] == [Fraction(199, 4), 60]
    assert made.searches < 50
    last, leaps = [Fraction(0)], []

    def tired(pct: Decimal) -> Point | None:
        """The same, but a leap proves nothing."""
        if Fraction(pct) - last[-1] > Fraction(1, 10**10):
            leaps.append(pct)
            raise Unproven
        point = made(pct)
        last.append(point.value if point else last[-1])
        return point

    assert [point.value for point in walked(monkeypatch, tired).points] == [Fraction(199, 4), 60]
    assert leaps


def test_by_hand() -> None:
    """Six cameras of 15.4 W: one `eight` keeps 37.6 of 130 W; with two of them on a `four`, that keeps 31.2 of 62 W."""
    assert [(point.shown, float(point.cost)) for point in curve().points[:2]] == [(28.923, 90), (50.322, 140)]
    assert [(point.value, float(point.cost)) for point in curve(axis="models").points] == [(1, 90)]


@pytest.mark.parametrize(("proven", "costs"), [(0, []), (1, [90]), (2, [90, 140]), (3, [90, 140, 180])])
def test_what_is_proven_is_kept_when_the_next_is_not(proven: int, costs: list[float]) -> None:
    """Each of the first three searches gives the next dearer option; only the one after it says whether it keeps the most spare."""
    steps = Stepwise(TradeOff(Question(SITE), "spare"))
    for _ in range(proven):
        assert steps.question
        steps.take(steps.question.kit())
    assert (steps.found.complete, [float(point.cost) for point in steps.found.points]) == (False, costs)
    steps.take(Kit(status=Status.STOPPED))
    assert (steps.question, steps.found.complete, [float(point.cost) for point in steps.found.points]) == (None, False, costs)


def test_a_unit_with_one_powered_port_needs_no_spare() -> None:
    alone = Site(scenario(device("cam", 9)), catalog(switch("one", 50, 15.4, ports(1, 30))))
    kit = Question(alone).kit()
    assert spare_pct(Question(alone), kit) == 100
    assert [point.shown for point in curve(alone).points] == [100]
