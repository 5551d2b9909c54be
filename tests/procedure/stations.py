"""The states of a station worked out a second way: reachability in a directed graph over (piece, pressure).

It shares nothing with the product but the reading of the file: no groups, no union-find, no levels that rise.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import networkx

from trainer.procedure import library

if TYPE_CHECKING:
    from collections.abc import Collection

    from trainer.procedure.model import Module
    from trainer.procedure.station import Element, Station

THROTTLES = ("filling_valve", "restrictor")
REGULATORS = ("regulator", "monitor", "pilot")
MOVED = ("valve", "ball_valve", "filling_valve", "slam_shut", "vent", "nitrogen_cock")


def module() -> Module:
    return library.load("station-run-service")


def station() -> Station:
    found = module().station
    assert found is not None
    return found


def second_opinion(of: Station, standing_open: Collection[str]) -> dict[str, str]:
    """Return piece → what it holds, in the words of the key."""
    return SecondOpinion(of)(frozenset(standing_open))


class SecondOpinion:
    """The second computation for many settings.

    Gas does not ask which vents are open. Air does not ask which nitrogen cocks are, and what several ways out empty is
    what each of them empties.
    """

    def __init__(self, of: Station) -> None:
        self.of = of
        self._vents = frozenset(e.id for e in of.elements.values() if e.form in ("vent", "filter"))
        self._cocks = frozenset(e.id for e in of.elements.values() if e.form == "nitrogen_cock")
        self._plain: dict[frozenset[str], tuple[networkx.Graph, set[str]]] = {}
        self._gas: dict[frozenset[str], set[tuple[str, str]]] = {}
        self._air: dict[tuple[frozenset[str], str], set[str]] = {}

    def __call__(self, standing_open: frozenset[str]) -> dict[str, str]:
        """Return piece → what it holds."""
        with_cocks = standing_open - self._vents
        neither = with_cocks - self._cocks
        plain, headers = self._joined(neither)
        if with_cocks not in self._gas:
            self._gas[with_cocks] = _gas(self.of, with_cocks, plain, headers)
        gas, air = self._gas[with_cocks], set[str]()
        for vent in standing_open & self._vents:
            if (neither, vent) not in self._air:
                self._air[neither, vent] = _air(self.of, neither | {vent}, plain, headers)
            air |= self._air[neither, vent]
        return {name: _word(name, gas, air) for name in self.of.pieces}

    def _joined(self, standing_open: frozenset[str]) -> tuple[networkx.Graph, set[str]]:
        if standing_open not in self._plain:
            plain = networkx.Graph()
            plain.add_nodes_from(self.of.pieces)
            for element in self.of.elements.values():
                if _through(element, standing_open) and element.form not in (*THROTTLES, *REGULATORS):
                    plain.add_edge(*element.joins)
            headers = {
                name
                for name in self.of.pieces
                if any(self.of.pieces[n].source for n in networkx.node_connected_component(plain, name))
            }
            self._plain[standing_open] = plain, headers
        return self._plain[standing_open]


def _through(element: Element, standing_open: Collection[str]) -> bool:
    if len(element.joins) != 2:
        return False
    return element.form not in MOVED or element.id in standing_open


def _gas(
    of: Station, standing_open: Collection[str], plain: networkx.Graph, headers: Collection[str]
) -> set[tuple[str, str]]:
    """Return the (piece, pressure) that can be reached from the sources."""
    graph = networkx.DiGraph()
    graph.add_node("start")
    kinds = ("inlet", "outlet", "nitrogen")
    for one, other in plain.edges:
        for kind in kinds:
            graph.add_edge((one, kind), (other, kind))
            graph.add_edge((other, kind), (one, kind))
    for name, piece in of.pieces.items():
        if piece.source:
            graph.add_edge("start", (name, str(piece.source)))
    for element in of.elements.values():
        if element.form == "nitrogen_cock" and element.id in standing_open:
            graph.add_edge("start", (element.joins[0], "nitrogen"))
        if element.form in (*THROTTLES, *REGULATORS) and _through(element, standing_open):
            one, other = element.joins
            for kind in kinds:
                lower = "outlet" if kind == "inlet" and element.form in ("regulator", "pilot") else kind
                if other not in headers:
                    graph.add_edge((one, kind), (other, lower))
                if one not in headers:
                    graph.add_edge((other, kind), (one, kind))
    return set(networkx.descendants(graph, "start"))


def _air(
    of: Station, standing_open: Collection[str], plain: networkx.Graph, headers: Collection[str]
) -> set[str]:
    """Return the pieces from which gas can leave to the air."""
    graph = networkx.DiGraph()
    graph.add_node("air")
    for one, other in plain.edges:
        graph.add_edges_from([(one, other), (other, one)])
    for element in of.elements.values():
        if element.form in ("vent", "filter") and element.id in standing_open:
            graph.add_edges_from([("air", name) for name in element.joins])
        elif _through(element, standing_open):
            if element.form in REGULATORS and element.when_dead != "open":
                continue
            if element.form in (*THROTTLES, *REGULATORS):
                one, other = element.joins
                graph.add_edges_from([(a, b) for a, b in ((one, other), (other, one)) if b not in headers])
    return set(networkx.descendants(graph, "air"))


def _word(name: str, gas: set[tuple[str, str]], air: set[str]) -> str:
    under = [kind for kind in ("inlet", "outlet") if (name, kind) in gas]
    if name in air and under:
        return "blowing to air"
    if under:
        return f"{under[0]} pressure"
    if (name, "nitrogen") in gas:
        return "nitrogen"
    return "vented to air" if name in air else "shut in, may hold pressure"
