"""The half section: left of the axis the outside of what can be seen, right of it the cut."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.drawing.paint_order import paint_order
from trainer.drawing.painter import paint
from trainer.drawing.pieces.outside import seen_from_outside
from trainer.drawing.regions import deepest, inside
from trainer.drawing.scene import Placed
from trainer.drawing.svg import number, path, tag

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.drawing.curves import Curve, Point
    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Loop
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Sheet, Weight


def outside_left(
    machine: Scene, sheet: Sheet, weight: Weight, prefix: str, tokens: Mapping[str, str] | None
) -> str:
    """Return the half section."""
    halves = [Placed(_right_half(piece)) for piece in machine.pieces.values()]
    cut = paint(machine, halves, sheet, weight, tokens=tokens)
    outside = []
    for name in nearest_last(machine):
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


def nearest_last(machine: Scene) -> list[str]:
    """Return all things as they are painted from outside: the one that reaches farthest is the nearest.

    That is the order of the section backwards, but for what is drawn whole.
    """
    placed = [Placed(piece) for piece in machine.pieces.values()]
    painted = [item.base for item in paint_order(placed)]
    # What is drawn whole anyway keeps its order: a nut lies before its stud from every side.
    whole = sorted((piece for piece in painted if piece.whole), key=lambda piece: not piece.on_circle)
    return [piece.id for piece in (*whole, *(piece for piece in painted[::-1] if not piece.whole))]


def spots_outside(machine: Scene) -> dict[str, Point]:
    """Return a spot left of the axis for each thing that can be seen there from outside."""
    loops = {
        name: [
            curve.points
            for curves, _ in seen_from_outside(machine.shapes.shapes[name], piece)
            for curve in curves
        ]
        for name, piece in machine.pieces.items()
    }
    names = nearest_last(machine)
    found: dict[str, Point] = {}
    for place, name in enumerate(names):
        nearer = [loop for other in names[place + 1 :] for loop in loops[other]]

        def seen(x: float, z: float, nearer: list[Loop] = nearer) -> bool:
            return not any(inside((loop,), x, z) for loop in nearer)

        spot = deepest(loops[name], -1, seen) if loops[name] else None
        if spot is not None:
            found[name] = spot
    return found
