"""What a file says of shapes, for all sizes, and how it is worked out for one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from trainer.procedure.blocks import SizedValue
from trainer.procedure.measures import Measure
from trainer.procedure.shapes import (
    Body,
    Coil,
    Column,
    Cut,
    Feature,
    Flow,
    Hexagon,
    Holes,
    Look,
    Outline,
    Outside,
    Pin,
    Plug,
    Ring,
    Screw,
    Shape,
    Shapes,
    Space,
    Stub,
    Thread,
    Toward,
    Tube,
    Turn,
    Windows,
    look_of,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

Values = dict[str, Any]


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
        lies=values.get("lies"),
        level=values.get("level", 0.0),
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
