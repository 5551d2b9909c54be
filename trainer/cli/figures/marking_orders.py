"""Marking one order: which pairs stand wrong and the exact fewest moves, against a general graph library."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

from trainer.cli.invented_orders import nearly_right, shuffled, woven
from trainer.cli.measuring import Reading, faster
from trainer.procedure.moves import fewest_moves

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.cli.measuring import Effort
    from trainer.procedure.orders import PartialOrder

TITLE = "Mark one order"

GOALS = {(40, "shuffled"): 100.0, (40, "nearly right"): 10.0}
CASES = 5
"""Different orders and answers in one sample, so that no single lucky one decides."""


def measure(effort: Effort) -> Iterator[Reading]:
    """Yield how many times faster than networkx (closure kept, Hopcroft–Karp matching) a mark is."""
    try:
        networkx = import_module("networkx")
    except ImportError:
        yield Reading(TITLE, note="networkx, the floor, is not installed.")
        return
    for size in (12, 20, 40, 60):
        for kind, answers in (("nearly right", nearly_right), ("shuffled", shuffled)):
            cases = [(woven(size, 4, str(n)), answers(size, str(n))) for n in range(CASES)]
            graphs = [(closure(networkx, order), answer) for order, answer in cases]
            yield faster(
                f"{TITLE}: {size} steps {kind}, times faster than networkx",
                lambda graphs=graphs: [mark_with_graphs(networkx, *case) for case in graphs],  # type: ignore[misc]
                lambda cases=cases: [mark(*case) for case in cases],  # type: ignore[misc]
                effort,
                GOALS.get((size, kind)),
            )


def mark(order: PartialOrder, answer: Sequence[int]) -> tuple[int, int]:
    """Return wrong pairs and fewest moves, ours."""
    moves = fewest_moves(order, answer)
    return moves.wrong_pairs, moves.count


def closure(networkx: Any, order: PartialOrder) -> Any:
    """Return the closed order as a graph; made once, as it would be kept beside a procedure."""
    graph = networkx.DiGraph()
    graph.add_nodes_from(range(order.size))
    graph.add_edges_from(order.covers())
    return networkx.transitive_closure_dag(graph)


def mark_with_graphs(networkx: Any, graph: Any, answer: Sequence[int]) -> tuple[int, int]:
    """Return wrong pairs and fewest moves, with the library's own matching."""
    place = {step: number for number, step in enumerate(answer)}
    wrong = networkx.Graph()
    earlier = [("earlier", step) for step in answer]
    wrong.add_nodes_from(earlier)
    wrong.add_edges_from((("earlier", a), ("later", b)) for a, b in graph.edges if place[b] < place[a])
    matching = networkx.bipartite.hopcroft_karp_matching(wrong, earlier)
    return wrong.number_of_edges(), len(matching) // 2
