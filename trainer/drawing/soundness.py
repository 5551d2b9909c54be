"""What can be wrong with shapes, found by looking at them: overlaps, outlines that cross themselves, look-alikes."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import TYPE_CHECKING

from trainer.drawing.pieces import piece_of, turned_over
from trainer.drawing.regions import overlap
from trainer.procedure.shapes import Look

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.curves import Curve
    from trainer.drawing.piece import Piece
    from trainer.procedure.shapes import Outline, Shape, Shapes

# Less than this is a rounding of the drawing, in mm².
NOTHING = 0.3
FORMS = (
    "profile",
    "mirror_of",
    "body",
    "oring",
    "spring",
    "stud",
    "nut",
    "bolt",
    "castle_nut",
    "pin",
    "plug",
    "tube",
)


@lru_cache(maxsize=2048)
def drawn(shape: Shape) -> Piece | None:
    """Return the piece of a shape, or None when it has no form."""
    return piece_of(shape)


def overlaps(shapes: Shapes) -> tuple[tuple[str, str, float], ...]:
    """Return pairs of cut parts that take up the same room, and how much, in mm².

    Rubber may be squeezed. What is drawn whole is not looked at: a thread lies in its hole, a shaft in its nut.
    """
    return _overlaps(tuple(s for s in shapes.shapes.values() if not s.whole and s.look is not Look.RUBBER))


@lru_cache(maxsize=64)
def _overlaps(solid: tuple[Shape, ...]) -> tuple[tuple[str, str, float], ...]:
    # To ask what is kept of each pair takes longer than anything else when a drawing is checked once more.
    areas = ((one.id, other.id, shared(one, other)) for one, other in combinations(solid, 2))
    return tuple(found for found in areas if found[2] > NOTHING)


@lru_cache(maxsize=8192)
def shared(one: Shape, other: Shape) -> float:
    """Return the area that two shapes share, in mm²."""
    a, b = drawn(one), drawn(other)
    if a is None or b is None or not a.faces or not b.faces:
        return 0.0
    return overlap(a.face_loops, b.face_loops)


@lru_cache(maxsize=1024)
def looks_the_same_turned(shape: Shape) -> bool:
    """Tell whether a shape upside down cannot be told from itself."""
    piece = drawn(shape)
    if piece is None or not piece.faces:
        return False
    other = turned_over(shape, piece)
    lines = ("fine", "over", "openings")
    if any(_places(getattr(piece, name)) != _places(getattr(other, name)) for name in lines):
        return False
    return overlap(piece.face_loops, other.face_loops) > 0.995 * piece.area


def _places(curves: Sequence[Curve]) -> set[tuple[tuple[float, float], ...]]:
    return {tuple(sorted((round(x, 1), round(z, 1)) for x, z in curve.points)) for curve in curves}


@lru_cache(maxsize=1024)
def crosses_itself(outline: Outline) -> bool:
    """Tell whether an outline crosses itself, its corners taken as sharp."""
    points = [(r, z) for r, z, _ in outline]
    sides = [(points[n - 1], point) for n, point in enumerate(points)]
    count = len(sides)
    return any(
        _cross(*sides[i], *sides[j])
        for i in range(count)
        for j in range(i + 2, count)
        if not (i == 0 and j == count - 1)
    )


def _cross(
    a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]
) -> bool:
    """Tell whether two sides cross, not merely touch."""

    def turn(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return turn(a, b, c) * turn(a, b, d) < -1e-9 and turn(c, d, a) * turn(c, d, b) < -1e-9
