"""Partial orders: closure, cycles, windows, width and legality."""

from __future__ import annotations

from itertools import permutations
from math import comb

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.procedure.known_orders import (
    TWELVE_RELATIONS,
    answered,
    as_graph,
    chain,
    every_natural_order,
    legal_by_search,
    orders,
    standard_example,
    steady,
    subsets,
    twelve_steps,
)
from trainer.procedure.orders import NotEachOnce, OrderHasCycle, PartialOrder, UnknownElement

# --- closure ---


def test_relations_pass_on() -> None:
    order = PartialOrder.from_relations(4, [(2, 0), (0, 3)])
    assert order.before == (0b100, 0, 0, 0b101)
    assert order.after == (0b1000, 0, 0b1001, 0)
    assert order.precedes(2, 3)
    assert not order.precedes(3, 2)
    assert not order.precedes(1, 3)


def test_a_relation_said_twice_or_already_implied_changes_nothing() -> None:
    assert PartialOrder.from_relations(3, [(0, 1), (1, 2), (0, 2), (0, 1)]) == chain(3)


def test_an_order_of_nothing_is_fine() -> None:
    empty = PartialOrder.from_relations(0, [])
    assert (empty.size, empty.width(), empty.covers()) == (0, 0, ())
    assert empty.is_legal([])


@pytest.mark.parametrize("pair", [(0, 3), (3, 0), (-1, 0), (0, -1)])
def test_a_relation_with_something_that_is_not_there_is_refused(pair: tuple[int, int]) -> None:
    with pytest.raises(UnknownElement, match=r"There is no element -?\d in an order of 3\."):
        PartialOrder.from_relations(3, [pair])


@steady
@given(st.integers(1, 10), st.data())
def test_closure_agrees_with_networkx(size: int, data: st.DataObject) -> None:
    elements = st.integers(0, size - 1)
    pairs = data.draw(st.lists(st.tuples(elements, elements), max_size=2 * size))
    graph = nx.DiGraph(pairs)
    graph.add_nodes_from(range(size))
    if not nx.is_directed_acyclic_graph(graph):
        with pytest.raises(OrderHasCycle):
            PartialOrder.from_relations(size, pairs)
        return
    order = PartialOrder.from_relations(size, pairs)
    assert as_graph(order).edges == nx.transitive_closure_dag(graph).edges
    assert set(order.covers()) == set(nx.transitive_reduction(graph).edges)
    assert all(order.before[b] >> a & 1 == order.after[a] >> b & 1 for a in range(size) for b in range(size))


def test_number_of_naturally_labelled_orders() -> None:
    """Source: OEIS A006455 (terms read in public copies of the list)."""
    assert [sum(1 for _ in every_natural_order(n)) for n in range(1, 8)] == [1, 2, 7, 40, 357, 4824, 96428]


def test_twelve_steps_have_46_relations_and_their_own_covers() -> None:
    """Source: own example, relations counted by a separate programme."""
    order = twelve_steps()
    assert sum(mask.bit_count() for mask in order.before) == 46
    assert order.covers() == tuple(sorted(TWELVE_RELATIONS))


# --- cycles ---


@pytest.mark.parametrize(
    ("pairs", "cycle"),
    [
        ([(0, 0)], (0,)),
        ([(0, 1), (1, 0)], (0, 1)),
        ([(3, 1), (1, 2), (2, 3)], (1, 2, 3)),
        ([(0, 1), (1, 2), (2, 3), (3, 0), (2, 0)], (0, 1, 2)),
        ([(0, 1), (1, 2), (2, 0), (2, 3), (3, 2)], (2, 3)),
        ([(4, 0), (0, 1), (1, 4), (4, 4)], (4,)),
    ],
)
def test_a_circle_is_told_by_a_shortest_one(pairs: list[tuple[int, int]], cycle: tuple[int, ...]) -> None:
    with pytest.raises(OrderHasCycle) as caught:
        PartialOrder.from_relations(5, pairs)
    assert caught.value.cycle == cycle


def test_the_sentence_of_a_circle_goes_all_the_way_round() -> None:
    with pytest.raises(OrderHasCycle, match=r"The relations run in a circle: 1 before 2 before 3 before 1\."):
        PartialOrder.from_relations(4, [(3, 1), (1, 2), (2, 3)])


@steady
@given(st.integers(1, 8), st.data())
def test_no_circle_is_shorter_than_the_one_told(size: int, data: st.DataObject) -> None:
    elements = st.integers(0, size - 1)
    pairs = data.draw(st.lists(st.tuples(elements, elements), max_size=3 * size))
    try:
        PartialOrder.from_relations(size, pairs)
    except OrderHasCycle as problem:
        cycle = problem.cycle
        assert all(pair in pairs for pair in zip(cycle, (*cycle[1:], cycle[0]), strict=True))
        assert len(cycle) == min(map(len, nx.simple_cycles(nx.DiGraph(pairs))))


# --- windows ---


def test_a_window_keeps_what_left_out_steps_pass_on() -> None:
    window = chain(5).restricted([4, 0, 2])
    assert window.size == 3
    assert window.covers() == ((1, 2), (2, 0))


@steady
@given(orders(), st.data())
def test_a_window_says_of_its_elements_what_the_whole_says(order: PartialOrder, data: st.DataObject) -> None:
    indices = data.draw(st.permutations(range(order.size)))[: data.draw(st.integers(0, order.size))]
    window = order.restricted(indices)
    assert window.size == len(indices)
    for a, old_a in enumerate(indices):
        for b, old_b in enumerate(indices):
            assert window.precedes(a, b) == order.precedes(old_a, old_b)
            assert window.before[b] >> a & 1 == order.before[old_b] >> old_a & 1


def test_a_window_of_steps_that_are_not_there_or_twice_is_refused() -> None:
    with pytest.raises(UnknownElement):
        chain(3).restricted([0, 3])
    with pytest.raises(UnknownElement):
        chain(3).restricted([-1])
    with pytest.raises(NotEachOnce):
        chain(3).restricted([0, 1, 0])


# --- width ---


def test_width_of_the_subsets_of_a_set() -> None:
    """The largest antichain of subsets of n things has C(n, n/2) members.

    Source: E. Sperner 1928, Ein Satz über Untermengen einer endlichen Menge, Mathematische Zeitschrift
    27:544-548 (cited from memory).
    """
    assert [subsets(n).width() for n in range(7)] == [comb(n, n // 2) for n in range(7)]


def test_width_of_simple_orders() -> None:
    assert chain(9).width() == 1
    assert PartialOrder.from_relations(6, []).width() == 6
    assert standard_example(4).width() == 4
    assert twelve_steps().width() == 3


@steady
@given(orders(9))
def test_width_is_the_largest_antichain_of_networkx(order: PartialOrder) -> None:
    widest = order.antichain()
    assert not any(order.precedes(a, b) for a in widest for b in widest)
    assert order.width() == len(widest) == max(map(len, nx.antichains(as_graph(order))))


# --- legality ---


@pytest.mark.parametrize("size", [1, 2, 3, 4])
def test_legality_of_every_arrangement_of_every_small_order(size: int) -> None:
    for order in every_natural_order(size):
        for arrangement in permutations(range(size)):
            assert order.is_legal(arrangement) == legal_by_search(order, arrangement)


@steady
@given(answered())
def test_violated_pairs_are_those_of_the_definition(case: tuple[PartialOrder, list[int]]) -> None:
    order, arrangement = case
    place = {element: index for index, element in enumerate(arrangement)}
    everything = range(order.size)
    expected = [
        (a, b) for a in everything for b in everything if order.precedes(a, b) and place[b] < place[a]
    ]
    assert order.violated(arrangement) == tuple(expected)
    assert order.is_legal(arrangement) == (not expected)


@pytest.mark.parametrize(
    "arrangement", [[], [0, 1], [0, 1, 1], [0, 1, 3], [0, 1, -1], [0, 1, 2, 2], [2, 0, 1, 0]]
)
def test_an_arrangement_that_is_none_is_not_legal(arrangement: list[int]) -> None:
    order = chain(3)
    assert not order.is_legal(arrangement)
    with pytest.raises(NotEachOnce, match=r"must hold each of the 3 elements exactly once"):
        order.violated(arrangement)
