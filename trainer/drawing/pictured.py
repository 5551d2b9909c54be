"""Each form of thing as it looks from outside, drawn about its own middle."""

from __future__ import annotations

from itertools import pairwise
from math import cos, pi, radians, sin
from typing import TYPE_CHECKING

from trainer.drawing.curves import rounded
from trainer.drawing.pictorial import (
    Axis,
    Canvas,
    Corner,
    disc,
    discs,
    ordered,
    prism,
    project,
    revolve,
    strip,
)
from trainer.drawing.pieces.turned import radius_at, stood
from trainer.drawing.pieces.wound import heights
from trainer.drawing.regions import signed_area
from trainer.drawing.svg import pair, path, tag
from trainer.procedure.shapes import Side

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.piece import Piece
    from trainer.procedure.shapes import Holes, Outline, Plug, Screw, Shape, Stub, Tube

UPRIGHT = Axis()


def pictured(shape: Shape, piece: Piece, scale: float, name: str) -> Canvas:
    """Return a thing seen from outside.

    Args:
        shape: its shape.
        piece: what it looks like in the section, for forms that are flat anyway.
        scale: px a mm.
        name: prefix for the id of what is drawn several times.
    """
    canvas = Canvas(scale)
    if shape.ring is not None:
        _ring(canvas, shape, scale)
    elif shape.coil is not None:
        _coil(canvas, shape)
    elif shape.screw is not None:
        _set(canvas, shape, shape.screw, name)
    elif shape.plug is not None:
        _plug(canvas, shape, shape.plug)
    elif shape.tube is not None:
        _tube(canvas, shape.tube)
    elif shape.outside is not None and (shape.outside.profiles or shape.outside.stubs):
        _body(canvas, shape)
    elif len(shape.profile) > 2:
        _turned(canvas, shape)
    else:
        _flat(canvas, piece)
    return canvas


def corners_of(outline: Outline, scale: float, *, closed: bool) -> list[Corner]:
    """Return an outline as corners, counter-clockwise when it is closed.

    A rounded corner becomes a few chords, or a plain one when it is too small to be seen at `scale` px a mm.
    """
    seen = tuple((r, z, radius if radius * scale > 7 else 0.0) for r, z, radius in outline)
    sharp = {(round(r, 3), round(z, 3)) for r, z, radius in seen if not radius}
    points = list(rounded(seen, closed=closed).points)
    if closed and signed_area(points) < 0:
        points.reverse()
    corners = [Corner(r, z, (round(r, 3), round(z, 3)) in sharp) for r, z in points]
    return _without_tiny(corners, scale)


def _without_tiny(corners: list[Corner], scale: float) -> list[Corner]:
    """Return the corners without those that lie nearly on the one before, chords of small fillets above all."""
    kept: list[Corner] = []
    for corner in corners:
        if kept:
            near = (abs(corner.r - kept[-1].r) + abs(corner.s - kept[-1].s)) * scale
            if near < (0.9 if corner.sharp else 9.0):
                continue
        kept.append(corner)
    return kept


def _turned(canvas: Canvas, shape: Shape) -> None:
    corners = corners_of(stood(shape.profile, shape), canvas.scale, closed=True)
    hexagon = shape.hexagon
    for a, b in ordered(corners, closed=True):
        if hexagon is not None:
            low, high = shape.at + hexagon.z[0] - 0.01, shape.at + hexagon.z[1] + 0.01
            inside = low <= min(a.s, b.s) and max(a.s, b.s) <= high and max(a.r, b.r) > hexagon.af * 0.45
            if inside:
                if a.r > hexagon.af * 0.45 and b.r > hexagon.af * 0.45:
                    prism(canvas, UPRIGHT, hexagon.af, low, high)
                continue
        strip(canvas, UPRIGHT, a, b)
    _windows(canvas, shape)
    for thread in shape.threads:
        _thread_rings(canvas, UPRIGHT, thread.r, *sorted(shape.at + z for z in thread.z))
    for mark in shape.marks:
        r = radius_at(shape, mark)
        canvas.parts.append(path(UPRIGHT.arc(canvas, r, shape.at + mark, pi, 2 * pi, first=True), "s-e"))
    if shape.split:
        r = max(corner.r for corner in corners)
        low, high = min(c.s for c in corners), max(c.s for c in corners)
        ends = [UPRIGHT.point(r, low, radians(292)), UPRIGHT.point(r, high, radians(297))]
        canvas.polygon(ends, "s-e s-h", closed=False)


def _thread_rings(canvas: Canvas, axis: Axis, r: float, low: float, high: float) -> None:
    """Draw the near halves of some turns of a thread."""
    pitch = max(3.2 / canvas.scale, 1.5)
    count = int((high - low) / pitch)
    data = "".join(
        axis.arc(canvas, r, low + (n + 0.5) * (high - low) / count, pi, 2 * pi, first=True)
        for n in range(count)
    )
    canvas.parts.append(path(data, "s-t"))


def _windows(canvas: Canvas, shape: Shape) -> None:
    """Draw the windows of a sleeve that face the eye, with the thickness of the wall."""
    windows = shape.windows
    if windows is None:
        return
    outer = max(r for r, z, _ in shape.profile if z <= windows.z[1] + 60)
    low, high = (shape.at + z for z in windows.z)
    half = windows.width / 2 / outer
    for n in range(windows.n):
        phi = radians(windows.phase + 360 * n / windows.n) % (2 * pi)
        if not pi + half * 0.4 < phi < 2 * pi - half * 0.4:
            continue
        steps = [phi - half + 2 * half * k / 4 for k in range(5)]
        rim = [UPRIGHT.point(outer, low, t) for t in steps] + [
            UPRIGHT.point(outer, high, t) for t in reversed(steps)
        ]
        canvas.polygon(rim, "s-d s-l")
        wall = outer * 0.1
        sill = [UPRIGHT.point(outer, low, t) for t in steps] + [
            UPRIGHT.point(outer - wall, low, t) for t in reversed(steps)
        ]
        canvas.polygon(sill, "s-a")


def _body(canvas: Canvas, shape: Shape) -> None:
    """Draw a body by its outside: the first half-profile, side connections, the other half-profiles."""
    outside = shape.outside
    assert outside is not None  # noqa: S101  # asked before
    profiles = outside.profiles or ((shape.profile,) if shape.profile else ())
    for place, profile in enumerate(profiles):
        edge_corners = corners_of(stood(profile, shape), canvas.scale, closed=False)
        for a, b in ordered(edge_corners, closed=False):
            strip(canvas, UPRIGHT, a, b)
            _holes(canvas, UPRIGHT, outside.holes, (a, b), shape.at)
        if place == 0:
            for stub in sorted(outside.stubs, key=lambda stub: sin(radians(stub.azimuth))):
                _stub(canvas, stub, shape.at)


def _stub(canvas: Canvas, stub: Stub, lift: float) -> None:
    turn = radians(stub.azimuth)
    axis = Axis((0.0, 0.0, stub.z + (lift if lift == 0 else 0.0)), (cos(turn), -sin(turn), 0.0))
    corners = corners_of(stub.profile, canvas.scale, closed=True)
    start = min(corner.s for corner in corners)
    faded = [Corner(c.r, c.s, c.sharp and c.s > start + 1e-6) for c in corners]
    for a, b in ordered(faded, closed=True):
        if min(a.s, b.s) <= start and max(a.s, b.s) <= start:
            continue
        strip(canvas, axis, a, b)
        _holes(canvas, axis, stub.holes, (a, b), 0.0)


def _holes(
    canvas: Canvas, axis: Axis, holes: Sequence[Holes], edge: tuple[Corner, Corner], lift: float
) -> None:
    """Draw the holes that open in the face that an edge has just swept."""
    a, b = edge
    tilted = abs(a.s - b.s) > 0.2 * (a.r - b.r)
    for ring in holes:
        height = ring.face + lift
        if tilted or not b.r < ring.r < a.r or abs((a.s + b.s) / 2 - height) > 0.1 * ring.d + 0.1:
            continue
        turns = [radians(ring.phase + 360 * k / ring.n) for k in range(ring.n)]
        middles = [axis.point(ring.r, height, phi) for phi in turns]
        discs(canvas, axis, ring.d / 2, middles, "s-hole s-l")


def _ring(canvas: Canvas, shape: Shape, scale: float) -> None:
    """Draw an O-ring: a band with a dark rim and a light line on its crown."""
    ring = shape.ring
    assert ring is not None  # noqa: S101  # asked before
    circle = UPRIGHT.arc(canvas, ring.r, 0.0, 0.0, 2 * pi, first=True) + "Z"
    thick = max(ring.d * scale, 3.0)
    canvas.parts.append(path(circle, "rim", stroke_width=thick))
    canvas.parts.append(path(circle, "cord", stroke_width=thick - 2))
    for side in (1, -1):
        r = ring.r + side * ring.d / 2
        canvas.outlines.append([canvas.at(p) for p in UPRIGHT.ring(r, side * ring.d / 3)])
    canvas.outlines.append([canvas.at(p) for p in UPRIGHT.ring(ring.r + ring.d / 2, -ring.d / 2)])


def _coil(canvas: Canvas, shape: Shape) -> None:
    """Draw a spring: far halves first, then near halves, each a wire with a dark rim."""
    coil = shape.coil
    assert coil is not None  # noqa: S101  # asked before
    levels = heights(coil)
    halves: dict[bool, list[str]] = {True: [], False: []}
    for n, (low, high) in enumerate(pairwise(levels)):
        far = n % 2 == 0
        sign, rise = (1 if far else -1), high - low
        # One cubic follows half a turn: its handles stand off by 4/3 of the half axis of the ellipse.
        r0, r1 = coil.radius(low), coil.radius(high)
        start, end = (sign * r0, 0.0, low), (-sign * r1, 0.0, high)
        handles = [
            (s * sign * r, sign * r * 4 / 3, low + rise * k / 3) for s, r, k in ((1, r0, 1), (-1, r1, 2))
        ]
        points = [canvas.at(p) for p in (start, *handles, end)]
        halves[far].append(f"M{pair(*points[0])}C" + " ".join(pair(*p) for p in points[1:]))
        turn = [(n + k / 8) * pi for k in range(9)]
        along = [canvas.at((r1 * cos(t), r1 * sin(t), low + rise * k / 8)) for k, t in enumerate(turn)]
        canvas.outlines.append([(x, y + s * coil.wire / 2 * canvas.scale) for s in (1, -1) for x, y in along])
    wide = coil.wire * canvas.scale
    for far in (True, False):
        data = "".join(halves[far])
        canvas.parts.append(path(data, "rim round", stroke_width=wide))
        canvas.parts.append(path(data, "wire round", stroke_width=wide - 2))


def _set(canvas: Canvas, shape: Shape, screw: Screw, name: str) -> None:
    """Draw one fastener, or as many as there are on their circle, the far ones first."""
    one = Canvas(canvas.scale)
    _screw(one, screw)
    if not screw.r:
        canvas.parts, canvas.outlines = one.parts, one.outlines
        return
    places = []
    for k in range(shape.count):
        phi = radians(22.5 if shape.count == 8 else 180 / shape.count) + 2 * pi * k / shape.count
        places.append((screw.r * cos(phi), screw.r * sin(phi)))
    first = True
    for x, y in sorted(places, key=lambda place: -place[1]):
        px, py = canvas.at((x, y, 0.0))
        if first:
            canvas.parts.append(tag("defs", tag("g", one.svg, id=name)))
            first = False
        canvas.parts.append(tag("use", href=f"#{name}", x=px, y=py))
        canvas.outlines += [[(a + px, b + py) for a, b in outline] for outline in one.outlines]


def _screw(canvas: Canvas, screw: Screw) -> None:
    r = screw.d / 2
    if screw.form == "stud":
        c = r * 0.16
        profile = [
            Corner(0, 0),
            Corner(r - c, 0),
            Corner(r, c),
            Corner(r, screw.length - c),
            Corner(r - c, screw.length),
            Corner(0, screw.length),
        ]
        revolve(canvas, UPRIGHT, profile, closed=False)
        if screw.engaged:
            _thread_rings(canvas, UPRIGHT, r, c, screw.engaged)
            _thread_rings(
                canvas, UPRIGHT, r, min(screw.length * 0.65, screw.engaged + 2.6 * screw.d), screw.length - c
            )
        return
    if screw.form == "castle_nut":
        _castle_nut(canvas, screw)
        return
    if screw.form == "bolt" and screw.down:
        prism(canvas, UPRIGHT, screw.af, -screw.h, 0.0)
        revolve(
            canvas,
            UPRIGHT,
            [Corner(r, 0), Corner(r, screw.length), Corner(0, screw.length)],
            closed=False,
        )
        _thread_rings(canvas, UPRIGHT, r, screw.length * 0.4, screw.length)
        return
    if screw.form == "bolt":
        revolve(
            canvas, UPRIGHT, [Corner(0, -screw.length), Corner(r, -screw.length), Corner(r, 0)], closed=False
        )
        _thread_rings(canvas, UPRIGHT, r, -screw.length, -screw.length * 0.4)
    prism(canvas, UPRIGHT, screw.af, 0.0, screw.h, r if screw.form == "nut" else 0.0)


def _castle_nut(canvas: Canvas, screw: Screw) -> None:
    """Draw a castle nut with its slots up or down, as it is fitted."""
    width, deep = screw.slot
    crown, low = screw.af * 0.47, screw.h - deep
    span = (0.0, deep) if screw.down else (low, screw.h)
    solid = (deep, screw.h) if screw.down else (0.0, low)
    wall = [Corner(crown, span[0]), Corner(crown, span[1]), Corner(screw.d / 2, span[1])]

    def crowned() -> None:
        strip(canvas, UPRIGHT, wall[0], wall[1])
        if not screw.down:
            strip(canvas, UPRIGHT, wall[1], wall[2])
        half = width / 2 / crown
        for k in range(screw.slots):
            phi = (radians(270) + 2 * pi * k / screw.slots) % (2 * pi)
            if pi + half < phi < 2 * pi - half:
                mouth = [
                    UPRIGHT.point(crown, s, phi + d)
                    for s, d in ((span[0], -half), (span[0], half), (span[1], half), (span[1], -half))
                ]
                canvas.polygon(mouth, "s-d s-l")

    if screw.down:
        crowned()
    prism(canvas, UPRIGHT, screw.af, *solid, hole=screw.d / 2 if screw.down else 0.0)
    if not screw.down:
        crowned()
        disc(canvas, UPRIGHT, screw.d / 2, screw.h, "s-d s-l")


def _plug(canvas: Canvas, shape: Shape, plug: Plug) -> None:
    """Draw a screw from the side along its own axis, drawn out of its hole by its own length and a little more."""
    turn = radians(plug.azimuth if plug.azimuth else (180 if plug.side is Side.LEFT else 0))
    along = (cos(turn), -sin(turn), 0.0)
    out = plug.seat + plug.length + 9 / canvas.scale
    axis = Axis((along[0] * out, along[1] * out, shape.at), along)
    r = plug.d / 2
    way = [canvas.at(axis.point(0.0, s, 0.0)) for s in (plug.seat - out, -plug.length)]
    canvas.parts.append(path("M" + "L".join(pair(*p) for p in way), "s-t"))
    revolve(canvas, axis, [Corner(0, -plug.length), Corner(r, -plug.length), Corner(r, 0)], closed=False)
    _thread_rings(canvas, axis, r, -plug.length, -plug.length * 0.1)
    prism(canvas, axis, plug.af, 0.0, plug.head, plug.bore / 2)


def _tube(canvas: Canvas, tube: Tube) -> None:
    points = [canvas.at((x, 0.0, z)) for x, z in rounded(tube.path, closed=False).points]
    wide = tube.d * canvas.scale
    canvas.flat(points, "rim", stroke_width=wide)
    canvas.flat(points, "wire", stroke_width=wide - 2)


def _flat(canvas: Canvas, piece: Piece) -> None:
    """Draw a thing as the section shows it, about its own middle."""
    x, z = piece.middle
    for curve in (*piece.faces, *piece.openings):
        points = [((px - x) * canvas.scale, -(pz - z) * canvas.scale) for px, pz in curve.points]
        hole = curve in piece.openings
        canvas.parts.append(
            path("M" + "L".join(pair(*p) for p in points) + "Z", "s-paper s-l" if hole else "s-b s-l")
        )
        canvas.outlines.append(points)


__all__ = ["pictured", "project"]
