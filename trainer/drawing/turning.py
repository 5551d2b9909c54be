"""Parts the wrong way round: turned where they lie, their neighbours settled, so that the picture shows what follows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.pieces import turned_over
from trainer.drawing.regions import overlap
from trainer.drawing.scene import Placed

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Loop
    from trainer.drawing.scene import Scene

# Overlap that is taken for touching, in mm², and how far a neighbour may slide, in mm.
_TOUCH = 0.6
_STEP = 0.1
_FARTHEST = 90.0


def turned_piece(machine: Scene, part: str) -> Piece:
    """Return a part the wrong way round where it lies."""
    return turned_over(machine.shapes.shapes[part], machine.pieces[part])


def turned(machine: Scene, parts: Collection[str]) -> list[Placed]:
    """Return everything with some parts the wrong way round and their neighbours where that leaves them."""
    pieces = dict(machine.pieces)
    shifts = dict.fromkeys(pieces, 0.0)
    for part in machine.pieces:
        if part in parts:
            turn = machine.shapes.shapes[part].turn
            pieces[part] = turned_piece(machine, part)
            for name in turn.without:
                pieces.pop(name, None)
            moves = [name for name in turn.moves if name in pieces]
            settled = settle(pieces[part], [pieces[name].moved(0.0, shifts[name]) for name in moves])
            for name in moves:
                shifts[name] += settled
    return [Placed(piece, 0.0, shifts[name]) for name, piece in pieces.items()]


def settle(fixed: Piece, others: Sequence[Piece]) -> float:
    """Return how far others slide along the axis, as one, until they just touch a piece.

    What overlaps it is pushed away; what stands off comes nearer until it lands.
    """
    if not others:
        return 0.0
    loops = [loop for piece in others for loop in piece.face_loops]
    middle = sum(piece.middle[1] for piece in others) / len(others)
    away = 1.0 if middle >= fixed.middle[1] else -1.0
    pressed = overlap(fixed.face_loops, loops) > _TOUCH
    moved = 0.0
    while abs(moved) < _FARTHEST:
        ahead = moved + (away if pressed else -away) * _STEP
        touching = overlap(fixed.face_loops, _shifted(loops, ahead)) > _TOUCH
        if pressed and not touching:
            return ahead
        if not pressed and touching:
            return moved
        moved = ahead
    return 0.0


def _shifted(loops: Sequence[Loop], dz: float) -> list[Loop]:
    return [tuple((x, z + dz) for x, z in loop) for loop in loops]
