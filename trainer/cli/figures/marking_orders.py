"""Marking one order: pairs that stand wrong, fewest moves and which, against a general graph library."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from trainer.cli.measuring.invented_orders import nearly_right, shuffled, woven
from trainer.cli.measuring.timing import Reading, faster
from trainer.procedure.moves import fewest_moves

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from trainer.cli.measuring.timing import Effort
    from trainer.procedure.orders import PartialOrder

TITLE = "Mark one order"

GOALS = {(40, "shuffled"): 100.0, (40, "nearly right"): 10.0}
CASES = 5
"""Different orders and answers in one sample, so that no single lucky one decides."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times faster than networkx (closure kept, its matching and its cover) a mark is."""
    try:
        networkx = import_module("networkx")
    except ImportError:
        yield Reading(TITLE, note="networkx, the floor, is not installed.")
        return
    for size in (12, 20, 40, 60):
        for kind, answers in (("nearly right", nearly_right), ("shuffled", shuffled)):
            goal = GOALS.get((size, kind))
            yield _compare(networkx, f"{size} steps {kind}", size, answers, effort, mark_with_graphs, goal)
    what = "40 steps shuffled, not asking which steps move"
    yield _compare(networkx, what, 40, shuffled, effort, count_with_graphs, None)


def _compare(
    networkx: Any,
    what: str,
    size: int,
    answers: Callable[[int, str], list[int]],
    effort: Effort,
    floor: Callable[[Any, Any, Sequence[int]], object],
    goal: float | None,
) -> Reading:
    cases = [(woven(size, 4, str(n)), answers(size, str(n))) for n in range(CASES)]
    graphs = [(closure(networkx, order), answer) for order, answer in cases]
    return faster(
        f"{TITLE}: {what}, times faster than networkx",
        lambda: [floor(networkx, *case) for case in graphs],
        lambda: [mark(*case) for case in cases],
        effort,
        goal,
    )


def mark(order: PartialOrder, answer: Sequence[int]) -> tuple[int, int]:
    """Return the number of wrong pairs and of steps that move, ours; which steps is known with it."""
    moves = fewest_moves(order, answer)
    return moves.wrong_pairs, len(moves.moved)


def closure(networkx: Any, order: PartialOrder) -> Any:
    """Return the closed order as a graph; made once, as it would be kept beside a procedure."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(order.size))
    graph.add_edges_from(order.covers())
    return networkx.transitive_closure_dag(graph)


def mark_with_graphs(networkx: Any, graph: Any, answer: Sequence[int]) -> tuple[int, int]:
    """Return the same with the library's Hopcroft–Karp matching and, for which steps move, its vertex cover."""
    wrong, earlier = _wrong_pairs(networkx, graph, answer)
    matching = networkx.bipartite.hopcroft_karp_matching(wrong, earlier)
    cover = networkx.bipartite.to_vertex_cover(wrong, matching, earlier)
    return wrong.number_of_edges(), len({step for _, step in cover})


def count_with_graphs(networkx: Any, graph: Any, answer: Sequence[int]) -> tuple[int, int]:
    """Return the same from the matching alone: how many steps move, but not which."""
    wrong, earlier = _wrong_pairs(networkx, graph, answer)
    return wrong.number_of_edges(), len(networkx.bipartite.hopcroft_karp_matching(wrong, earlier)) // 2


def _wrong_pairs(networkx: Any, graph: Any, answer: Sequence[int]) -> tuple[Any, list[tuple[str, int]]]:
    """Return the graph of pairs that stand wrong, and its left side."""
    place = {step: number for number, step in enumerate(answer)}
    wrong = networkx.Graph()
    earlier = [("earlier", step) for step in answer]
    wrong.add_nodes_from(earlier)
    wrong.add_edges_from((("earlier", a), ("later", b)) for a, b in graph.edges if place[b] < place[a])
    return wrong, earlier
