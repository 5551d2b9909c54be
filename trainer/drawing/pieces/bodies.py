"""Bodies that are not turned: cut faces as loops, edges and curves behind the plane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.curves import line, rounded
from trainer.drawing.piece import Piece
from trainer.drawing.pieces.openings import axes_of_stubs, hole_axes, openings, thread_lines

if TYPE_CHECKING:
    from trainer.procedure.shapes import Body, Shape


def body_piece(shape: Shape, body: Body) -> Piece:
    """Return a body that is not turned; it hides nothing, so it is painted before what is in it."""
    faces = tuple(rounded(loop).moved(0.0, shape.at) for loop in body.loops)
    edges = (
        *(line((x0, z0), (x1, z1)) for x0, z0, x1, z1 in body.edges),
        *(line(*curve) for curve in body.curves),
    )
    return Piece(
        id=shape.id,
        look=shape.look,
        whole=shape.whole,
        edges=tuple(edge.moved(0.0, shape.at) for edge in edges),
        faces=faces,
        openings=tuple(openings(shape, faces)),
        fine=tuple(thread_lines(shape)),
        axes=(*hole_axes(shape), *axes_of_stubs(shape)),
    )
