"""The shapes of a machine as plain values: what every picture of a procedure is drawn from.

Millimetres throughout. `r` counts from the main axis, `z` upwards. `Geometry` is what the file says for all sizes;
`Geometry.at` works it out for one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from trainer.procedure.measures import Measure
from trainer.procedure.values import SizedValue

if TYPE_CHECKING:
    from collections.abc import Mapping

Values = dict[str, Any]
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

    `z` of its outline counts from `at`; `flipped` mirrors it about its own height 0.
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


@dataclass(frozen=True)
class Geometry:
    """What a file says of shapes, for all sizes; values as read."""

    shapes: Mapping[str, Values] = field(default_factory=dict)
    drawing: Values = field(default_factory=dict)

    def __bool__(self) -> bool:
        """Tell whether there is anything to draw."""
        return bool(self.shapes)

    def at(self, size: str, counts: Mapping[str, int], materials: Mapping[str, str]) -> Shapes:
        """Return the shapes at a size; one that names an unknown dimension is left out.

        Args:
            size: the size on the bench.
            counts: how many there are of each thing.
            materials: what each thing is made of, where the file says it.
        """
        scale = _sized(self.drawing.get("scale"), size) or 1.0
        dimensions = _dimensions(self.drawing.get("dimensions", {}), size, scale)
        shapes: dict[str, Shape] = {}
        for name, written in self.shapes.items():
            values = _resolved(self._with_mirrored(written), dimensions, scale, size)
            if values is not None:
                look = values.get("look") or _default_look(values, materials.get(name, ""))
                shapes[name] = _shape(name, values, look, counts.get(name, 1))
        drawn = {key: value for key, value in self.drawing.items() if key in _DRAWN}
        drawing = _resolved(drawn, dimensions, scale, size) or {}
        return Shapes(
            size=size,
            shapes=shapes,
            spaces={n: _space(n, v) for n, v in drawing.get("spaces", {}).items()},
            features=tuple(Feature(**v) for v in drawing.get("features", ()) if {"name", "at"} <= v.keys()),
            flows=tuple(Flow(**v) for v in drawing.get("flows", ()) if {"name", "at", "toward"} <= v.keys()),
            columns=tuple(
                Column(v.get("name", ""), v.get("parts", ())) for v in self.drawing.get("explode", ())
            ),
        )

    def _with_mirrored(self, written: Values) -> Values:
        """Return a shape with the outline of the one that it mirrors."""
        other = self.shapes.get(written.get("mirror_of", ""), {})
        if "mirror_of" not in written or "profile" not in other:
            return written
        flipped = not other.get("flipped", False)
        return {**other, "flipped": flipped, **{k: v for k, v in written.items() if k != "mirror_of"}}


_DRAWN = ("spaces", "features", "flows")
_FORMS = ("stud", "nut", "bolt", "castle_nut")


def _sized(value: SizedValue | None, size: str) -> Any:
    if value is None:
        return None
    return value.common if value.common is not None else value.each.get(size)


def _dimensions(written: Mapping[str, SizedValue], size: str, scale: float) -> dict[str, float]:
    """Return the named dimensions at a size, in mm: scaled when given once, as they stand when given by size."""
    known: dict[str, float] = {}
    for name, value in written.items():
        measure = _sized(value, size)
        if isinstance(measure, Measure) and set(measure.names()) <= known.keys():
            known[name] = measure.at(known, scale if value.common is not None else 1.0)
    return known


def _resolved(values: Values, dimensions: dict[str, float], scale: float, size: str) -> Values | None:
    """Return the values with every measure worked out, or None when a dimension is missing."""

    def plain(value: Any) -> Any:
        if isinstance(value, Measure):
            return value.at(dimensions, scale)
        if isinstance(value, SizedValue):
            return value.common if value.common is not None else value.each[size]
        if isinstance(value, dict):
            return {key: plain(item) for key, item in value.items()}
        if isinstance(value, tuple):
            return tuple(plain(item) for item in value)
        return value

    try:
        return {key: plain(item) for key, item in values.items()}
    except KeyError:
        return None


def _outline(corners: tuple[tuple[float, ...], ...]) -> Outline:
    return tuple((c[0], c[1], c[2] if len(c) > 2 else 0.0) for c in corners)


def _default_look(values: Values, material: str) -> Look:
    if "oring" in values:
        return Look.RUBBER
    return Look.SPRING if "spring" in values else look_of(material)


def _made(kind: type, values: Values | None, needed: tuple[str, ...], **more: Any) -> Any:
    """Return a value of a kind, or None when the file does not say enough."""
    if values is None or not set(needed) <= values.keys():
        return None
    return kind(**{**values, **more})


def _screw(values: Values) -> Screw | None:
    for form in _FORMS:
        said = values.get(form)
        if said is not None and "d" in said:
            own = dict(said)
            down = own.pop("dir", Toward.UP) is Toward.DOWN
            return Screw(form=form, down=down, **own)
    return None


def _outside(values: Values | None) -> Outside | None:
    if values is None:
        return None
    return Outside(
        profiles=tuple(_outline(o) for o in values.get("profiles", ())),
        holes=_holes(values),
        stubs=tuple(
            Stub(s["z"], _outline(s["profile"]), s.get("azimuth", 0.0), _holes(s))
            for s in values.get("stubs", ())
            if {"z", "profile"} <= s.keys()
        ),
    )


def _holes(values: Values) -> tuple[Holes, ...]:
    return tuple(Holes(**h) for h in values.get("holes", ()) if {"r", "d", "n", "face"} <= h.keys())


def _body(values: Values | None) -> Body | None:
    if not values or "loops" not in values:
        return None
    return replace(
        Body(tuple(_outline(loop) for loop in values["loops"])),
        edges=values.get("edges", ()),
        curves=values.get("curves", ()),
    )


def _tube(values: Values | None) -> Tube | None:
    if not values or not {"path", "d"} <= values.keys():
        return None
    return Tube(_outline(values["path"]), values["d"], values.get("bore", values["d"] * 0.6))


def _shape(name: str, values: Values, look: Look, count: int) -> Shape:
    uncut = any(form in values for form in (*_FORMS, "pin", "plug"))
    return Shape(
        id=name,
        look=look,
        at=values.get("at", 0.0),
        count=count,
        profile=_outline(values.get("profile", ())),
        left=_outline(values.get("left", ())),
        body=_body(values.get("body")),
        ring=_made(Ring, values.get("oring"), ("r", "d")),
        coil=_made(Coil, values.get("spring"), ("r", "wire", "length", "coils")),
        screw=_screw(values),
        pin=_made(Pin, values.get("pin"), ("d", "length")),
        plug=_made(Plug, values.get("plug"), ("seat", "d", "length", "head", "af")),
        tube=_tube(values.get("tube")),
        flipped=values.get("flipped", False),
        whole=values.get("whole", uncut),
        split=values.get("split", False),
        cuts=tuple(Cut(**cut) for cut in values.get("cuts", ()) if "z" in cut and ("r" in cut or "x" in cut)),
        windows=_made(Windows, values.get("windows"), ("n", "z", "width")),
        threads=tuple(Thread(**t) for t in values.get("threads", ()) if {"r", "root", "z"} <= t.keys()),
        marks=values.get("marks", ()),
        hexagon=_made(Hexagon, values.get("hex"), ("af", "z")),
        outside=_outside(values.get("outside")),
        label_at=values.get("label_at"),
        leaves=values.get("leaves", Toward.UP),
        turn=Turn(**values.get("turn", {})),
    )


def _space(name: str, values: Values) -> Space:
    spoken = name.replace("_", " ").capitalize()
    return Space(
        name,
        values.get("name", spoken),
        _outline(values.get("profile", ())),
        values.get("holds", ()),
        tuple(_outline(loop) for loop in values.get("loops", ())),
    )
