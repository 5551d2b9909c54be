"""Helical springs in section: cut coils as discs, the far half of each coil as a slanted band.

Source: ISO 2162-1, Technical product documentation, springs, simplified representation; cited from memory.
"""

from __future__ import annotations

from math import hypot
from typing import TYPE_CHECKING

from trainer.drawing.curves import circle, polygon
from trainer.drawing.piece import Piece

if TYPE_CHECKING:
    from trainer.drawing.curves import Curve
    from trainer.procedure.shapes import Coil, Shape


def heights(coil: Coil) -> list[float]:
    """Return the height of the wire at each half turn, from the bottom; the first and the last coil lie closed."""
    halves = 2 * coil.coils
    closed = 2 if coil.coils > 3 else 0
    free = halves - 2 * closed
    rest = coil.length - coil.wire - 2 * closed * coil.wire / 2
    steps = [coil.wire / 2] * closed + [rest / free] * free + [coil.wire / 2] * closed
    found = [coil.wire / 2]
    for step in steps:
        found.append(found[-1] + step)
    return found


def coil_piece(shape: Shape, coil: Coil) -> Piece:
    """Return a spring, right-handed: its far halves fall from left to right."""
    levels = [shape.at + z for z in heights(coil)]
    discs, bands = [], []
    for n, z in enumerate(levels):
        side = 1 if n % 2 == 0 else -1
        discs.append(circle(side * coil.radius(z - shape.at), z, coil.wire / 2))
        if n % 2 == 0 and n + 1 < len(levels):
            bands.append(_band(coil, shape.at, z, levels[n + 1]))
    return Piece(id=shape.id, look=shape.look, behind=tuple(bands), faces=tuple(discs))


def _band(coil: Coil, at: float, right: float, left: float) -> Curve:
    start, end = coil.radius(right - at), coil.radius(left - at)
    dx, dz = -start - end, left - right
    length = hypot(dx, dz)
    nx, nz = -dz / length * coil.wire / 2, dx / length * coil.wire / 2
    return polygon(
        [
            (start + nx, right + nz),
            (-end + nx, left + nz),
            (-end - nx, left - nz),
            (start - nx, right - nz),
        ]
    )
