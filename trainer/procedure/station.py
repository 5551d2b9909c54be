"""A station as plain values: pieces of pipe, the elements between them, and where they stand on two grids.

What moves an element during the job is said by facts, so that the picture after any step follows from the simulation.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

Spot = tuple[float, float]
Run = tuple[Spot, ...]


class Form(StrEnum):
    """What an element is, as drawn and as it lets gas through."""

    VALVE = "valve"
    BALL_VALVE = "ball_valve"
    FILLING_VALVE = "filling_valve"
    SLAM_SHUT = "slam_shut"
    FILTER = "filter"
    REGULATOR = "regulator"
    MONITOR = "monitor"
    PILOT = "pilot"
    RESTRICTOR = "restrictor"
    VENT = "vent"
    RELIEF = "relief"
    NITROGEN_COCK = "nitrogen_cock"
    GAUGE = "gauge"

    @property
    def ends(self) -> int:
        """How many pieces of pipe it joins."""
        return 1 if self in _ONE_END else 2

    @property
    def moves(self) -> bool:
        """Somebody opens and shuts it; a filter is opened to the air."""
        return self in _MOVED

    @property
    def regulates(self) -> bool:
        """It holds a pressure and never isolates."""
        return self in (Form.REGULATOR, Form.MONITOR, Form.PILOT)

    @property
    def reduces(self) -> bool:
        """It lets less pressure on than comes to it; a monitor stands wide open while the other one holds."""
        return self in (Form.REGULATOR, Form.PILOT)

    @property
    def throttles(self) -> bool:
        """It lets gas through slowly, so that its two sides keep pressures of their own."""
        return self in (Form.FILLING_VALVE, Form.RESTRICTOR)

    @property
    def keeps_apart(self) -> bool:
        """Its two sides keep pressures of their own although gas goes through it."""
        return self.regulates or self.throttles


_ONE_END = (Form.VENT, Form.RELIEF, Form.NITROGEN_COCK, Form.GAUGE)
_MOVED = (
    Form.VALVE,
    Form.BALL_VALVE,
    Form.FILLING_VALVE,
    Form.SLAM_SHUT,
    Form.FILTER,
    Form.VENT,
    Form.NITROGEN_COCK,
)


class Position(StrEnum):
    """How an element stands."""

    OPEN = "open"
    CLOSED = "closed"


class SourceOf(StrEnum):
    """What stands behind an end of the pipe."""

    INLET = "inlet"
    OUTLET = "outlet"


@dataclass(frozen=True)
class Drawn:
    """Where a piece runs: lines of spots on a grid, as pipe and as thin tube."""

    pipe: tuple[Run, ...] = ()
    tubes: tuple[Run, ...] = ()

    def runs(self) -> Iterator[Run]:
        """Yield every line of it."""
        yield from self.pipe
        yield from self.tubes

    def upright(self) -> Drawn:
        """Return it with across and down exchanged."""
        return Drawn(_turned(self.pipe), _turned(self.tubes))


def _turned(runs: tuple[Run, ...]) -> tuple[Run, ...]:
    return tuple(tuple((y, x) for x, y in run) for run in runs)


@dataclass(frozen=True)
class Pipe:
    """A piece of pipe between elements; `source` is what stands behind it."""

    id: str
    name: str
    wide: Drawn
    upright: Drawn
    source: SourceOf | None = None


@dataclass(frozen=True)
class Element:
    """A fitting between pieces of pipe, or at the end of one.

    `joins` are in the way of the gas. `stands` is its position unless all facts of `other_when` hold and none of
    `unless`; a filter stands open to the air while something of `opened_by` is off.
    """

    id: str
    tag: str
    name: str
    form: Form
    joins: tuple[str, ...]
    wide: Spot
    upright: Spot
    stands: Position = Position.OPEN
    other_when: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    locked_when: tuple[str, ...] = ()
    opened_by: tuple[str, ...] = ()
    when_dead: Position | None = None


@dataclass(frozen=True)
class Station:
    """Everything about a station."""

    pieces: Mapping[str, Pipe] = field(default_factory=dict)
    elements: Mapping[str, Element] = field(default_factory=dict)

    def __bool__(self) -> bool:
        """Tell whether there is anything to draw."""
        return bool(self.pieces and self.elements)

    @cached_property
    def whole(self) -> tuple[Element, ...]:
        """The elements that join as many pieces as they should, all of them known."""
        return tuple(
            element
            for element in self.elements.values()
            if len(element.joins) == element.form.ends and all(name in self.pieces for name in element.joins)
        )

    @cached_property
    def joining(self) -> tuple[Element, ...]:
        """The elements between two pieces whose pressures are one while it stands open."""
        return tuple(e for e in self.whole if e.form.ends == 2 and not e.form.keeps_apart)

    @cached_property
    def dividing(self) -> tuple[Element, ...]:
        """The elements between two pieces that keep pressures of their own."""
        return tuple(e for e in self.whole if e.form.ends == 2 and e.form.keeps_apart)

    @cached_property
    def cocks(self) -> tuple[Element, ...]:
        """The elements at which nitrogen comes in."""
        return tuple(element for element in self.whole if element.form is Form.NITROGEN_COCK)

    @cached_property
    def ways_out(self) -> tuple[Element, ...]:
        """The elements that let out to the air when they stand open."""
        return tuple(element for element in self.whole if element.form in (Form.VENT, Form.FILTER))

    @cached_property
    def moved(self) -> tuple[str, ...]:
        """The elements that somebody opens and shuts, in the order of the file."""
        return tuple(element.id for element in self.whole if element.form.moves)

    @cached_property
    def runs(self) -> tuple[tuple[str, ...], ...]:
        """The pieces of each run: what hangs together when the ends with a source are taken away."""
        inner = [name for name, piece in self.pieces.items() if piece.source is None]
        beside: dict[str, list[str]] = {name: [] for name in inner}
        for element in self.whole:
            if element.form.ends == 2 and all(name in beside for name in element.joins):
                one, other = element.joins
                beside[one].append(other)
                beside[other].append(one)
        found: list[tuple[str, ...]] = []
        placed: set[str] = set()
        for name in inner:
            if name in placed:
                continue
            reached, ahead = {name}, [name]
            while ahead:
                for near in beside[ahead.pop()]:
                    if near not in reached:
                        reached.add(near)
                        ahead.append(near)
            placed |= reached
            found.append(tuple(item for item in inner if item in reached))
        return tuple(found)

    def of_run(self, run: tuple[str, ...]) -> tuple[Element, ...]:
        """Return the elements at any piece of a run."""
        return tuple(element for element in self.whole if set(element.joins) & set(run))

    def sources(self, kind: SourceOf) -> tuple[str, ...]:
        """Return the pieces behind which such a source stands."""
        return tuple(name for name, piece in self.pieces.items() if piece.source is kind)
