"""Openings that the cutting plane meets: holes, tapped holes, side bores, and the centre lines through them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.curves import Curve, box, line, polygon
from trainer.drawing.regions import clipped, signed_area
from trainer.procedure.shapes import Side

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from trainer.procedure.shapes import Cut, Shape

# How far the root of a thread lies outside the crest in a hole, as a share of its width, in all.
_THREAD = 0.16
_OVERSHOOT = 3.0


def boxes(shape: Shape) -> Iterator[tuple[Cut, tuple[float, float, float, float]]]:
    """Yield each opening with its rectangle x0, z0, x1, z1 in the machine."""
    for cut in shape.cuts:
        lift = 0.0 if shape.body is not None else shape.at
        low, high = sorted(lift + z for z in cut.z)
        if cut.x is not None:
            x0, x1 = sorted(cut.x)
            yield cut, (x0, low, x1, high)
        elif cut.r is not None:
            r0, r1 = sorted(cut.r)
            if cut.side is not Side.LEFT:
                yield cut, (r0, low, r1, high)
            if cut.side is not Side.RIGHT:
                yield cut, (-r1, low, -r0, high)


def openings(shape: Shape, faces: tuple[Curve, ...]) -> Iterator[Curve]:
    """Yield the openings as far as they lie in the cut faces."""
    return inside_faces((box(*rectangle) for _, rectangle in boxes(shape)), faces)


def inside_faces(cuts: Iterable[Curve], faces: tuple[Curve, ...]) -> Iterator[Curve]:
    """Yield the parts of rectangles that lie in cut faces."""
    for cut in cuts:
        xs, zs = [p[0] for p in cut.points], [p[1] for p in cut.points]
        for face in faces:
            part = clipped(face.points, min(xs), min(zs), max(xs), max(zs))
            if len(part) > 2 and abs(signed_area(part)) > 1e-6:
                yield polygon(part)


def thread_lines(shape: Shape) -> Iterator[Curve]:
    """Yield the root lines of tapped holes."""
    for cut, (x0, z0, x1, z1) in boxes(shape):
        if not (cut.thread or cut.hole):
            continue
        if x1 - x0 > z1 - z0 and not cut.hole:
            out = (z1 - z0) * _THREAD / 2
            yield line((x0, z0 - out), (x1, z0 - out))
            yield line((x0, z1 + out), (x1, z1 + out))
        else:
            out = (x1 - x0) * _THREAD / 2
            yield line((x0 - out, z0 + out), (x0 - out, z1))
            yield line((x1 + out, z0 + out), (x1 + out, z1))


def hole_axes(shape: Shape) -> Iterator[Curve]:
    """Yield a centre line along each hole of a body that is not turned."""
    for cut, (x0, z0, x1, z1) in boxes(shape):
        if cut.hole:
            continue
        if x1 - x0 > z1 - z0:
            z = (z0 + z1) / 2
            yield line((x0 - _OVERSHOOT, z), (x1 + _OVERSHOOT, z))
        else:
            x = (x0 + x1) / 2
            yield line((x, z0 - _OVERSHOOT), (x, z1 + _OVERSHOOT))


def axes_of_stubs(shape: Shape) -> Iterator[Curve]:
    """Yield a centre line along each side connection, turned into the plane."""
    if shape.outside is None:
        return
    for stub in shape.outside.stubs:
        sign = 1 if stub.azimuth % 360 < 90 or stub.azimuth % 360 > 270 else -1
        reach = [corner[1] for corner in stub.profile]
        z = stub.z
        yield line((sign * min(reach), z), (sign * (max(reach) + _OVERSHOOT), z))
