"""From a shape to the piece that is drawn, a file a form."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.pieces.across import pin_piece, plug_piece, tube_piece
from trainer.drawing.pieces.bodies import body_piece
from trainer.drawing.pieces.screws import screw_piece
from trainer.drawing.pieces.turned import ring_piece, turned_piece
from trainer.drawing.pieces.wound import coil_piece
from trainer.procedure.shapes import Side

if TYPE_CHECKING:
    from trainer.drawing.piece import Piece
    from trainer.procedure.shapes import Shape


def piece_of(shape: Shape) -> Piece | None:
    """Return the piece of a shape, or None when the shape has no form that could be drawn."""
    piece = _upright(shape)
    if piece is None or shape.lies is None:
        return piece
    return piece.laid(-1 if shape.lies is Side.LEFT else 1, shape.level)


def turned_over(shape: Shape, piece: Piece) -> Piece:
    """Return a piece the wrong way round: upside down, or end for end when it lies; half way unless its shape says."""
    x0, low, x1, high = piece.box
    said = shape.turn.about
    own = None if said is None else shape.at + (-said if shape.flipped else said)
    if shape.lies is None:
        return piece.upturned((low + high) / 2 if own is None else own)
    side = -1 if shape.lies is Side.LEFT else 1
    return piece.reversed((x0 + x1) / 2 if own is None else side * own)


def _upright(shape: Shape) -> Piece | None:
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
