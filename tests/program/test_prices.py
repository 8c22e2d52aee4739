"""Prices: what joined blocks gain for the bound, by hand and on a ring whose cost is proven."""

import time
from typing import Any

import pytest
from rings import of, ring, solved_in_full

from equipsel.program import prices
from equipsel.program.adapter import Answer, Stop
from equipsel.program.blocks import Blocks, blocks
from equipsel.program.columns import Columns
from equipsel.program.coupled import Coupled
from equipsel.program.outlines import Outlines
from equipsel.program.prices import Pricing, heaviest
from equipsel.program.sketch import Marginal, Sketch


def some(*numbers: int) -> frozenset[int]:
    return frozenset(numbers)


def pricing(found: Blocks, seconds: float = 60) -> Pricing:
    """At no prices yet."""
    columns = Columns(found.counts, {group: min(found.holders[group]) for group in found.counts})
    return Pricing(found, columns, Outlines(found, None), None, time.monotonic() + seconds)


BEST_OF_SIX = 78_000
"""Cents of the cheapest kit of ring(6), proven by one program; nothing in it is paid whatever is chosen."""


def begun(places: int) -> Pricing:
    """What serving one device more costs at home in a ring."""
    coupled = Coupled(blocks(of(*ring(places))), 0.0, time.monotonic() + 60, None, None)
    coupled.begin()
    assert coupled.fixed_cents == 0
    coupled.pricing.deadline = coupled.deadline
    return coupled.pricing


def test_the_sets_that_gain_most_share_no_block() -> None:
    # 5 and 4 are more than 8 in the middle, and than 7 for three of the four
    gains = {some(0, 1): 5, some(1, 2): 8, some(2, 3): 4, some(0, 1, 2): 7}
    assert heaviest(gains, 10) == [some(0, 1), some(2, 3)]
    # 10 in the middle are more than both
    assert heaviest({**gains, some(1, 2): 10}, 10) == [some(1, 2)]
    # three in one and one left over
    assert heaviest({**gains, some(0, 1, 2): 11}, 10) == [some(0, 1, 2)]


def test_sets_that_lose_are_left_out() -> None:
    assert heaviest({some(0, 1): -1, some(2, 3): 0, some(4, 5): 1}, 10)[-1] == some(4, 5)
    assert some(0, 1) not in heaviest({some(0, 1): -1, some(2, 3): 2}, 10)
    assert heaviest({}, 10) == []


@pytest.mark.parametrize(("stop", "told"), [(Stop.LIMIT, []), (Stop.INTERRUPTED, None)])
def test_out_of_time_no_sets_are_chosen_and_ctrl_c_is_told(monkeypatch: pytest.MonkeyPatch, stop: Stop, told: list[Any] | None) -> None:
    monkeypatch.setattr(prices, "solve", lambda *_: Answer(stop, False, 0.0, 0.0))
    if told is None:
        with pytest.raises(KeyboardInterrupt):
            heaviest({some(0, 1): 5}, 10)
    else:
        assert heaviest({some(0, 1): 5}, 10) == told


def test_threes_hope_for_twice_what_their_two_best_pairs_gain() -> None:
    # in a ring of five, 0 1 2 hangs together by 0 1 and 1 2; a pair that is not known gives nothing
    found = pricing(blocks(of(*ring(5))))
    hoped = found._threes({some(0, 1): 5, some(1, 2): 3, some(2, 3): 1})
    assert hoped == {some(0, 1, 2): 16, some(0, 1, 4): 10, some(1, 2, 3): 8, some(2, 3, 4): 2}
    assert list(hoped) == sorted(hoped, key=sorted)


def test_of_three_pairs_among_three_the_two_best_count() -> None:
    found = pricing(blocks(of(*ring(3))))
    assert found._threes({some(0, 1): 5, some(1, 2): 3, some(0, 2): 4, some(0, 1, 2): 99}) == {some(0, 1, 2): 18}


def test_rounds_and_then_pairs_and_threes_raise_the_bound_and_stay_below_the_proven_cost() -> None:
    found = begun(6)
    bounds = [found.bound or 0 for _ in found.rounds()]
    assert 0 < bounds[0] <= bounds[-1] == found.reached
    assert found.reached == sum(found.centre[group] * count for group, count in found.blocks.counts.items()) + sum(found.least.values())
    found.join({})
    bounds.append(found.bound or 0)
    assert bounds[-2] < bounds[-1]
    assert bounds == sorted(bounds)
    assert bounds[-1] <= BEST_OF_SIX
    assert {len(cut.blocks) for cut in found.cuts} == {1, 2, 3}


def test_every_cut_is_true_of_the_cheapest_kit() -> None:
    found = begun(4)
    for _ in found.rounds():
        pass
    found.join({})
    counts = solved_in_full(found.blocks)
    projection = {at: outline.projection for at, outline in found.outlines.known.items()}
    assert {len(cut.blocks) for cut in found.cuts} >= {1, 2}
    for cut in found.cuts:
        cost = sum(projection[at].cost_of(counts[at]) for at in cut.blocks)
        served = [item for at in cut.blocks for item in projection[at].served_by(counts[at]).items()]
        assert cost - sum(cut.prices.get(group, 0) * number for group, number in served) >= cut.least


def test_the_threes_that_may_gain_most_are_asked_until_none_promises_more(monkeypatch: pytest.MonkeyPatch) -> None:
    found = pricing(blocks(of(*ring(6))))
    found.reached = 100
    gain = {some(0, 1): 5, some(1, 2): 6, some(2, 3): 4, some(0, 1, 2): 7, some(1, 2, 3): 10}
    asked: list[list[frozenset[int]]] = []
    bounds: list[int | None] = []

    def gained(joined: list[frozenset[int]], _: Any) -> dict[frozenset[int], int]:
        asked.append(joined)
        bounds.append(found.bound)
        return {one: gain.get(one, -1) for one in joined}

    monkeypatch.setattr(found, "_gains", gained)
    found.join({})
    # pairs: 5 + 4. 0 1 2 may gain 2 x (5 + 6) and does 7; 1 2 3 may gain 2 x (6 + 4) and does 10; then 0 1 5 and 2 3 4 may gain
    # 2 x (5 - 1) + 2 x (4 - 1) and do not; no others promise more than those 10
    assert asked == [found.blocks.pairs(), [some(0, 1, 2)], [some(1, 2, 3)], [some(0, 1, 5), some(2, 3, 4)]]
    assert [*bounds, found.bound] == [None, 109, 109, 110, 110]


def test_before_a_round_nothing_is_joined() -> None:
    found = pricing(blocks(of(*ring(4))))
    found.join({})
    assert (found.bound, found.cuts) == (None, [])


@pytest.mark.parametrize(
    ("left", "held", "given"),
    [(100, 1, [prices.BLOCK_S] * 4), (8, 1, [8, 7.85, 7.7, 7.55]), (8, 2, [4, 3.925, 3.85, 3.775]), (0.1, 1, [0.1]), (0, 1, [])],
)
def test_the_first_prices_take_no_more_than_the_time_left(
    monkeypatch: pytest.MonkeyPatch, left: float, held: int, given: list[float]
) -> None:
    """Each block takes 0.15 s of it; held: how many tasks there are for each that is under way."""
    allowed: list[float] = []

    def took(_: Any, seconds: float) -> Marginal:
        allowed.append(seconds)
        time.sleep(0.15)
        return Marginal({}, {})

    found = pricing(blocks(of(*ring(4))))
    assert found.outlines.complete
    monkeypatch.setattr(prices, "marginal", took)
    monkeypatch.setattr(prices, "waiting", lambda _: held)
    found.deadline = time.monotonic() + left
    found.begin({at: {} for at in range(4)})
    assert allowed == pytest.approx(given, abs=0.3)
    assert set(found.prices.values()) == {0}


def test_out_of_time_a_block_has_no_round() -> None:
    found = pricing(blocks(of(*ring(4))), seconds=0)
    assert list(found.rounds()) == []
    assert (found.bound, found.reached) == (None, None)


def test_ctrl_c_in_a_block_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(prices, "sketched", lambda *_: Sketch(Stop.INTERRUPTED, None))
    found = pricing(blocks(of(*ring(4))))
    with pytest.raises(KeyboardInterrupt):
        list(found.rounds())
