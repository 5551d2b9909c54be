"""Studs, nuts, bolts and castle nuts, drawn whole and turned into the plane.

Thread: crest as outline, root as narrow line. Source: ISO 6410-1, Technical drawings, screw threads and threaded parts;
cited from memory.
"""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import TYPE_CHECKING

from trainer.drawing.curves import Curve, Leg, box, line, polygon
from trainer.drawing.piece import Piece

if TYPE_CHECKING:
    from trainer.procedure.shapes import Screw, Shape

_ROOT = 0.85
_CHAMFER = 0.08


def screw_piece(shape: Shape, screw: Screw) -> Piece:
    """Return the fastener; a set on a circle stands left and right of the axis."""
    piece = _FORMS[screw.form](shape, screw)
    if screw.down:
        piece = piece.upturned(0.0)
    if screw.r:
        left, right = piece.moved(-screw.r, 0.0), piece.moved(screw.r, 0.0)
        piece = Piece(
            shape.id,
            shape.look,
            whole=True,
            on_circle=True,
            cover=(*left.cover, *right.cover),
            edges=(*left.edges, *right.edges),
            faces=(*left.faces, *right.faces),
            fine=(*left.fine, *right.fine),
            over=(*left.over, *right.over),
            axes=(*left.axes, *right.axes),
        )
    return piece.moved(0.0, shape.at)


def _stud(shape: Shape, screw: Screw) -> Piece:
    h, r = screw.length, screw.d / 2
    top = min(h, screw.engaged + 2.6 * screw.d)
    fine = [*_thread(r, 0.0, screw.engaged or h), *(_thread(r, top, h) if screw.engaged else ())]
    body = _shank(r, 0.0, h, both=True)
    axis = line((0.0, -3.0), (0.0, h + 4.0))
    return Piece(
        shape.id, shape.look, whole=True, cover=(body,), faces=(body,), fine=tuple(fine), axes=(axis,)
    )


def _nut(shape: Shape, screw: Screw) -> Piece:
    body, edges = hexagon(screw.af, 0.0, screw.h)
    return Piece(shape.id, shape.look, whole=True, cover=(body,), faces=(body,), edges=edges)


def _bolt(shape: Shape, screw: Screw) -> Piece:
    head, edges = hexagon(screw.af, 0.0, screw.h)
    shank = _shank(screw.d / 2, -screw.length, 0.0, both=False)
    threaded = min(screw.length, 2.2 * screw.d)
    fine = tuple(_thread(screw.d / 2, -screw.length, threaded - screw.length))
    axis = line((0.0, -screw.length - 4.0), (0.0, screw.h + 4.0))
    return Piece(
        shape.id,
        shape.look,
        whole=True,
        cover=(shank, head),
        faces=(shank, head),
        edges=edges,
        fine=fine,
        axes=(axis,),
    )


def _castle_nut(shape: Shape, screw: Screw) -> Piece:
    width, deep = screw.slot
    low = screw.h - deep
    body, edges = hexagon(screw.af, 0.0, low, rims=(False, True))
    crown = screw.af / 2 * 0.94
    slots = []
    for turn in (-60, 0, 60):
        x = crown * sin(radians(turn))
        half = width / 2 * cos(radians(turn))
        if abs(x) + half < crown:
            slots += [line((x - half, screw.h), (x - half, low), (x + half, low), (x + half, screw.h))]
    return Piece(
        shape.id,
        shape.look,
        whole=True,
        cover=(body, box(-crown, low, crown, screw.h)),
        faces=(body, box(-crown, low, crown, screw.h)),
        edges=edges,
        over=tuple(slots),
    )


def hexagon(
    af: float, z0: float, z1: float, rims: tuple[bool, bool] = (True, True)
) -> tuple[Curve, tuple[Curve, ...]]:
    """Return a hexagon seen across its corners: outline with chamfered rims (upper, lower), and its edges."""
    e = af / sqrt(3)
    bite = min(e * 0.11, (z1 - z0) * 0.2)
    top, bottom = (bite if rim else 0.0 for rim in rims)
    outline = polygon(
        [
            (-e, z0 + bottom),
            (-e, z1 - top),
            (-e / 2 - (e / 2 - bite) if top else -e, z1),
            (e / 2 + (e / 2 - bite) if top else e, z1),
            (e, z1 - top),
            (e, z0 + bottom),
            (e / 2 + (e / 2 - bite) if bottom else e, z0),
            (-e / 2 - (e / 2 - bite) if bottom else -e, z0),
        ]
    )
    edges = [line((s * e / 2, z0 + bottom), (s * e / 2, z1 - top)) for s in (1, -1)]
    if top:
        edges += _rim(e, z1, -top)
    if bottom:
        edges += _rim(e, z0, bottom)
    return outline, tuple(edges)


def _rim(e: float, z: float, drop: float) -> list[Curve]:
    """Return the three arcs that a chamfer leaves on the faces of a hexagon."""
    arcs = []
    for x0, x1 in ((-e, -e / 2), (-e / 2, e / 2), (e / 2, e)):
        chord = abs(x1 - x0)
        rise = abs(drop)
        radius = (chord**2 / 4 + rise**2) / (2 * rise)
        arcs.append(Curve((x0, z + drop), (Leg(x1, z + drop, radius, ccw=drop > 0),), closed=False))
    return arcs


def _shank(r: float, z0: float, z1: float, *, both: bool) -> Curve:
    c = 2 * r * _CHAMFER
    top = [(r, z1 - c), (r - c, z1), (c - r, z1), (-r, z1 - c)] if both else [(r, z1), (-r, z1)]
    return polygon([(c - r, z0), (r - c, z0), (r, z0 + c), *top, (-r, z0 + c)])


def _thread(r: float, z0: float, z1: float) -> list[Curve]:
    root = r * _ROOT
    return [
        line((-root, z0), (-root, z1)),
        line((root, z0), (root, z1)),
        line((-r, z1), (r, z1)) if z0 <= 0 else line((-r, z0), (r, z0)),
    ]


_FORMS = {"stud": _stud, "nut": _nut, "bolt": _bolt, "castle_nut": _castle_nut}
