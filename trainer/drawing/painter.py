"""Painting pieces of a section: paper that hides, edges behind, cut faces with tone and hatch, threads, centre lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.hatch import CROSSED, LEAST, SPACING, Hatching, scan_lines
from trainer.drawing.paint_order import paint_order
from trainer.drawing.regions import bounds, clipped, length_round, signed_area
from trainer.drawing.svg import path, tag
from trainer.procedure.shapes import Look

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.drawing.curves import Curve
    from trainer.drawing.piece import Piece
    from trainer.drawing.scene import Placed, Scene
    from trainer.drawing.sheet import Sheet, Weight

# Thinner than this the face is solid black, thinner than that it has its tone alone, in px.
_BLACK, _TONE = 2.2, 4.0
_SOLID = (Look.GASKET, Look.SPRING)


def paint(
    scene: Scene,
    placed: Iterable[Placed],
    sheet: Sheet,
    weight: Weight,
    *,
    axes: bool = True,
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return the pieces painted from back to front, each a group that carries its id in `data-part`.

    Args:
        scene: the machine.
        placed: what is to be seen, and where.
        sheet: where it lies.
        weight: line widths and hatch spacing.
        axes: with the centre lines of holes and set screws.
        tokens: other names for `data-part`, where the id would give an answer away.
    """
    return "".join(
        paint_piece(item, sheet, weight, scene.hatching.get(item.base.id), axes=axes, tokens=tokens)
        for item in paint_order(list(placed))
    )


def paint_piece(
    item: Placed,
    sheet: Sheet,
    weight: Weight,
    hatching: Hatching | None,
    *,
    axes: bool = True,
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return one piece as a group."""
    piece = item.piece
    manner = _manner(piece, sheet, weight)
    edges, faces = path(_data(piece.edges, sheet), "edge"), path(_data(piece.faces, sheet), "face")
    content = [
        path(_data(piece.cover, sheet), "paper") if not piece.whole else "",
        path(_data(piece.behind, sheet), "behind"),
        # The edges of a cut part lie behind its faces, those of one drawn whole in front.
        *((faces, edges) if piece.whole else (edges, faces)),
        path(_hatch(piece, sheet, weight, hatching) if manner == "cut" else "", "hatch"),
        path(_data(piece.openings, sheet), "open"),
        path(_data(piece.fine, sheet) if weight.hatch else "", "fine"),
        path(_data(piece.over, sheet), "over"),
        path(_data(piece.axes, sheet) if axes and weight.hatch else "", "axis"),
    ]
    kinds = ["part", manner if manner != "cut" else "", piece.look.value, item.mark]
    name = (tokens or {}).get(piece.id, piece.id)
    return tag("g", *content, class_=" ".join(kind for kind in kinds if kind), data_part=name)


def _manner(piece: Piece, sheet: Sheet, weight: Weight) -> str:
    """Return how a piece is filled: whole, black, tone, or cut with tone and hatch."""
    if piece.whole:
        return "whole"
    if piece.look in _SOLID:
        return "black"
    if piece.look is Look.RUBBER:
        return "cut"
    thickness = thinness(piece) * sheet.scale
    # Without hatch the tones are all that is left, so only a sliver is blackened.
    black = _BLACK if weight.hatch else _BLACK / 2
    if thickness < black and piece.look is not Look.CLEAR:
        return "black"
    return "tone" if thickness < _TONE else "cut"


def thinness(piece: Piece) -> float:
    """Return how thick the cut faces are on the whole, in mm: twice the area over the outline."""
    area = sum(abs(signed_area(curve.points)) for curve in piece.faces)
    outline = sum(length_round(curve.points) for curve in piece.faces)
    return 2 * area / outline if outline else 0.0


def _data(curves: Iterable[Curve], sheet: Sheet) -> str:
    return "".join(curve.data(sheet) for curve in curves if _meets(curve, sheet))


def _meets(curve: Curve, sheet: Sheet) -> bool:
    """Tell whether any of a curve may lie in the window."""
    x0, z0, x1, z1 = bounds(curve.points)
    return x0 <= sheet.x1 and x1 >= sheet.x0 and z0 <= sheet.z1 and z1 >= sheet.z0


def _hatch(piece: Piece, sheet: Sheet, weight: Weight, hatching: Hatching | None) -> str:
    if not weight.hatch:
        return ""
    window = (sheet.x0, sheet.z0, sheet.x1, sheet.z1)
    seen = [clipped(loop, *window) for loop in piece.face_loops]
    loops = [tuple(sheet.at(*point) for point in loop) for loop in seen if loop]
    if piece.look is Look.PTFE:
        spacing = max(LEAST, weight.hatch * CROSSED)
        origin = sheet.at(0.0, 0.0)
        return "".join(scan_lines(loops, angle, spacing, origin) for angle in (45, 135))
    if piece.look not in SPACING:
        return ""
    chosen = hatching or Hatching()
    spacing = max(LEAST, weight.hatch * SPACING[piece.look] * chosen.share)
    return scan_lines(loops, chosen.angle, spacing, sheet.at(0.0, 0.0))
