"""A thing as it is drawn in the section: what hides, what is cut, what is seen behind, and where it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any

from trainer.drawing.regions import bounds, crossings, signed_area

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from trainer.drawing.curves import Curve, Point
    from trainer.drawing.regions import Box, Loop
    from trainer.procedure.shapes import Look


@dataclass(frozen=True)
class Piece:
    """The curves of one thing, in mm where it belongs; they are painted in the order in which they stand here.

    cover: hides what lies behind it. behind: bands seen behind the plane, with an outline. edges: edges seen behind
    the plane. faces: cut faces, or the outline of what is drawn whole. openings: holes in the cut faces. fine: thread
    roots and scribed lines. over: outlines in front, such as slots. axes: centre lines. `on_circle`: a set turned into
    the plane. `through`: it passes through others and is hidden by what is drawn whole. `lying`: the piece as it would
    stand upright, when it lies on its side, and that side, 1 right or -1 left.
    """

    id: str
    look: Look
    whole: bool = False
    on_circle: bool = False
    through: bool = False
    cover: tuple[Curve, ...] = ()
    behind: tuple[Curve, ...] = ()
    edges: tuple[Curve, ...] = ()
    faces: tuple[Curve, ...] = ()
    openings: tuple[Curve, ...] = ()
    fine: tuple[Curve, ...] = ()
    over: tuple[Curve, ...] = ()
    axes: tuple[Curve, ...] = ()
    lying: tuple[Piece, int] | None = None

    def changed(self, change: Callable[[Curve], Curve]) -> Piece:
        """Return the piece with every curve changed."""
        return self._with({name: tuple(map(change, getattr(self, name))) for name in _CURVES})

    def _with(self, curves: Mapping[str, tuple[Curve, ...]]) -> Piece:
        """Return the same thing with other curves, named as the fields are."""
        own: dict[str, Any] = {**curves, "lying": None}
        return replace(self, **own)

    def moved(self, dx: float, dz: float) -> Piece:
        """Return the piece elsewhere."""
        return self.changed(lambda curve: curve.moved(dx, dz)) if dx or dz else self

    def upturned(self, about: float) -> Piece:
        """Return the piece upside down about a height in the machine."""
        return self.changed(lambda curve: curve.upturned(about))

    def laid(self, side: int, level: float) -> Piece:
        """Return the piece on its side at a height, its upper end to the right (1) or left (-1)."""
        return replace(self.changed(lambda curve: curve.laid(side, level)), lying=(self, side))

    def reversed(self, about: float) -> Piece:
        """Return the piece with left and right exchanged about a distance from the main axis."""
        return self.changed(lambda curve: curve.mirrored().moved(2 * about, 0.0))

    def parted(self, near: Box) -> tuple[Piece, Piece]:
        """Return the curves that come near a rectangle, and the others."""
        x0, z0, x1, z1 = near

        def comes_near(curve: Curve) -> bool:
            a0, b0, a1, b1 = bounds(curve.points)
            return a0 <= x1 and a1 >= x0 and b0 <= z1 and b1 >= z0

        halves = []
        for wanted in (True, False):
            each = {
                name: tuple(curve for curve in getattr(self, name) if comes_near(curve) is wanted)
                for name in _CURVES
            }
            halves.append(self._with(each))
        return halves[0], halves[1]

    @cached_property
    def face_loops(self) -> tuple[Loop, ...]:
        """The cut faces as polygons, with the openings: counted even and odd they are what is solid."""
        return tuple(curve.points for curve in (*self.faces, *self.openings) if curve.closed)

    @cached_property
    def solid_loops(self) -> tuple[Loop, ...]:
        """What takes up room, as polygons."""
        return self.face_loops

    @cached_property
    def area(self) -> float:
        """The cut face in mm²."""
        whole = sum(abs(signed_area(curve.points)) for curve in self.faces if curve.closed)
        return whole - sum(abs(signed_area(curve.points)) for curve in self.openings)

    @cached_property
    def box(self) -> Box:
        """The rectangle that the piece takes up."""
        return bounds(p for name in _OUTER for curve in getattr(self, name) for p in curve.points)

    @cached_property
    def _hull(self) -> tuple[Loop, ...]:
        curves = (*self.cover, *self.faces, *self.over, *self.behind)
        return tuple(curve.points for curve in curves if curve.closed)

    @cached_property
    def _reaches(self) -> tuple[float, ...]:
        """How far the piece reaches at equally spaced heights of its box."""
        _, low, _, high = self.box
        step = (high - low) / _SLICES
        return tuple(self._reach_at(low + (n + 0.5) * step) for n in range(_SLICES))

    def _reach_at(self, z: float) -> float:
        return max((abs(x) for loop in self._hull for x in crossings((loop,), z)), default=0.0)

    def reach(self, z: float) -> float:
        """Return how far from the axis the piece reaches near a height; 0 where it is not."""
        _, low, _, high = self.box
        if not low <= z <= high or high <= low:
            return 0.0
        return self._reaches[min(_SLICES - 1, int((z - low) / (high - low) * _SLICES))]

    @property
    def middle(self) -> Point:
        """The middle of its box."""
        x0, z0, x1, z1 = self.box
        return (x0 + x1) / 2, (z0 + z1) / 2


_CURVES = ("cover", "behind", "edges", "faces", "openings", "fine", "over", "axes")
_SLICES = 64
_OUTER = ("cover", "behind", "faces", "over")


def joined(pieces: Sequence[Piece]) -> Piece:
    """Return pieces of one thing as one; the first says what it is."""
    each: dict[str, Any] = {
        name: tuple(curve for piece in pieces for curve in getattr(piece, name)) for name in _CURVES
    }
    return replace(pieces[0], **each)
