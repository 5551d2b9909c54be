"""Turned parts: from half-profiles to cut faces on both sides of the axis, and O-rings."""

from __future__ import annotations

from math import asin, cos, pi, radians
from typing import TYPE_CHECKING

from trainer.drawing.curves import Curve, Leg, box, circle, line, polygon, rounded
from trainer.drawing.piece import Piece
from trainer.drawing.pieces.openings import axes_of_stubs, inside_faces, openings, thread_lines
from trainer.drawing.regions import crossings, signed_area

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.drawing.curves import Point
    from trainer.procedure.shapes import Outline, Ring, Shape, Windows

_ON_AXIS = 1e-6


def stood(outline: Outline, shape: Shape) -> Outline:
    """Return an outline where it belongs: stood on its head when the shape says so, and lifted to its height."""
    sign = -1 if shape.flipped else 1
    return tuple((r, sign * z + shape.at, radius) for r, z, radius in outline)


def turned_piece(shape: Shape) -> Piece:
    """Return a turned part."""
    right = stood(shape.profile, shape)
    left = stood(shape.left, shape) if len(shape.left) > 2 else right
    faces = _faces(right, left)
    windows = tuple(_cut_windows(shape)) if shape.windows else ()
    return Piece(
        id=shape.id,
        look=shape.look,
        whole=shape.whole,
        cover=(_silhouette(right, left),),
        edges=tuple(_edges(right, left, outside=shape.whole)) + tuple(_far_windows(shape)),
        faces=faces,
        openings=tuple(openings(shape, faces)) + tuple(inside_faces(windows, faces)),
        fine=tuple(_fine(shape)),
        axes=tuple(axes_of_stubs(shape)),
    )


def _faces(right: Outline, left: Outline) -> tuple[Curve, ...]:
    """Return one closed face a side, or a single one where the outline touches the axis."""
    touching = _along_axis(right)
    if touching is None or _along_axis(left) is None:
        return rounded(right), rounded(left).mirrored()
    half = _open_at_axis(right)
    other = _open_at_axis(left).mirrored().backwards()
    return (Curve(half.start, (*half.legs, Leg(*other.start), *other.legs)),)


def _along_axis(outline: Outline) -> int | None:
    """Return the number of the corner from which an edge runs along the axis."""
    for n, corner in enumerate(outline):
        if corner[0] < _ON_AXIS and outline[(n + 1) % len(outline)][0] < _ON_AXIS:
            return n
    return None


def _open_at_axis(outline: Outline) -> Curve:
    """Return the outline without its edge on the axis, from the end of that edge round to its start."""
    n = _along_axis(outline)
    assert n is not None  # noqa: S101  # asked before
    cycle = (*outline[n + 1 :], *outline[: n + 1])
    return rounded(cycle, closed=False)


def _halves(outline: Outline) -> tuple[list[int], list[int]]:
    """Return the corners of the outer and of the inner side, each from top to bottom."""
    count = len(outline)
    top = max(range(count), key=lambda n: (round(outline[n][1], 6), outline[n][0]))
    bottom = min(range(count), key=lambda n: (round(outline[n][1], 6), -outline[n][0]))
    down = [(top + k) % count for k in range((bottom - top) % count + 1)]
    up = [(top - k) % count for k in range((top - bottom) % count + 1)]
    anticlockwise = signed_area([(r, z) for r, z, _ in outline]) > 0
    return (up, down) if anticlockwise else (down, up)


def _silhouette(right: Outline, left: Outline) -> Curve:
    """Return everything between the outer sides: what the part hides, its bore included."""
    outer_right = rounded(tuple(right[n] for n in _halves(right)[0]), closed=False)
    outer_left = rounded(tuple(left[n] for n in _halves(left)[0]), closed=False).mirrored().backwards()
    return Curve(outer_right.start, (*outer_right.legs, Leg(*outer_left.start), *outer_left.legs))


def silhouette_of(
    profile: Outline, shape: Shape, *, closed_at_axis: bool = False
) -> tuple[tuple[Curve, ...], tuple[Curve, ...]]:
    """Return the silhouette of a half-profile seen from outside, and the edges round it.

    Args:
        profile: the half-profile; the outer side alone will do when `closed_at_axis`.
        shape: the shape that it belongs to, for its height.
        closed_at_axis: the ends are joined over the axis.
    """
    stands = stood(profile, shape)
    if closed_at_axis:
        top = max(range(len(stands)), key=lambda n: (stands[n][1], -n))
        stands = stands[: top + 1]  # the outer side alone; what follows is its bore
        half = rounded(stands, closed=False)
        other = half.mirrored().backwards()
        outline = Curve(half.start, (*half.legs, Leg(*other.start), *other.legs))
        corners = [(r, z) for r, z, radius in stands[1:-1] if not radius]
        return (outline,), tuple(line((-r, z), (r, z)) for r, z in corners if r > _ON_AXIS)
    return (_silhouette(stands, stands),), tuple(_edges(stands, stands, outside=True))


def _edges(right: Outline, left: Outline, *, outside: bool) -> Iterator[Curve]:
    """Yield the level edges: those in the bore of a cut part, those round the outside of a whole one."""
    reach: dict[float, list[float]] = {}
    for side, outline in enumerate((right, left)):
        outer, inner = _halves(outline)
        count = len(outline)
        # The ends of the inner side belong to the outside, unless it ends in a point.
        level = {outline[n][1] for n in inner[1:-1]}
        bore = [n for n in inner if n in inner[1:-1] or outline[n][1] not in level]
        for n in outer if outside else bore:
            r, z, radius = outline[n]
            before, after = outline[n - 1], outline[(n + 1) % count]
            straight = abs((r - before[0]) * (after[1] - z) - (z - before[1]) * (after[0] - r)) < 1e-6
            if r > _ON_AXIS and not radius and not straight:
                pair = reach.setdefault(round(z, 3), [0.0, 0.0])
                pair[side] = max(pair[side], r)
    for z, (x1, x0) in sorted(reach.items()):
        yield line((-x0, z), (x1, z))


def _cut_windows(shape: Shape) -> Iterator[Curve]:
    """Yield the windows that the cutting plane meets."""
    windows = shape.windows
    assert windows is not None  # noqa: S101  # asked before
    low, high = (shape.at + z for z in windows.z)
    inner, outer = _wall(shape)
    for side, azimuth in ((1, 0.0), (-1, 180.0)):
        if any(
            abs((a - azimuth + 180) % 360 - 180) < _half_angle(windows, inner) for a in _azimuths(windows)
        ):
            yield box(side * (inner - 1), low, side * (outer + 1), high)


def _far_windows(shape: Shape) -> Iterator[Curve]:
    """Yield the windows of the far wall, as seen through the bore."""
    windows = shape.windows
    if windows is None:
        return
    inner, _ = _wall(shape)
    low, high = (shape.at + z for z in windows.z)
    half = _half_angle(windows, inner)
    for azimuth in _azimuths(windows):
        if half < azimuth % 360 < 180 - half:
            x0, x1 = sorted(inner * cos(radians(azimuth + d)) for d in (-half, half))
            yield box(x0, low, x1, high)


def _azimuths(windows: Windows) -> list[float]:
    return [windows.phase + 360 * k / windows.n for k in range(windows.n)]


def _half_angle(windows: Windows, r: float) -> float:
    return asin(min(1.0, windows.width / 2 / r)) * 180 / pi if r > 0 else 0.0


def _wall(shape: Shape) -> tuple[float, float]:
    """Return inner and outer radius of a sleeve at the middle of its windows."""
    windows = shape.windows
    assert windows is not None  # noqa: S101  # asked before
    middle = sum(windows.z) / 2
    found = []
    for n, (r, z, _) in enumerate(shape.profile):
        was = shape.profile[n - 1]
        if (was[1] > middle) != (z > middle):
            found.append(was[0] + (middle - was[1]) * (r - was[0]) / (z - was[1]))
    return (min(found), max(found)) if found else (0.0, 0.0)


def _fine(shape: Shape) -> Iterator[Curve]:
    """Yield thread roots, scribed marks and the lines of threaded openings."""
    for thread in shape.threads:
        low, high = sorted((shape.at + (-z if shape.flipped else z)) for z in thread.z)
        for side in (1, -1):
            yield line((side * thread.root, low), (side * thread.root, high))
        yield line((-thread.r, low), (-thread.root, low))
        yield line((thread.root, low), (thread.r, low))
        yield line((-thread.r, high), (-thread.root, high))
        yield line((thread.root, high), (thread.r, high))
    for mark in shape.marks:
        z = shape.at + (-mark if shape.flipped else mark)
        r = radius_at(shape, mark)
        yield line((-r, z), (r, z))
    yield from thread_lines(shape)


def radius_at(shape: Shape, height: float) -> float:
    """Return the outer radius at one of a turned part's own heights; its largest one where it is not that high."""
    found = crossings(([(r, z) for r, z, _ in shape.profile],), height)
    return found[-1] if found else max((r for r, *_ in shape.profile), default=0.0)


def ring_piece(shape: Shape, ring: Ring) -> Piece:
    """Return an O-ring: round, or squeezed to the width of its groove with the same area."""
    if ring.groove is None:
        section, half = circle(ring.r, shape.at, ring.d / 2), ring.d / 2
        outer = ring.r + ring.d / 2
    else:
        a, b = ring.groove
        section, half = _squeezed(a, b, ring.d, shape.at)
        outer = b
    hidden = polygon(
        [
            (-outer, shape.at - half),
            (outer, shape.at - half),
            (outer, shape.at + half),
            (-outer, shape.at + half),
        ]
    )
    middle = ring.r if ring.groove is None else sum(ring.groove) / 2
    return Piece(
        id=shape.id,
        look=shape.look,
        cover=(hidden,),
        edges=tuple(line((-middle, shape.at + s * half), (middle, shape.at + s * half)) for s in (1, -1)),
        faces=(section, section.mirrored()),
    )


def _squeezed(a: float, b: float, d: float, z: float) -> tuple[Curve, float]:
    """Return two flats joined by half circles, with the area of the free cord, and half its height."""
    r = (b - a) / 2
    flat = max(0.0, pi * (d**2 / 4 - r**2) / (2 * r)) if r > 0 else 0.0
    low, high = z - flat / 2, z + flat / 2
    curve: tuple[Point, tuple[Leg, ...]] = (
        (b, low),
        (Leg(b, high), Leg(a, high, r, True), Leg(a, low), Leg(b, low, r, True)),
    )
    return Curve(*curve), flat / 2 + r
