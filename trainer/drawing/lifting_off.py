"""How far a thing is moved away in a picture, so that it is seen apart from what stays."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.regions import column_spans
from trainer.drawing.scene import Placed, box_of
from trainer.procedure.shapes import Toward

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Scene

# Columns in which tops and bottoms are compared, in mm; off the whole numbers that edges like to stand on.
_COLUMN = 2.03
_GAP = 7.0


def shift(machine: Scene, moving: Sequence[str], standing: Iterable[str], within: Box) -> tuple[float, float]:
    """Return by how much things are moved, in mm across and up.

    Args:
        machine: the machine.
        moving: what comes off; the first of them that has a shape says which way.
        standing: what stays.
        within: what must hold it, as far as that can be.
    """
    drawn = [name for name in moving if name in machine.pieces]
    if not drawn:
        return 0.0, 0.0
    rest = [machine.pieces[name] for name in standing if name in machine.pieces and name not in drawn]
    toward = machine.shapes.shapes[_leader(machine, drawn)].leaves
    pieces = [machine.pieces[name] for name in drawn]
    x0, z0, x1, z1 = box_of(Placed(piece) for piece in pieces)
    if toward in (Toward.LEFT, Toward.RIGHT):
        smallest = min(piece.box[2] - piece.box[0] for piece in pieces)
        wanted = max(smallest, _past_sets(rest, (x0, z0, x1, z1), right=toward is Toward.RIGHT)) + _GAP
        room = within[2] - x1 if toward is Toward.RIGHT else x0 - within[0]
        dx, _ = toward.step
        return dx * min(max(room, 0.0), wanted), 0.0
    up = toward is Toward.UP
    least = 0.07 * (within[3] - within[1])
    wanted = max(least, _clear(pieces, rest, up=up), _out_of(pieces, rest, up=up))
    room = within[3] - z1 if up else z0 - within[1]
    return 0.0, (1 if up else -1) * max(min(wanted, room), 0.0)


def _past_sets(rest: Iterable[Piece], box: Box, *, right: bool) -> float:
    """Return how far a thing must go sideways until it is past the studs that stand round the machine."""
    need = 0.0
    for other in rest:
        if other.on_circle and other.box[1] < box[3] and other.box[3] > box[1]:
            need = max(need, other.box[2] - box[0] if right else box[2] - other.box[0])
    return need


def _leader(machine: Scene, drawn: Sequence[str]) -> str:
    """Return the largest of what moves: it says which way."""
    return max(drawn, key=lambda name: (_size(machine.pieces[name].box), name))


def _size(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _clear(pieces: Sequence[Piece], rest: Sequence[Piece], *, up: bool) -> float:
    """Return how far things must go until nothing that stays is in their way, column by column."""
    loops = [loop for piece in pieces for loop in piece.face_loops]
    others = [loop for piece in rest for loop in piece.face_loops]
    x0, _, x1, _ = box_of(Placed(piece) for piece in pieces)
    need = 0.0
    for n in range(int((x1 - x0) / _COLUMN) + 1):
        x = x0 + 0.4 + n * _COLUMN
        own, other = column_spans(loops, x), column_spans(others, x)
        if own and other:
            if up:
                need = max(need, *(b - own[0][0] for a, b in other if b > own[0][0] + 0.3), 0.0)
            else:
                need = max(need, *(own[-1][1] - a for a, b in other if a < own[-1][1] - 0.3), 0.0)
    return need + _GAP if need else 0.0


def _out_of(pieces: Sequence[Piece], rest: Sequence[Piece], *, up: bool) -> float:
    """Return how far things must go until they are out of what surrounds them."""
    _, low, _, high = box_of(Placed(piece) for piece in pieces)
    widest = max(abs(x) for piece in pieces for x in (piece.box[0], piece.box[2]))
    need = 0.0
    for other in rest:
        if other.on_circle or other.whole:
            continue
        o0, o_low, o1, o_high = other.box
        if o_low < high and o_high > low and max(abs(o0), abs(o1)) > widest:
            inner_top = _top_near(other, widest) if up else _bottom_near(other, widest)
            need = max(need, inner_top - low if up else high - inner_top)
    return need + _GAP if need > 0 else 0.0


def _top_near(piece: Piece, r: float) -> float:
    """Return the top of a surrounding piece just outside a radius."""
    spans = [span for x in (r + 1.5, -r - 1.5) for span in column_spans(piece.face_loops, x)]
    return max((b for _, b in spans), default=piece.box[3])


def _bottom_near(piece: Piece, r: float) -> float:
    spans = [span for x in (r + 1.5, -r - 1.5) for span in column_spans(piece.face_loops, x)]
    return min((a for a, _ in spans), default=piece.box[1])
