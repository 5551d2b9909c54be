"""What lies across the main axis: split pins, screws from the side, tubes."""

from __future__ import annotations

from math import cos, radians, sin, sqrt
from typing import TYPE_CHECKING

from trainer.drawing.curves import Curve, Leg, box, circle, line, polygon, rounded
from trainer.drawing.piece import Piece, joined
from trainer.procedure.shapes import Side

if TYPE_CHECKING:
    from trainer.procedure.shapes import Pin, Plug, Shape, Tube

_ROOT = 0.85


def pin_piece(shape: Shape, pin: Pin) -> Piece:
    """Return a split pin: its eye on the left, its legs bent apart on the right."""
    half, r = pin.length / 2, pin.d / 2
    eye = circle(-half, 0.0, pin.d * 0.95)
    hole = circle(-half, 0.0, pin.d * 0.5)
    stem = box(-half + pin.d * 0.8, -r, half - pin.d, r)
    legs = [_leg(half - pin.d, s, pin.d) for s in (1, -1)]
    piece = Piece(
        shape.id,
        shape.look,
        whole=True,
        through=True,
        cover=(stem, eye),
        faces=(stem, eye, *legs),
        openings=(hole,),
        edges=(line((-half + pin.d, 0.0), (half - pin.d, 0.0)),),
    )
    return piece.moved(0.0, shape.at)


def _leg(x: float, side: int, d: float) -> Curve:
    """Return one half of the pin, bent out by 35 degrees."""
    c, s = cos(radians(35)), sin(radians(35)) * side
    w, length = d / 2, 1.7 * d
    nx, nz = -s * w, c * w
    start = (x, side * d / 4)
    a = (start[0] - nx / 2, start[1] - nz / 2)
    b = (start[0] + nx / 2, start[1] + nz / 2)
    return polygon([a, (a[0] + c * length, a[1] + s * length), (b[0] + c * length, b[1] + s * length), b])


def plug_piece(shape: Shape, plug: Plug) -> Piece:
    """Return a screw from the side: head outside its seat, thread inside, turned into the plane."""
    e, r = plug.af / sqrt(3), plug.d / 2
    bite = min(plug.head * 0.18, e * 0.12)
    head = polygon(
        [
            (plug.seat, -e),
            (plug.seat + plug.head - bite, -e),
            (plug.seat + plug.head, -e + bite),
            (plug.seat + plug.head, e - bite),
            (plug.seat + plug.head - bite, e),
            (plug.seat, e),
        ]
    )
    c = plug.d * 0.08
    inner = plug.seat - plug.length
    shank = polygon(
        [(plug.seat, -r), (plug.seat, r), (inner + c, r), (inner, r - c), (inner, c - r), (inner + c, -r)]
    )
    fine = [line((inner, s * r * _ROOT), (plug.seat, s * r * _ROOT)) for s in (1, -1)]
    edges = [line((plug.seat, s * e / 2), (plug.seat + plug.head - bite, s * e / 2)) for s in (1, -1)]
    axis = line((inner - 3, 0.0), (plug.seat + plug.head + 4, 0.0))
    piece = Piece(
        shape.id,
        shape.look,
        whole=True,
        cover=(shank, head),
        faces=(shank, head),
        edges=tuple(edges),
        fine=tuple(fine),
        axes=(axis,),
    )
    if plug.side is Side.LEFT:
        piece = piece.changed(lambda curve: curve.mirrored())
    all_of_them = [piece.moved(0.0, shape.at), *(_other(piece, plug, *place) for place in plug.others)]
    return joined(all_of_them)


def _other(piece: Piece, plug: Plug, height: float, seat: float) -> Piece:
    """Return another one of a set, at a height and with its seat so far from the axis, on the left when negative."""
    other = piece.changed(lambda curve: curve.mirrored()) if (seat < 0) != (plug.side is Side.LEFT) else piece
    return other.moved((abs(seat) - plug.seat) * (-1 if seat < 0 else 1), height)


def tube_piece(shape: Shape, tube: Tube) -> Piece:
    """Return a tube along its middle line, its far end broken off."""
    middle = rounded(tube.path, closed=False)
    outside = _both_sides(middle, tube.d / 2)
    piece = Piece(
        shape.id,
        shape.look,
        whole=True,
        through=True,
        cover=(outside,),
        faces=(outside,),
        axes=(middle,),
    )
    return piece.moved(0.0, shape.at)


def _beside(curve: Curve, by: float) -> Curve:
    """Return an open curve of straights and tangent arcs, moved to its left."""
    stops = [curve.start, *((leg.x, leg.z) for leg in curve.legs)]
    normals = []
    for n, leg in enumerate(curve.legs):
        if not leg.r:
            dx, dz = stops[n + 1][0] - stops[n][0], stops[n + 1][1] - stops[n][1]
            length = (dx * dx + dz * dz) ** 0.5 or 1.0
            normals.append((n, (-dz / length, dx / length)))
    known = dict(normals)
    moved = []
    for n, (x, z) in enumerate(stops):
        nx, nz = known.get(n, known.get(n - 1, (0.0, 0.0)))
        moved.append((x + nx * by, z + nz * by))
    legs = tuple(
        Leg(*moved[n + 1], max(0.0, leg.r - by if leg.ccw else leg.r + by) if leg.r else 0.0, leg.ccw)
        for n, leg in enumerate(curve.legs)
    )
    return Curve(moved[0], legs, closed=False)


def _both_sides(middle: Curve, half: float) -> Curve:
    one, other = _beside(middle, half), _beside(middle, -half).backwards()
    return Curve(one.start, (*one.legs, Leg(*other.start), *other.legs, Leg(*one.start)))
