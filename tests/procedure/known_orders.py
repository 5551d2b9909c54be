"""Orders with a name of their own, every small order, and random ones, for the tests of this room."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import TYPE_CHECKING, Any

import networkx as nx
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from trainer.procedure.orders import PartialOrder

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

steady = settings(deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
"""The same cases in every run, and none that fails because the machine is busy."""


def chain(size: int) -> PartialOrder:
    """Each number before the next."""
    return PartialOrder.from_relations(size, pairwise(range(size)))


def zigzag(size: int) -> PartialOrder:
    """Up and down in turn: 0 before 1, 2 before 1, 2 before 3, 4 before 3 and so on."""
    return PartialOrder.from_relations(
        size, [(i, i + 1) if i % 2 == 0 else (i + 1, i) for i in range(size - 1)]
    )


def grid(rows: int, columns: int) -> PartialOrder:
    """Cells of a table, each before its right and its lower neighbour."""
    cells = [(row, column) for row in range(rows) for column in range(columns)]
    number = {cell: index for index, cell in enumerate(cells)}
    right = [(number[r, c], number[r, c + 1]) for r, c in cells if c + 1 < columns]
    down = [(number[r, c], number[r + 1, c]) for r, c in cells if r + 1 < rows]
    return PartialOrder.from_relations(len(cells), right + down)


def subsets(things: int) -> PartialOrder:
    """The subsets of a set, each before those that contain it; element i is the subset with bit mask i."""
    size = 2**things
    return PartialOrder.from_relations(
        size,
        [(small, large) for small in range(size) for large in range(size) if small & large == small < large],
    )


def standard_example(k: int) -> PartialOrder:
    """a0 … a(k-1), b0 … b(k-1); each a before every b but its own."""
    return PartialOrder.from_relations(2 * k, [(i, k + j) for i in range(k) for j in range(k) if i != j])


def binary_tree(size: int) -> PartialOrder:
    """A complete binary tree, the root first."""
    return PartialOrder.from_relations(size, [((child - 1) // 2, child) for child in range(1, size)])


TWELVE_RELATIONS = (
    (0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (1, 6), (6, 7), (7, 8), (5, 9), (8, 9), (9, 10), (2, 11),
)  # fmt: skip


def twelve_steps() -> PartialOrder:
    """Two runs of an invented teardown that meet again, and one step that hangs from the first."""
    return PartialOrder.from_relations(12, TWELVE_RELATIONS)


def every_natural_order(size: int) -> Iterator[PartialOrder]:
    """Every partial order on 0…size-1 that has no larger element before a smaller one.

    Each order of this many elements is one of these with its elements renamed.
    """
    for before in _befores(size):
        yield PartialOrder.from_relations(
            size, [(a, b) for b in range(size) for a in range(b) if before[b] >> a & 1]
        )


def _befores(size: int) -> Iterator[list[int]]:
    if size == 0:
        yield []
        return
    for before in _befores(size - 1):
        for down_set in range(2 ** (size - 1)):
            if all(before[a] & ~down_set == 0 for a in range(size - 1) if down_set >> a & 1):
                yield [*before, down_set]


@st.composite
def orders(draw: st.DrawFn, max_size: int = 12) -> PartialOrder:
    """Any order, its elements numbered in no special way, from sparse to dense."""
    size = draw(st.integers(0, max_size))
    names = draw(st.permutations(range(size)))
    possible = list(combinations(range(size), 2))
    pairs = draw(st.lists(st.sampled_from(possible), max_size=2 * size, unique=True)) if possible else []
    return PartialOrder.from_relations(size, [(names[a], names[b]) for a, b in pairs])


@st.composite
def answered(draw: st.DrawFn, max_size: int = 12) -> tuple[PartialOrder, list[int]]:
    """Any order with any arrangement of its elements."""
    order = draw(orders(max_size))
    return order, draw(st.permutations(range(order.size)))


def as_graph(order: PartialOrder) -> Any:
    """The closed order as a networkx graph, the outside judge."""
    graph = nx.DiGraph()
    graph.add_nodes_from(range(order.size))
    graph.add_edges_from((a, b) for a in range(order.size) for b in range(order.size) if order.precedes(a, b))
    return graph


def legal_by_search(order: PartialOrder, arrangement: Sequence[int]) -> bool:
    """Legality straight from the definition."""
    return not any(order.precedes(b, a) for a, b in combinations(arrangement, 2))
