"""The half section: left of the axis the outside of what can be seen, right of it the cut."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.drawing.paint_order import paint_order
from trainer.drawing.painter import paint
from trainer.drawing.pieces.outside import seen_from_outside
from trainer.drawing.scene import Placed
from trainer.drawing.svg import number, path, tag

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drawing.curves import Curve
    from trainer.drawing.piece import Piece
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Sheet, Weight


def outside_left(
    machine: Scene, sheet: Sheet, weight: Weight, prefix: str, tokens: Mapping[str, str] | None
) -> str:
    """Return the half section."""
    placed = [Placed(piece) for piece in machine.pieces.values()]
    halves = [Placed(_right_half(piece)) for piece in machine.pieces.values()]
    cut = paint(machine, halves, sheet, weight, tokens=tokens)
    # From outside the nearest is the one that reaches farthest: the order of the section, backwards.
    names = [item.base.id for item in paint_order(placed)][::-1]
    outside = []
    for name in names:
        shape = machine.shapes.shapes[name]
        for curves, edges in seen_from_outside(shape, machine.pieces[name]):
            data = "".join(curve.data(sheet) for curve in curves)
            lines = "".join(curve.data(sheet) for curve in edges)
            token = (tokens or {}).get(name, name)
            outside.append(
                tag("g", path(data, "face"), path(lines, "edge"), class_="part whole", data_part=token)
            )
    axis = sheet.at(0.0, 0.0)[0]
    right, left = f"{prefix}-right", f"{prefix}-left"
    height = number(sheet.top * 2 + sheet.height)
    far = number(sheet.left * 2 + sheet.width)
    clips = tag(
        "defs",
        tag("clipPath", path(f"M{number(axis)} 0H{far}V{height}H{number(axis)}Z"), id=right),
        tag("clipPath", path(f"M0 0H{number(axis)}V{height}H0Z"), id=left),
    )
    return (
        clips
        + tag("g", cut, clip_path=f"url(#{right})")
        + tag("g", "".join(outside), clip_path=f"url(#{left})")
    )


def _right_half(piece: Piece) -> Piece:
    """Return a piece without the curves that lie left of the axis altogether."""

    def kept(curves: tuple[Curve, ...]) -> tuple[Curve, ...]:
        return tuple(curve for curve in curves if max(x for x, _ in curve.points) > 0)

    return replace(
        piece,
        faces=kept(piece.faces),
        openings=kept(piece.openings),
        edges=kept(piece.edges),
        fine=kept(piece.fine),
        over=kept(piece.over),
        axes=kept(piece.axes),
    )
