"""What a comparison knows when it is stopped: kits that are not proven count for an option, and for a study only what is proven."""

from dataclasses import replace
from decimal import Decimal

import pytest
from sketch import catalog, device, ports, scenario, switch

from equipsel.compare.ask import Question
from equipsel.compare.comparison import Comparison
from equipsel.compare.options import AS_IT_IS, Option
from equipsel.compare.pieces import Pieces, Studies, compare
from equipsel.kit import Kit, Status
from equipsel.site import Site
from equipsel.workers import workers

SITE = Site(scenario(device("cam", 9, count=6)), catalog(switch("four", 50, 62, ports(4, 30)), switch("eight", 90, 130, ports(8, 30))))
ALL = Studies(break_even=True, trade_off=True, near=3, within_pct=Decimal(20))
OPTIONS = [Option("list", AS_IT_IS, SITE), Option("refused", AS_IT_IS, SITE, refusal="no such list")]


@pytest.fixture(scope="module")
def done() -> Comparison:
    return compare(OPTIONS, ALL, workers(1))


def searched(pieces: Pieces, number: int) -> None:
    """So many searches, one after the other."""
    for position, question in zip(range(number), pieces.tasks(), strict=False):
        assert question
        pieces.take(position, question.kit())


def test_pieces_come_one_by_one_in_their_order_and_none_while_all_are_under_way() -> None:
    pieces = Pieces(OPTIONS, ALL)
    tasks = pieces.tasks()
    given = [next(tasks) for _ in range(6)]
    assert all(given)
    assert (pieces.left, next(tasks)) == (6, None)
    assert given[0]
    pieces.take(0, given[0].kit())
    assert (pieces.left, next(tasks)) == (5, None)
    pieces.take(2, Question(SITE).kit())
    assert (pieces.left, next(tasks) is None, next(tasks)) == (5, False, None)


def test_nothing_is_told_of_what_has_not_come_back() -> None:
    pieces = Pieces(OPTIONS, ALL)
    found = pieces.comparison(interrupted=True)
    assert (found.kits, found.near, found.curves, found.break_even) == ({}, None, {}, {})
    assert (found.refusals(0), found.refusals(1)) == (["not worked out: stopped"], ["no such list"])


def test_an_option_stopped_without_a_kit_is_not_said_to_have_had_all_its_time() -> None:
    pieces = Pieces(OPTIONS, ALL)
    next(pieces.tasks())
    pieces.take(0, Kit(status=Status.STOPPED))
    assert pieces.comparison(interrupted=True).refusals(0) == ["no kit was found before it was stopped; one may exist"]
    assert pieces.comparison().refusals(0) == ["no kit was found in the time allowed; one may exist"]


def test_a_kit_that_is_not_proven_counts_for_its_option() -> None:
    pieces = Pieces(OPTIONS, ALL)
    best = Question(SITE).kit().model_copy(update={"status": Status.FEASIBLE, "lower_bound": 80.0, "gap": 0.111111})
    next(pieces.tasks())
    pieces.take(0, best)
    assert pieces.comparison(interrupted=True).kits == {0: best}


@pytest.mark.parametrize("number", range(2, 18, 3))
def test_stopped_anywhere_studies_tell_what_is_proven(number: int, done: Comparison) -> None:
    """Each is the beginning of what it is when all is done, and a search that proves nothing adds nothing to it."""
    pieces = Pieces(OPTIONS, ALL)
    searched(pieces, number)
    before = pieces.comparison(interrupted=True)
    while next(pieces.tasks(), None):
        pass
    for position in list(pieces.under_way):
        pieces.take(position, Kit(status=Status.STOPPED))
    found = pieces.comparison(interrupted=True)
    assert (pieces.left, [kit.cost for kit in found.kits.values()]) == (0, [90])
    assert found.near
    assert done.near
    assert [one.cost for one in found.near.kits] == [one.cost for one in done.near.kits][: len(found.near.kits)]
    assert found.near == before.near
    for at, curve in found.curves.items():
        costs = [point.cost for point in curve.points]
        assert costs == [point.cost for point in done.curves[at].points][: len(costs)]
        assert curve == before.curves.get(at, replace(curve, points=()))
    for at, price in found.break_even.items():
        assert price.break_even in (None, done.break_even[at].break_even)
        assert price.count in (None, done.break_even[at].count)
