"""The best mixture of columns and the best choice of one each, on an example worked out by hand."""

import pytest

from equipsel.program.columns import Columns


def two_blocks() -> Columns:
    """Six devices; each block serves none for 10, four for 50 or all six for 80."""
    columns = Columns({0: 6}, {0: 0})
    for block in (0, 1):
        for number, cost in ((0, 10), (4, 50), (6, 80)):
            columns.add(block, {0: number} if number else {}, cost)
    return columns


def test_of_columns_that_serve_the_same_the_cheapest_is_known() -> None:
    columns = Columns({0: 6}, {0: 0})
    for cost in (50, 49, 60):
        columns.add(0, {0: 4}, cost)
    columns.add(0, {0: 3}, 49)
    assert columns.known == {0: {((0, 4),): 49, ((0, 3),): 49}}


def test_the_counts_known_that_are_best_at_some_prices() -> None:
    columns = Columns({0: 6}, {0: 0})
    for number, cost in ((0, 10), (4, 50), (6, 80)):
        columns.add(0, {0: number}, cost, (1, number))
    columns.add(0, {0: 5}, 0)
    # for 9 each four are worth 36 and cost 40 more than none; for 11 they are worth 44, and six are worth 66 for 70; for 16 six are best
    assert columns.start(0, {0: 9}) == (1, 0)
    assert columns.start(0, {0: 11}) == (1, 4)
    assert columns.start(0, {0: 16}) == (1, 6)
    assert columns.start(1, {0: 11}) is None


def test_counts_are_kept_of_the_cheapest_way_seen_alone() -> None:
    columns = Columns({0: 6}, {0: 0})
    assert columns.start(0, {}) is None
    for cost, counts in ((50, (5, 4)), (60, (6, 4)), (40, (4, 4))):
        columns.add(0, {0: 4}, cost, counts)
    assert columns.counts_of == {(0, ((0, 4),)): (4, 4)}
    columns.add(0, {0: 4}, 30)
    assert columns.start(0, {}) == (4, 4), "of what is cheaper yet no counts are known"


def test_the_best_mixture_and_its_price() -> None:
    # four cost 40 more than none, so that each costs 10: 10 + 10 + 6 x 10
    value, prices = two_blocks().prices({0: (0, 1000)}, 10)
    assert value == pytest.approx(80)
    assert prices == {0: 10}


def test_prices_stay_within_their_box() -> None:
    low, cheap = two_blocks().prices({0: (0, 7)}, 10)
    high, dear = two_blocks().prices({0: (20, 30)}, 10)
    assert (cheap, dear) == ({0: 7}, {0: 20})
    assert low == pytest.approx(10 + 10 + 6 * 7)
    assert high == pytest.approx(80 + 80 - 6 * 20)


def test_one_column_each_serves_every_device_and_none_twice() -> None:
    # one block serves all six for 80 and the other none for 10; both with four would cost 100
    chosen = two_blocks().chosen(10)
    assert sorted(served.get(0, 0) for served in chosen.values()) == [0, 6]
    columns = Columns({0: 6}, {0: 0})
    columns.add(0, {0: 4}, 5)
    columns.add(1, {0: 4}, 5)
    assert columns.chosen(10) == {0: {0: 4}, 1: {0: 2}}


def test_within_a_box_what_nobody_serves_for_its_price_goes_home() -> None:
    # serving four costs 10 a device, all six 12: at 8 a device all stay unserved, at 11 two do
    columns = two_blocks()
    assert columns.chosen(10, {0: (0, 8)}) == {0: {0: 6}, 1: {}}
    assert columns.chosen(10, {0: (9, 11)}) in ({0: {0: 6}, 1: {}}, {0: {0: 2}, 1: {0: 4}})


def test_a_kit_is_chosen_by_what_columns_cost_laid_out_and_prices_by_what_they_may() -> None:
    # all six with one block cost 10 + 80 as sketched; four with each 100, which is less than 10 + 95
    columns, four, six = two_blocks(), ((0, 4),), ((0, 6),)
    columns.laid |= {(0, six): 95, (1, six): 95}
    assert columns.chosen(10) == {0: {0: 4}, 1: {0: 2}}
    columns.laid[1, six] = 85
    assert columns.chosen(10) == {0: {}, 1: {0: 6}}
    columns.laid |= {(0, four): 55, (1, four): 55}
    assert columns.prices({0: (0, 1000)}, 10) == two_blocks().prices({0: (0, 1000)}, 10)


def test_what_cannot_be_laid_out_is_not_chosen() -> None:
    columns, four, six = two_blocks(), ((0, 4),), ((0, 6),)
    columns.impossible |= {(0, six), (1, six)}
    assert columns.chosen(10) == {0: {0: 4}, 1: {0: 2}}
    columns.impossible.add((1, four))
    assert columns.chosen(10) == {}
    assert columns.prices({0: (0, 1000)}, 10) == two_blocks().prices({0: (0, 1000)}, 10)


def test_a_block_without_a_column_leaves_no_choice() -> None:
    columns = Columns({0: 2}, {0: 1})
    columns.add(0, {0: 2}, 5)
    assert columns.chosen(10) == {}
