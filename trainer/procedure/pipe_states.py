"""What each piece of pipe holds, from how the elements stand.

Pieces are nodes; what stands open merges them; regulators and throttles stay edges. Pressure passes every regulator:
a regulator never isolates, and a monitor stands wide open. A vent empties the far side of a regulator only if that one
stands open without pressure. A piece that no pressure and no vent reaches is shut in and may hold pressure. These rules
lean to the safe side; common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

from trainer.procedure.station import Form, Position, SourceOf

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping

    from trainer.procedure.station import Element, Station


class Holds(StrEnum):
    """What a piece of pipe holds."""

    INLET = "inlet pressure"
    OUTLET = "outlet pressure"
    NITROGEN = "nitrogen"
    VENTED = "vented to air"
    BLOWING = "blowing to air"
    SHUT_IN = "shut in, may hold pressure"

    @property
    def is_gas(self) -> bool:
        """Gas stands in it under a pressure that is known."""
        return self in (Holds.INLET, Holds.OUTLET)


class Stands(StrEnum):
    """How an element stands, as it is told and drawn; of a filter whether its cover is off."""

    OPEN = "open"
    CLOSED = "closed"
    REGULATING = "regulating"


# What keeps a regulator alive: pressure that is known to be there.
_LIVE = (Holds.INLET, Holds.OUTLET, Holds.BLOWING, Holds.NITROGEN)
# Pressures from the least to the most: what reaches a piece by several ways counts as the most of them.
_NONE, _NITROGEN, _OUTLET, _INLET = range(4)
_LEVEL = {SourceOf.INLET: _INLET, SourceOf.OUTLET: _OUTLET}
_HELD = {_NITROGEN: Holds.NITROGEN, _OUTLET: Holds.OUTLET, _INLET: Holds.INLET, _NONE: Holds.SHUT_IN}


@dataclass(frozen=True)
class LineUp:
    """A station with its elements in their positions.

    `open` names those that stand open; of a filter it says that its cover is off.
    """

    station: Station
    open: frozenset[str]

    def moved(self, element: str) -> LineUp:
        """Return it with one element moved."""
        return LineUp(self.station, self.open ^ {element})

    def is_open(self, element: Element) -> bool:
        """Tell whether gas can go through an element, or out at it."""
        if element.form.moves:
            return element.id in self.open
        return element.form not in (Form.GAUGE, Form.RELIEF)

    def stands(self, element: Element) -> Stands:
        """Return how an element stands: under pressure a regulator regulates and a monitor stands open over it."""
        if not element.form.regulates:
            return Stands.OPEN if self.is_open(element) else Stands.CLOSED
        if any(self.holds.get(name) in _LIVE for name in element.joins):
            return Stands.REGULATING if element.form.reduces else Stands.OPEN
        return Stands.CLOSED if element.when_dead is Position.CLOSED else Stands.OPEN

    @cached_property
    def group_of(self) -> Mapping[str, str]:
        """Which pieces hang together: piece → the first piece of its group."""
        leader = {name: name for name in self.station.pieces}

        def find(name: str) -> str:
            while leader[name] != name:
                leader[name] = leader[leader[name]]
                name = leader[name]
            return name

        for element in self.station.joining:
            # A filter lets gas through whether its cover is on or off.
            if element.form is Form.FILTER or self.is_open(element):
                leader[find(element.joins[1])] = find(element.joins[0])
        return {name: find(name) for name in leader}

    @cached_property
    def _edges(self) -> tuple[tuple[str, str, Element], ...]:
        group = self.group_of
        return tuple(
            (group[element.joins[0]], group[element.joins[1]], element)
            for element in self.station.dividing
            if self.is_open(element)
        )

    @cached_property
    def own(self) -> Mapping[str, int]:
        """The pressure of the headers in each group that holds one."""
        own: dict[str, int] = {}
        for name, piece in self.station.pieces.items():
            if piece.source is not None:
                group = self.group_of[name]
                own[group] = max(own.get(group, _NONE), _LEVEL[piece.source])
        return own

    def _open_of(self, ends: Iterable[Element]) -> list[tuple[str, Element]]:
        """Return those that stand open with the groups that they open."""
        return [(self.group_of[element.joins[0]], element) for element in ends if self.is_open(element)]

    @cached_property
    def level(self) -> Mapping[str, int]:
        """The pressure that reaches each group."""
        level = dict(self.own)
        for group, _ in self._open_of(self.station.cocks):
            level[group] = max(level.get(group, _NONE), _NITROGEN)
        self._spread(list(level), lambda here, there, edge, back: self._rises(level, here, there, edge, back))
        return level

    def _rises(self, level: dict[str, int], here: str, there: str, edge: Element, back: bool) -> bool:
        passed = min(level[here], _OUTLET) if edge.form.reduces and not back else level[here]
        # A header keeps its own pressure, whatever comes to it through a throttle or a regulator.
        if there in self.own or level.get(there, _NONE) >= passed:
            return False
        level[there] = passed
        return True

    @cached_property
    def emptied(self) -> frozenset[str]:
        """The groups that stand open to the air, by themselves or through what stands open without pressure."""
        found = {group for group, _ in self._open_of(self.station.ways_out)}

        def empties(_: str, there: str, edge: Element, __: bool) -> bool:
            lets = not edge.form.regulates or edge.when_dead is Position.OPEN
            if not lets or there in found or there in self.own:
                return False
            found.add(there)
            return True

        self._spread(list(found), empties)
        return frozenset(found)

    def _spread(self, start: Iterable[str], enters: Callable[[str, str, Element, bool], bool]) -> None:
        """Go from group to group over the edges for as long as `enters(here, there, edge, back)` says so."""
        waiting = list(start)
        while waiting:
            here = waiting.pop()
            for one, other, edge in self._edges:
                if here == one != other and enters(here, other, edge, False):
                    waiting.append(other)
                if here == other != one and enters(here, one, edge, True):
                    waiting.append(one)

    @cached_property
    def holds(self) -> Mapping[str, Holds]:
        """What each piece holds."""
        held = {group: self._held(group) for group in set(self.group_of.values())}
        return {name: held[group] for name, group in self.group_of.items()}

    def _held(self, group: str) -> Holds:
        level = self.level.get(group, _NONE)
        if group not in self.emptied:
            return _HELD[level]
        if level > _NITROGEN:
            return Holds.BLOWING
        return Holds.NITROGEN if level else Holds.VENTED

    @cached_property
    def fed(self) -> bool:
        """The outlet gets gas from the inlet, by a way that is no throttle; True when a station has only one end."""
        outlets = {self.group_of[name] for name in self.station.sources(SourceOf.OUTLET)}
        reached = {self.group_of[name] for name in self.station.sources(SourceOf.INLET)}
        if not outlets or not reached:
            return True

        def goes(_: str, there: str, edge: Element, back: bool) -> bool:
            if back or not edge.form.regulates or there in reached:
                return False
            reached.add(there)
            return True

        self._spread(list(reached), goes)
        return outlets <= reached

    @cached_property
    def over_pressured(self) -> bool:
        """Inlet and outlet stand together with no regulator between them."""
        inlets = {self.group_of[name] for name in self.station.sources(SourceOf.INLET)}
        return any(self.group_of[name] in inlets for name in self.station.sources(SourceOf.OUTLET))

    @cached_property
    def gas_at_nitrogen(self) -> tuple[Element, ...]:
        """The open nitrogen cocks at which gas stands."""
        at = self._open_of(self.station.cocks)
        return tuple(element for group, element in at if self.level.get(group, _NONE) > _NITROGEN)
