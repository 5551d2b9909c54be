"""Numbers of legal orders: published sequences, full enumeration, and draws that are exactly uniform."""

from __future__ import annotations

import os
from collections import Counter
from fractions import Fraction
from math import comb, factorial, prod
from typing import TYPE_CHECKING

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.procedure.known_orders import (
    as_graph,
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
from trainer.procedure.counting import LegalOrders, TooManyOrders
from trainer.procedure.draw import Draw
from trainer.procedure.orders import PartialOrder

if TYPE_CHECKING:
    from collections.abc import Sequence

SUBSETS_OF_SIX = 141377911697227887117195970316200795630205476957716480


def counts(some: Sequence[PartialOrder]) -> list[int]:
    return [LegalOrders(order).count for order in some]


# --- published values ---


def test_zigzags() -> None:
    """Euler or up/down numbers.

    Source: OEIS A000111 (D. André 1879); terms read in public copies of the list.
    """
    expected = [1, 1, 2, 5, 16, 61, 272, 1385, 7936, 50521, 353792, 2702765, 22368256]
    assert counts([zigzag(n) for n in range(1, 14)]) == expected


def test_tables_of_two_rows() -> None:
    """Source: OEIS A000108, Catalan numbers, C(2n, n)/(n + 1)."""
    expected = [1, 2, 5, 14, 42, 132, 429, 1430, 4862, 16796, 58786, 208012]
    assert counts([grid(2, n) for n in range(1, 13)]) == expected
    assert expected == [comb(2 * n, n) // (n + 1) for n in range(1, 13)]


def test_tables_of_three_rows() -> None:
    """3-dimensional Catalan numbers, 2(3n)!/(n!(n+1)!(n+2)!).

    Source: OEIS A005789; terms read in public copies of the list.
    """
    assert counts([grid(3, n) for n in range(1, 7)]) == [1, 5, 42, 462, 6006, 87516]


def test_subsets_of_a_set() -> None:
    """Source: OEIS A046873, read in a stored copy of the list."""
    assert counts([subsets(n) for n in range(6)]) == [1, 1, 2, 48, 1680384, 14807804035657359360]


@pytest.mark.skipif("TRAINER_TESTS_NEED_ALL" not in os.environ, reason="takes a gigabyte; .ci/run asks")
def test_subsets_of_six_things() -> None:
    """Source: OEIS A046873, last value read; the count looks at 7,828,354 moments."""
    assert LegalOrders(subsets(6), most_down_sets=8_000_000).count == SUBSETS_OF_SIX


@pytest.mark.parametrize("side", [4, 8, 10])
def test_square_tables(side: int) -> None:
    """Factorial of n over the product of the lengths of all hooks; ten by ten has 184,756 moments and 10 to the 62nd orders.

    Source: J. S. Frame, G. de B. Robinson, R. M. Thrall 1954, The hook graphs of the symmetric group, Canadian Journal of
    Mathematics 6:316-324 (cited from memory).
    """
    hooks = prod(1 + right + below for right in range(side) for below in range(side))
    assert LegalOrders(grid(side, side)).count == factorial(side * side) // hooks


def test_trees() -> None:
    """Factorial of n over the product of the sizes of all subtrees.

    Source: D. E. Knuth, The Art of Computer Programming vol. 3, section 5.1.4, exercise 20; OEIS A056971
    (number of binary heaps), terms read in public copies of the list.
    """
    assert counts([binary_tree(7), binary_tree(15)]) == [80, 21964800]


def test_standard_examples() -> None:
    """Source: own computation by a separate programme; no published table was read."""
    assert counts([standard_example(k) for k in range(2, 6)]) == [6, 48, 720, 17280]


def test_four_steps_in_the_shape_of_an_n() -> None:
    """Relations a-c, b-c and b-d: all five orders, and the mean place of each (first place = 1).

    Source: the fourth Euler number, OEIS A000111; places by enumerating all 24 arrangements.
    """
    legal = LegalOrders(PartialOrder.from_relations(4, [(0, 2), (1, 2), (1, 3)]))
    found = sorted("".join("abcd"[x] for x in legal.order_at(rank)) for rank in range(legal.count))
    assert found == ["abcd", "abdc", "bacd", "badc", "bdac"]
    means = {step: Fraction(sum(order.index(step) + 1 for order in found), 5) for step in "abcd"}
    assert means == {"a": Fraction("1.8"), "b": Fraction("1.4"), "c": Fraction("3.6"), "d": Fraction("3.2")}


def test_twelve_steps() -> None:
    """Source: own example, counted by a separate programme."""
    legal = LegalOrders(twelve_steps())
    assert legal.count == 294
    assert legal.by_luck == pytest.approx(6.137766554433221e-07, rel=1e-12)


# --- full enumeration ---


@pytest.mark.parametrize("size", [0, 1, 2, 3, 4, 5])
def test_every_legal_order_of_every_small_order_has_exactly_one_number(size: int) -> None:
    """With this, a uniform number is a uniform legal order."""
    for order in every_natural_order(size):
        legal = LegalOrders(order)
        found = Counter(tuple(legal.order_at(rank)) for rank in range(legal.count))
        assert found == Counter(map(tuple, nx.all_topological_sorts(as_graph(order))))


@steady
@given(orders(7))
def test_numbers_agree_with_networkx_whatever_the_labels(order: PartialOrder) -> None:
    legal = LegalOrders(order)
    found = sorted(legal.order_at(rank) for rank in range(legal.count))
    assert found == sorted(nx.all_topological_sorts(as_graph(order)))


def test_a_draw_asks_once_for_a_number_below_the_count() -> None:
    class Noting(Draw):
        asked: tuple[int, ...] = ()

        def below(self, n: int) -> int:
            self.asked = (*self.asked, n)
            return 100

    draw, legal = Noting(""), LegalOrders(twelve_steps())
    assert legal.draw(draw) == legal.order_at(100)
    assert draw.asked == (294,)


def test_the_draw_of_a_seed_never_changes() -> None:
    """Written down when the numbering was fixed: questions already asked depend on it."""
    legal = LegalOrders(twelve_steps())
    assert [legal.draw(Draw(f"main-valve/{n}")) for n in range(3)] == [
        [0, 1, 2, 6, 3, 4, 7, 8, 5, 11, 9, 10],
        [0, 1, 2, 3, 6, 4, 7, 8, 5, 9, 11, 10],
        [0, 1, 6, 2, 11, 7, 3, 4, 5, 8, 9, 10],
    ]


# --- large orders ---


@steady
@given(orders(24), st.text(max_size=5))
def test_a_drawn_order_is_legal(order: PartialOrder, seed: str) -> None:
    try:
        legal = LegalOrders(order, most_down_sets=5_000)
    except TooManyOrders:
        return
    assert order.is_legal(legal.draw(Draw(seed)))
    assert order.is_legal(legal.order_at(0))
    assert order.is_legal(legal.order_at(legal.count - 1))


def test_large_simple_orders_are_exact() -> None:
    assert LegalOrders(PartialOrder.from_relations(200, [])).count == factorial(200)
    assert LegalOrders(chain(300)).count == 1
    assert LegalOrders(PartialOrder.from_relations(0, [])).order_at(0) == []
    runs = PartialOrder.from_relations(100, [(i, i + 1) for i in range(99) if (i + 1) % 25])
    assert LegalOrders(runs).count == factorial(100) // factorial(25) ** 4


def test_there_is_no_order_outside_the_numbers() -> None:
    legal = LegalOrders(twelve_steps())
    for rank in (-1, 294):
        with pytest.raises(IndexError, match=f"no legal order number {rank} among 294"):
            legal.order_at(rank)


# --- too many ---


def test_too_many_orders_are_bounded_in_words() -> None:
    """The subsets of six things.

    Source: OEIS A046873, last value read, 1.4e53.
    """
    with pytest.raises(TooManyOrders, match=r"at least 10⁴⁸ and at most 10⁶⁷\.$") as caught:
        LegalOrders(subsets(6), most_down_sets=1_000)
    assert caught.value.at_least <= SUBSETS_OF_SIX <= caught.value.at_most
    assert caught.value.at_least >= 10**48
    assert caught.value.at_most <= 10**67


def test_the_limit_is_for_all_tables_together_and_known_parts_stay_exact() -> None:
    """Two fences of 13 side by side: one alone is counted, so the bound of the pair holds its exact count."""
    one = zigzag(13)
    pairs = [(a + start, b + start) for start in (0, 13) for a, b in one.covers()]
    both = PartialOrder.from_relations(26, pairs)
    needed = 610  # down-sets of a fence: a Fibonacci number (OEIS A000045)
    assert LegalOrders(both, most_down_sets=2 * needed).count == comb(26, 13) * 22368256**2
    with pytest.raises(TooManyOrders) as caught:
        LegalOrders(both, most_down_sets=2 * needed - 1)
    assert caught.value.at_least % (comb(26, 13) * 22368256) == 0


def test_a_very_wide_weave_is_refused_at_once() -> None:
    with pytest.raises(TooManyOrders):
        LegalOrders(standard_example(30), most_down_sets=2**30 - 1)


def test_exact_powers_of_ten_are_told_as_such() -> None:
    assert "at least 10² and at most 10³." in str(TooManyOrders(100, 1000))
    assert "at least 10² and at most 10⁴." in str(TooManyOrders(999, 1001))


def test_counts_of_runs_side_by_side_are_multinomials() -> None:
    sizes = (2, 3, 4)
    starts = (0, 2, 5)
    pairs = [(s + i, s + i + 1) for s, size in zip(starts, sizes, strict=True) for i in range(size - 1)]
    order = PartialOrder.from_relations(9, pairs)
    assert LegalOrders(order).count == factorial(9) // prod(map(factorial, sizes))
