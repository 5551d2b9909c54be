"""Fewest moves: published cases, every small case against a search, larger ones against networkx."""

from __future__ import annotations

import os
from bisect import bisect_left
from collections import Counter
from itertools import permutations
from typing import TYPE_CHECKING

import networkx as nx
import numpy as np
import pytest
from hypothesis import given

from tests.procedure.known_orders import answered, chain, every_natural_order, orders, steady, twelve_steps
from trainer.procedure.moves import Moves, credit, fewest_moves
from trainer.procedure.orders import NotEachOnce, PartialOrder

if TYPE_CHECKING:
    from collections.abc import Sequence


def longest_rise(numbers: Sequence[int]) -> int:
    """Length of the longest rising run, by patience sorting (C. Schensted 1961)."""
    piles: list[int] = []
    for number in numbers:
        piles[slice(place := bisect_left(piles, number), place + 1)] = [number]
    return len(piles)


def check_nearest(order: PartialOrder, answer: Sequence[int], moves: Moves) -> None:
    """The nearest arrangement is legal, keeps what stays in order, and is exactly `count` moves away.

    Two arrangements are as many moves apart as there are elements outside their longest common run.
    """
    nearest = moves.nearest
    assert order.is_legal(nearest)
    assert len(moves.moved) == moves.count
    assert [x for x in nearest if x not in moves.moved] == [x for x in answer if x not in moves.moved]
    place = {element: index for index, element in enumerate(answer)}
    assert longest_rise([place[element] for element in nearest]) == order.size - moves.count


# --- published and worked cases ---


@pytest.mark.parametrize(
    ("answer", "moves", "violated"),
    [
        ([1, 2, 3, 0], 1, 3),
        ([3, 2, 1, 0], 3, 6),
        ([1, 6, 0, 7, 2, 5, 3, 4], 4, 12),
        ([4, 0, 1, 2, 3], 1, 4),
    ],
)
def test_moves_along_one_chain(answer: list[int], moves: int, violated: int) -> None:
    """Moves are n less the longest rising run.

    Source: C. Schensted 1961, Longest increasing and decreasing subsequences, Canadian Journal of
    Mathematics 13:179-191 (cited from memory).
    """
    order = chain(len(answer))
    assert fewest_moves(order, answer).count == moves == len(answer) - longest_rise(answer)
    assert fewest_moves(order, answer).wrong_pairs == len(order.violated(answer)) == violated


@pytest.mark.parametrize(
    ("answer", "moves", "violated"),
    [
        ([0, 1, 6, 7, 8, 2, 11, 3, 4, 5, 9, 10], 0, 0),
        ([0, 2, 1, 3, 5, 4, 6, 8, 7, 9, 10, 11], 3, 3),
        ([10, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 11], 1, 10),
        ([0, 1, 2, 3, 9, 5, 4, 6, 7, 8, 10, 11], 2, 6),
    ],
)
def test_moves_of_twelve_steps(answer: list[int], moves: int, violated: int) -> None:
    """Source: own example. The third answer has one step out of place: 10 of 46 pairs, but one move."""
    order = twelve_steps()
    assert fewest_moves(order, answer).count == moves
    assert fewest_moves(order, answer).wrong_pairs == len(order.violated(answer)) == violated


def test_one_step_out_of_place_is_the_one_that_moves_and_goes_no_further_than_needed() -> None:
    moves = fewest_moves(twelve_steps(), [10, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 11])
    assert moves.moved == {10}
    assert moves.nearest == (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11)


def test_a_step_that_comes_too_late_goes_to_just_before_the_first_that_needs_it() -> None:
    order = PartialOrder.from_relations(6, [(5, 3), (5, 4)])
    moves = fewest_moves(order, [0, 1, 3, 2, 4, 5])
    assert moves.count == 1
    assert moves.moved == {5}
    assert moves.nearest == (0, 1, 5, 3, 2, 4)


def test_a_moved_step_takes_along_what_must_come_between() -> None:
    """2 comes forward to before 1, and 0, which must come after 2, goes back to just behind it."""
    order = PartialOrder.from_relations(6, [(2, 1), (2, 5), (2, 0), (3, 0), (4, 0)])
    moves = fewest_moves(order, [0, 3, 4, 1, 5, 2])
    assert moves.moved == {0, 2}
    assert moves.nearest == (3, 4, 2, 0, 1, 5)


def test_a_legal_answer_stays_as_it_is() -> None:
    answer = [0, 1, 6, 7, 8, 2, 11, 3, 4, 5, 9, 10]
    moves = fewest_moves(twelve_steps(), answer)
    assert (moves.count, moves.moved, moves.nearest) == (0, frozenset(), tuple(answer))


def test_an_answer_that_is_no_arrangement_is_refused() -> None:
    with pytest.raises(NotEachOnce):
        fewest_moves(chain(3), [0, 1, 1])


# --- every small case, judged by a search that knows nothing of matchings ---


def one_move_away(arrangement: tuple[int, ...]) -> set[tuple[int, ...]]:
    """Every arrangement reached by taking one element out and putting it back anywhere."""
    reached = set()
    for taken, element in enumerate(arrangement):
        rest = arrangement[:taken] + arrangement[taken + 1 :]
        reached |= {(*rest[:put], element, *rest[put:]) for put in range(len(arrangement))}
    return reached


def moves_by_search(
    order: PartialOrder, neighbours: dict[tuple[int, ...], set[tuple[int, ...]]]
) -> dict[tuple[int, ...], int]:
    """Moves of every arrangement, breadth first from all the legal ones."""
    distance = {arrangement: 0 for arrangement in neighbours if order.is_legal(arrangement)}
    queue = list(distance)
    for arrangement in queue:
        for reached in neighbours[arrangement]:
            if reached not in distance:
                distance[reached] = distance[arrangement] + 1
                queue.append(reached)
    return distance


EXPECTED_DISTRIBUTION = {1: [1], 2: [3, 1], 5: [6105, 20541, 14891, 1302, 1]}


@pytest.mark.parametrize("size", [1, 2, 3, 4, 5])
def test_fewest_moves_of_every_arrangement_of_every_small_order(size: int) -> None:
    """The distances are searched afresh; how often each number of moves occurs is a written-down check value.

    Source: own brute force in another programming language, for sizes up to 7.
    """
    neighbours = {arrangement: one_move_away(arrangement) for arrangement in permutations(range(size))}
    distribution: Counter[int] = Counter()
    for order in every_natural_order(size):
        for arrangement, distance in moves_by_search(order, neighbours).items():
            moves = fewest_moves(order, arrangement)
            assert moves.count == distance
            check_nearest(order, arrangement, moves)
            distribution[moves.count] += 1
    if size in EXPECTED_DISTRIBUTION:
        assert [distribution[moves] for moves in range(size)] == EXPECTED_DISTRIBUTION[size]


EXPECTED_WITH_MANY = {
    6: [245877, 1187791, 1554934, 472816, 11861, 1],
    7: [16354700, 105297078, 210994861, 135964966, 17269718, 115796, 1],
}


@pytest.mark.skipif(
    "TRAINER_TESTS_NEED_ALL" not in os.environ, reason="490 million pairs take a while; .ci/run asks"
)
@pytest.mark.parametrize(("size", "apart"), [(6, 20), (7, 5040)])
def test_fewest_moves_of_every_arrangement_of_every_order_of_many(size: int, apart: int) -> None:
    """How often each number of moves occurs: with seven, among 96,428 orders and 5,040 arrangements of each.

    Which relations are broken is all that the number depends on, so each set of broken ones is asked for once; that it is
    all is asked of further pairs with the same set, `apart` from one another. Source: own brute force in another
    programming language, breadth first from the legal orders.
    """
    pairs = [(a, b) for b in range(size) for a in range(b)]
    arrangements = list(permutations(range(size)))
    turned = np.array(
        [
            sum(1 << bit for bit, (a, b) in enumerate(pairs) if arrangement.index(a) > arrangement.index(b))
            for arrangement in arrangements
        ],
        dtype=np.int32,
    )
    known = np.full(1 << len(pairs), -1, dtype=np.int8)
    distribution = np.zeros(size + 1, dtype=np.int64)
    for number, order in enumerate(every_natural_order(size)):
        related = sum(1 << bit for bit, (a, b) in enumerate(pairs) if order.before[b] >> a & 1)
        broken = turned & related
        new = np.flatnonzero(known[broken] < 0)
        fresh = new[np.unique(broken[new], return_index=True)[1]]
        for at in (*fresh.tolist(), *range(number % apart, len(arrangements), apart)):
            mask = broken[at]
            count = fewest_moves(order, arrangements[at]).count
            assert known[mask] in (-1, count)
            known[mask] = count
        distribution += np.bincount(known[broken], minlength=size + 1)
    assert distribution[:size].tolist() == EXPECTED_WITH_MANY[size]


# --- larger cases ---


@steady
@given(answered(30))
def test_moves_agree_with_the_matching_of_networkx(case: tuple[PartialOrder, list[int]]) -> None:
    order, answer = case
    graph = nx.Graph()
    graph.add_nodes_from(("earlier", element) for element in answer)
    graph.add_edges_from((("earlier", a), ("later", b)) for a, b in order.violated(answer))
    matching = nx.bipartite.hopcroft_karp_matching(graph, [("earlier", element) for element in answer])
    moves = fewest_moves(order, answer)
    assert moves.count == len(matching) // 2
    check_nearest(order, answer, moves)


@steady
@given(answered())
def test_moved_steps_go_no_further_than_they_have_to(case: tuple[PartialOrder, list[int]]) -> None:
    """Forward to just before the first staying follower, or back to just behind the last forerunner."""
    order, answer = case
    moves = fewest_moves(order, answer)
    place = {element: index for index, element in enumerate(answer)}
    staying = [element for element in answer if element not in moves.moved]
    came_forward = {
        x for x in moves.moved if any(order.precedes(x, s) and place[s] < place[x] for s in staying)
    }
    for x in moves.moved:
        now = moves.nearest.index(x)
        if x in came_forward:
            after = next(s for s in moves.nearest[now:] if s not in moves.moved)
            assert order.precedes(x, after)
        else:
            settled = [s for s in moves.nearest[:now] if s in staying or s in came_forward]
            between = moves.nearest[moves.nearest.index(settled[-1]) : now]
            assert any(order.precedes(s, x) for s in between) or order.precedes(settled[-1], x)


# --- credit ---


def test_credit_falls_evenly_from_a_legal_order_to_one_read_backwards() -> None:
    assert [credit(moves, 12, 3) for moves in (0, 3, 9)] == pytest.approx([1, 2 / 3, 0])


def test_credit_is_full_when_nothing_can_be_wrong() -> None:
    assert credit(0, 4, 4) == 1.0
    assert credit(0, 0, 0) == 1.0


def test_credit_stays_between_0_and_1() -> None:
    assert credit(12, 12, 3) == 0.0
    assert credit(0, 12, 3) == 1.0


@steady
@given(orders())
def test_a_legal_order_read_backwards_needs_the_most_moves_and_earns_nothing(order: PartialOrder) -> None:
    backwards = sorted(range(order.size), key=lambda x: order.before[x].bit_count(), reverse=True)
    moves = fewest_moves(order, backwards)
    assert moves.count == order.size - order.width()
    assert credit(moves.count, order.size, order.width()) == (1.0 if moves.count == 0 else 0.0)
