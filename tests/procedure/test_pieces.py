"""Orders taken apart: which pieces need no table, and bounds where a table would be too large."""

from __future__ import annotations

from math import factorial
from typing import TYPE_CHECKING

import pytest
from hypothesis import given

from tests.procedure.known_orders import (
    binary_tree,
    chain,
    every_natural_order,
    grid,
    orders,
    standard_example,
    steady,
    subsets,
    twelve_steps,
    zigzag,
)
from trainer.procedure.down_sets import DownSets
from trainer.procedure.orders import PartialOrder
from trainer.procedure.pieces import at_least, at_most, take_apart

if TYPE_CHECKING:
    from collections.abc import Sequence


def side_by_side(parts: Sequence[PartialOrder]) -> PartialOrder:
    """Put parts beside one another."""
    pairs, start = [], 0
    for part in parts:
        pairs += [(start + a, start + b) for a, b in part.covers()]
        start += part.size
    return PartialOrder.from_relations(start, pairs)


def in_turn(parts: Sequence[PartialOrder]) -> PartialOrder:
    """Put parts after one another."""
    beside = side_by_side(parts)
    owner = [number for number, part in enumerate(parts) for _ in range(part.size)]
    everything = range(beside.size)
    later = [(a, b) for a in everything for b in everything if owner[a] < owner[b]]
    return PartialOrder.from_relations(beside.size, [*beside.covers(), *later])


def filled_sizes(order: PartialOrder) -> list[int]:
    """Fill the tables that the order needs and return their numbers of down-sets."""
    return [table.fill(100_000) for table in take_apart(order).tables()]


@pytest.mark.parametrize(
    "order",
    [
        chain(60),
        PartialOrder.from_relations(60, []),
        binary_tree(63),
        side_by_side([chain(20)] * 4),
        in_turn([side_by_side([chain(3), chain(5)]), side_by_side([binary_tree(7), chain(2)])]),
        subsets(2),
    ],
)
def test_runs_and_branches_need_no_table(order: PartialOrder) -> None:
    assert filled_sizes(order) == []


def test_only_what_is_woven_gets_a_table_and_each_weave_its_own() -> None:
    """The fence 0 < 1 > 2 < 3 has 8 down-sets; three of them side by side would have 512 in one table."""
    assert filled_sizes(zigzag(4)) == [8]
    assert filled_sizes(side_by_side([zigzag(4)] * 3)) == [8, 8, 8]
    assert filled_sizes(in_turn([zigzag(4), chain(3), zigzag(4)])) == [8, 8]


def test_steps_that_others_cannot_tell_apart_count_as_a_run_within_a_weave() -> None:
    """Five equal steps in the place of one end of a fence: 2**5 subsets of them shrink to 6 beginnings."""
    replaced = PartialOrder.from_relations(8, [(0, 1), (2, 1), *((2, end) for end in range(3, 8))])
    assert filled_sizes(replaced) == [DownSets(PartialOrder.from_relations(
        8, [(0, 1), (2, 1), (2, 3), (3, 4), (4, 5), (5, 6), (6, 7)]), 100).size]  # fmt: skip
    whole = DownSets(replaced, 1000)
    piece = take_apart(replaced)
    for table in piece.tables():
        table.fill(1000)
    assert piece.count == whole.count


@steady
@given(orders(14))
def test_taken_apart_or_in_one_table_the_count_is_the_same(order: PartialOrder) -> None:
    piece = take_apart(order)
    for table in piece.tables():
        table.fill(100_000)
    assert piece.count == DownSets(order, 100_000).count
    assert piece.size == order.size


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5, 6])
def test_bounds_hold_for_every_small_order(size: int) -> None:
    for order in every_natural_order(size):
        count = DownSets(order, 100).count
        assert at_least(order) <= count <= at_most(order)
        low, high = take_apart(order).bounds()
        assert low <= count <= high


def test_bounds_meet_where_the_order_is_simple() -> None:
    assert at_least(chain(9)) == at_most(chain(9)) == 1
    free = PartialOrder.from_relations(9, [])
    assert at_least(free) == at_most(free) == factorial(9)
    assert at_least(binary_tree(15)) == 21964800


@pytest.mark.parametrize("order", [grid(3, 6), subsets(5), standard_example(5), zigzag(13), twelve_steps()])
def test_bounds_hold_for_named_orders(order: PartialOrder) -> None:
    assert at_least(order) <= DownSets(order, 10_000).count <= at_most(order)


def test_a_table_that_is_not_filled_tells_so() -> None:
    with pytest.raises(RuntimeError, match="before it is filled"):
        _ = take_apart(zigzag(4)).count
