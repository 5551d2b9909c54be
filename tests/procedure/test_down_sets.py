"""The table of down-sets: how many there are, and that it numbers the legal orders one by one."""

from __future__ import annotations

from itertools import permutations

import pytest

from tests.procedure.known_orders import chain, every_natural_order, subsets, twelve_steps
from trainer.procedure.down_sets import DownSets, TableFull
from trainer.procedure.orders import PartialOrder


def test_down_sets_of_the_subsets_of_a_set() -> None:
    """The Dedekind numbers.

    Source: OEIS A000372, 2, 3, 6, 20, 168, 7581 (from memory).
    """
    assert [DownSets(subsets(n), 10_000).size for n in range(6)] == [2, 3, 6, 20, 168, 7581]


def test_down_sets_of_twelve_steps() -> None:
    """Source: own example, counted by a separate programme."""
    table = DownSets(twelve_steps(), 100)
    assert (table.size, table.count) == (42, 294)


@pytest.mark.parametrize("size", [0, 1, 2, 3, 4, 5])
def test_every_legal_order_of_every_small_order_has_one_number(size: int) -> None:
    for order in every_natural_order(size):
        table = DownSets(order, 100)
        expected = [p for p in permutations(range(size)) if order.is_legal(p)]
        assert table.count == len(expected)
        assert sorted(tuple(table.order_at(rank)) for rank in range(table.count)) == expected


def test_a_table_is_given_up_when_it_is_full() -> None:
    order = twelve_steps()
    assert DownSets(order, 42).size == 42
    for room in (41, 20, 8, 1, 0):
        with pytest.raises(TableFull):
            DownSets(order, room)


def test_a_wide_order_is_given_up_before_anything_is_counted() -> None:
    """A hundred steps side by side have 2**100 down-sets; only their number can have been looked at."""
    with pytest.raises(TableFull):
        DownSets(PartialOrder.from_relations(100, []), 2**100 - 1)


def test_one_run_has_one_order() -> None:
    table = DownSets(chain(50), 51)
    assert (table.size, table.count, table.order_at(0)) == (51, 1, list(range(50)))
