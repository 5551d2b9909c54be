"""A thing as it is drawn in the section: what hides, what is cut, what is seen behind, and where it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from trainer.drawing.regions import bounds, crossings, signed_area

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.drawing.curves import Curve, Point
    from trainer.drawing.regions import Box, Loop
    from trainer.procedure.shapes import Look


@dataclass(frozen=True)
class Piece:
    """The curves of one thing, in mm where it belongs; they are painted in the order in which they stand here.

    cover: hides what lies behind it. behind: bands seen behind the plane, with an outline. edges: edges seen behind
    the plane. faces: cut faces, or the outline of what is drawn whole. openings: holes in the cut faces. fine: thread
    roots and scribed lines. over: outlines in front, such as slots. axes: centre lines. `on_circle`: a set turned into
    the plane. `through`: it passes through others and is hidden by what is drawn whole.
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

    def changed(self, change: Callable[[Curve], Curve]) -> Piece:
        """Return the piece with every curve changed."""
        each = {name: tuple(change(curve) for curve in getattr(self, name)) for name in _CURVES}
        return Piece(self.id, self.look, self.whole, self.on_circle, self.through, **each)

    def moved(self, dx: float, dz: float) -> Piece:
        """Return the piece elsewhere."""
        return self.changed(lambda curve: curve.moved(dx, dz)) if dx or dz else self

    def upturned(self, about: float) -> Piece:
        """Return the piece upside down about a height in the machine."""
        return self.changed(lambda curve: curve.upturned(about))

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
