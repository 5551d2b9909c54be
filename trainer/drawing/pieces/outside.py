"""How a thing looks from outside, in the flat: its silhouette and the edges round it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.pieces.turned import silhouette_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.drawing.curves import Curve
    from trainer.drawing.piece import Piece
    from trainer.procedure.shapes import Shape


def seen_from_outside(shape: Shape, piece: Piece) -> Iterator[tuple[tuple[Curve, ...], tuple[Curve, ...]]]:
    """Yield outlines and edges, from back to front."""
    if shape.lies is not None:
        yield piece.cover, ()
        return
    if piece.whole:
        yield (*piece.faces, *piece.over), piece.edges
        return
    if len(shape.left) > 2:
        yield silhouette_of(shape.left, shape)
        return
    if shape.outside is not None and shape.outside.profiles:
        for profile in shape.outside.profiles:
            yield silhouette_of(profile, shape, closed_at_axis=True)
        return
    if len(shape.profile) > 2:
        yield silhouette_of(shape.profile, shape)
    elif piece.cover:
        yield piece.cover, ()
