"""The shapes of a machine at one size as plain values: what every picture of a procedure is drawn from.

Millimetres throughout. `r` counts from the main axis, `z` upwards.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

# A corner of an outline: r (or x), z, and the radius with which the corner is rounded.
Corner = tuple[float, float, float]
Outline = tuple[Corner, ...]
Point = tuple[float, float]
Span = tuple[float, float]


class Look(StrEnum):
    """What a material looks like in a section: its hatch and its tone."""

    CAST = "cast"
    STEEL = "steel"
    STAINLESS = "stainless"
    BRONZE = "bronze"
    CLEAR = "clear"
    RUBBER = "rubber"
    PTFE = "ptfe"
    GASKET = "gasket"
    SPRING = "spring"


# The first word that a material contains decides; `cast stainless steel` is drawn as a casting.
_LOOK_OF_WORD = (
    ("cast", Look.CAST),
    ("iron", Look.CAST),
    ("clear", Look.CLEAR),
    ("glass", Look.CLEAR),
    ("bronze", Look.BRONZE),
    ("brass", Look.BRONZE),
    ("ptfe", Look.PTFE),
    ("plastic", Look.PTFE),
    ("nitrile", Look.RUBBER),
    ("rubber", Look.RUBBER),
    ("spring", Look.SPRING),
    ("gasket", Look.GASKET),
    ("fibre", Look.GASKET),
    ("stainless", Look.STAINLESS),
)


def look_of(material: str) -> Look:
    """Return the look of a material as it is called in the parts list; steel unless a word says otherwise."""
    return next((look for word, look in _LOOK_OF_WORD if word in material.lower()), Look.STEEL)


class Toward(StrEnum):
    """A direction in the picture."""

    UP = "up"
    DOWN = "down"
    LEFT = "left"
    RIGHT = "right"

    @property
    def step(self) -> Point:
        """One mm in this direction as x, z."""
        return {"up": (0.0, 1.0), "down": (0.0, -1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}[self.value]


class Side(StrEnum):
    """A side of the main axis."""

    LEFT = "left"
    RIGHT = "right"
    BOTH = "both"


@dataclass(frozen=True)
class Cut:
    """An opening that the cutting plane meets, as a rectangle; drawn with a thread when it has one."""

    z: Span
    r: Span | None = None
    x: Span | None = None
    side: Side = Side.BOTH
    thread: bool = False
    hole: bool = False


@dataclass(frozen=True)
class Windows:
    """Equal openings round a sleeve: how many, their heights, their width and where the first one stands."""

    n: int
    z: Span
    width: float
    phase: float = 0.0


@dataclass(frozen=True)
class Thread:
    """A thread on the outside: crest radius, root radius and the heights between which it runs."""

    r: float
    root: float
    z: Span


@dataclass(frozen=True)
class Hexagon:
    """The part of a turned body that is a hexagon: across flats, and its heights."""

    af: float
    z: Span


@dataclass(frozen=True)
class Ring:
    """An O-ring: radius to the middle of its cord, the cord, and the groove that squeezes it from r to r."""

    r: float
    d: float
    groove: Span | None = None


@dataclass(frozen=True)
class Coil:
    """A helical spring: radius to the middle of the wire, the wire, length as fitted, number of coils."""

    r: float
    wire: float
    length: float
    coils: int
    top: float | None = None

    def radius(self, z: float) -> float:
        """Return the radius to the middle of the wire at a height of its own."""
        return self.r if self.top is None else self.r + (self.top - self.r) * z / self.length


@dataclass(frozen=True)
class Screw:
    """A stud, nut, bolt or castle nut: thread, across flats, heights, and the circle that a set stands on.

    `r` is 0 for one on the main axis. `engaged` is how deep a stud sits; `slot` is width and height of a slot.
    """

    form: str
    d: float
    r: float = 0.0
    af: float = 0.0
    h: float = 0.0
    length: float = 0.0
    engaged: float = 0.0
    slot: Span = (0.0, 0.0)
    slots: int = 0
    down: bool = False


@dataclass(frozen=True)
class Pin:
    """A split pin across the main axis: its thickness and the length between eye and legs."""

    d: float
    length: float


@dataclass(frozen=True)
class Plug:
    """A screw from the side: where its head sits, thread, length, head and across flats, bore through it."""

    seat: float
    d: float
    length: float
    head: float
    af: float
    bore: float = 0.0
    side: Side = Side.RIGHT
    azimuth: float = 0.0
    others: tuple[Span, ...] = ()


@dataclass(frozen=True)
class Tube:
    """A tube along a path of points, bent with a radius: outside and bore."""

    path: tuple[Corner, ...]
    d: float
    bore: float


@dataclass(frozen=True)
class Holes:
    """Holes on a circle, as seen from outside: the circle, the hole, how many, and the face that they open in."""

    r: float
    d: float
    n: int
    face: float
    phase: float = 0.0


@dataclass(frozen=True)
class Stub:
    """A body turned about a level axis: a side connection as seen from outside.

    The outline is `[r from its own axis, distance from the main axis]`; azimuth 0 points to the right, 90 to the eye.
    """

    z: float
    profile: Outline
    azimuth: float = 0.0
    holes: tuple[Holes, ...] = ()


@dataclass(frozen=True)
class Outside:
    """How a body looks from outside where its own half-profile does not tell."""

    profiles: tuple[Outline, ...] = ()
    holes: tuple[Holes, ...] = ()
    stubs: tuple[Stub, ...] = ()


@dataclass(frozen=True)
class Body:
    """A body that is not turned: the cut faces as closed loops in x and z, and the edges seen behind them."""

    loops: tuple[Outline, ...]
    edges: tuple[tuple[float, float, float, float], ...] = ()
    curves: tuple[tuple[Point, ...], ...] = ()


@dataclass(frozen=True)
class Turn:
    """What a part does when it lies the wrong way round.

    It is turned about `about`, a height of its own; `moves` slide along the axis until they touch it, and `without`
    cannot be fitted then. `close_up` is the spot and the reach that a picture of it shows.
    """

    about: float | None = None
    close_up: tuple[float, float, float] | None = None
    moves: tuple[str, ...] = ()
    without: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shape:
    """The shape of a part, a fastener or a line at one size; exactly one of the forms is given.

    `z` of its outline counts from `at`; `flipped` mirrors it about its own height 0. One that `lies` is turned about a level
    axis at the height `level`, which points to that side; its `z` counts outwards from the main axis.
    """

    id: str
    look: Look
    at: float = 0.0
    count: int = 1
    profile: Outline = ()
    left: Outline = ()
    body: Body | None = None
    ring: Ring | None = None
    coil: Coil | None = None
    screw: Screw | None = None
    pin: Pin | None = None
    plug: Plug | None = None
    tube: Tube | None = None
    lies: Side | None = None
    level: float = 0.0
    flipped: bool = False
    whole: bool = False
    split: bool = False
    cuts: tuple[Cut, ...] = ()
    windows: Windows | None = None
    threads: tuple[Thread, ...] = ()
    marks: tuple[float, ...] = ()
    hexagon: Hexagon | None = None
    outside: Outside | None = None
    label_at: Point | None = None
    leaves: Toward = Toward.UP
    turn: Turn = field(default_factory=Turn)


@dataclass(frozen=True)
class Space:
    """A space that can hold gas, as a half-profile or as loops in x and z, and the energies that it holds."""

    id: str
    name: str
    profile: Outline
    holds: tuple[str, ...]
    loops: tuple[Outline, ...] = ()


@dataclass(frozen=True)
class Feature:
    """A spot that has a name but no item number."""

    name: str
    at: Point


@dataclass(frozen=True)
class Flow:
    """An arrow that tells which way the gas goes."""

    name: str
    at: Point
    toward: Toward


@dataclass(frozen=True)
class Column:
    """A sub-assembly, drawn apart: its things from top to bottom."""

    name: str
    things: tuple[str, ...]


@dataclass(frozen=True)
class Shapes:
    """All shapes of a machine at one size."""

    size: str
    shapes: Mapping[str, Shape]
    spaces: Mapping[str, Space]
    features: tuple[Feature, ...]
    flows: tuple[Flow, ...]
    columns: tuple[Column, ...]
