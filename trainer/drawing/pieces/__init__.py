"""From a shape to the piece that is drawn, a file a form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.pieces.across import pin_piece, plug_piece, tube_piece
from trainer.drawing.pieces.bodies import body_piece
from trainer.drawing.pieces.screws import screw_piece
from trainer.drawing.pieces.turned import ring_piece, turned_piece
from trainer.drawing.pieces.wound import coil_piece

if TYPE_CHECKING:
    from trainer.drawing.piece import Piece
    from trainer.procedure.shapes import Shape


def piece_of(shape: Shape) -> Piece | None:
    """Return the piece of a shape, or None when the shape has no form that could be drawn."""
    if shape.body is not None:
        return body_piece(shape, shape.body)
    if shape.ring is not None:
        return ring_piece(shape, shape.ring)
    if shape.coil is not None:
        return coil_piece(shape, shape.coil)
    if shape.screw is not None:
        return screw_piece(shape, shape.screw)
    if shape.pin is not None:
        return pin_piece(shape, shape.pin)
    if shape.plug is not None:
        return plug_piece(shape, shape.plug)
    if shape.tube is not None:
        return tube_piece(shape, shape.tube)
    return turned_piece(shape) if len(shape.profile) > 2 else None
