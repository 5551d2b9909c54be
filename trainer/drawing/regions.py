"""Areas, distances and overlaps of outlines, in the plane of the section."""

from __future__ import annotations

from math import hypot, inf
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Sequence

Point = tuple[float, float]
Loop = tuple[Point, ...]
Box = tuple[float, float, float, float]


def signed_area(points: Sequence[Point]) -> float:
    """Return the area of a polygon, positive when it runs counter-clockwise."""
    twice = 0.0
    for (ax, ay), (bx, by) in edges(points):
        twice += ax * by - bx * ay
    return twice / 2


def edges(points: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    """Yield the edges of a polygon."""
    for n, point in enumerate(points):
        yield points[n - 1], point


def length_round(points: Sequence[Point]) -> float:
    """Return the length of a polygon's outline."""
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in edges(points))


def bounds(points: Iterable[Point]) -> Box:
    """Return x0, z0, x1, z1 of points."""
    listed = list(points)
    xs, zs = [p[0] for p in listed], [p[1] for p in listed]
    return min(xs), min(zs), max(xs), max(zs)


def crossings(loops: Iterable[Sequence[Point]], z: float) -> list[float]:
    """Return where a level line crosses loops, from left to right; two by two they bound the inside."""
    # Hatch, hidden spots and gas all come through here: each corner is looked at once, and no edge is made a pair.
    found = []
    for loop in loops:
        if not loop:
            continue
        ax, az = loop[-1]
        above = az > z
        for bx, bz in loop:
            if above != (bz > z):
                found.append(ax + (z - az) * (bx - ax) / (bz - az))
                above = not above
            ax, az = bx, bz
    found.sort()
    return found


def inside(loops: Iterable[Sequence[Point]], x: float, z: float) -> bool:
    """Tell whether a point lies inside loops, counted even and odd."""
    return sum(1 for at in crossings(loops, z) if at < x) % 2 == 1


def clipped(points: Sequence[Point], x0: float, z0: float, x1: float, z1: float) -> Loop:
    """Return the part of a polygon in a rectangle (Sutherland and Hodgman); empty when there is none.

    Source: I. E. Sutherland, G. W. Hodgman 1974, Reentrant polygon clipping, Communications of the ACM 17, 32-42;
    cited from memory.
    """
    loop = list(points)
    for axis, limit, sign in ((0, x0, 1), (0, x1, -1), (1, z0, 1), (1, z1, -1)):
        loop = _half_plane(loop, axis, limit, sign)
        if not loop:
            return ()
    return tuple(loop)


def _half_plane(loop: list[Point], axis: int, limit: float, sign: int) -> list[Point]:
    kept: list[Point] = []
    for n, here in enumerate(loop):
        before = loop[n - 1]
        was_in = (before[axis] - limit) * sign >= 0
        is_in = (here[axis] - limit) * sign >= 0
        if was_in != is_in:
            share = (limit - before[axis]) / (here[axis] - before[axis])
            other = before[1 - axis] + share * (here[1 - axis] - before[1 - axis])
            kept.append((limit, other) if axis == 0 else (other, limit))
        if is_in:
            kept.append(here)
    return kept


def overlap(a: Sequence[Loop], b: Sequence[Loop], step: float = 0.25) -> float:
    """Return the area in mm² that two sets of loops share, from level lines `step` mm apart."""
    if not a or not b:
        return 0.0
    ax0, az0, ax1, az1 = bounds(p for loop in a for p in loop)
    bx0, bz0, bx1, bz1 = bounds(p for loop in b for p in loop)
    low, high = max(az0, bz0), min(az1, bz1)
    if low >= high or max(ax0, bx0) >= min(ax1, bx1):
        return 0.0
    count = max(1, min(400, int((high - low) / step)))
    height = (high - low) / count
    return sum(
        _shared(crossings(a, low + (n + 0.5) * height), crossings(b, low + (n + 0.5) * height)) * height
        for n in range(count)
    )


def _shared(a: list[float], b: list[float]) -> float:
    """Return the length that two sets of pairs have in common."""
    total = 0.0
    for i in range(0, len(a) - 1, 2):
        for j in range(0, len(b) - 1, 2):
            total += max(0.0, min(a[i + 1], b[j + 1]) - max(a[i], b[j]))
    return total


def distance(loops: Iterable[Sequence[Point]], x: float, z: float) -> float:
    """Return the distance of a point from the nearest outline."""
    best = inf
    for loop in loops:
        if not loop:
            continue
        ax, az = loop[-1]
        for bx, bz in loop:
            dx, dz = bx - ax, bz - az
            square = dx * dx + dz * dz
            share = ((x - ax) * dx + (z - az) * dz) / square if square else 0.0
            share = 0.0 if share < 0.0 else 1.0 if share > 1.0 else share
            away = hypot(x - ax - share * dx, z - az - share * dz)
            if away < best:
                best = away
            ax, az = bx, bz
    return best


def column_spans(loops: Iterable[Sequence[Point]], x: float) -> list[tuple[float, float]]:
    """Return the stretches of an upright line that lie inside loops, from the bottom up."""
    found = crossings([[(pz, px) for px, pz in loop] for loop in loops], x)
    return list(zip(found[::2], found[1::2], strict=False))


def deepest(
    loops: Sequence[Loop], side: int = 0, seen: Callable[[float, float], bool] | None = None
) -> Point | None:
    """Return the inside point that is farthest from the outline, near enough for a balloon to point to.

    Of spots that are about as deep the one nearest to the middle is taken.

    Args:
        loops: the outlines, counted even and odd.
        side: 1 only on the right of the axis, -1 only on the left, 0 anywhere.
        seen: tells whether a spot is not hidden.
    """
    x0, z0, x1, z1 = bounds(p for loop in loops for p in loop)
    middle = (z0 + z1) / 2
    # Off the axis, so that leaders do not end on the centre line.
    x0, x1 = (max(x0, 0.3 * x1), x1) if side > 0 else (x0, min(x1, 0.3 * x0)) if side < 0 else (x0, x1)
    if x1 - x0 < 1e-6:
        return None
    best: tuple[float, float, float] | None = None
    wide, high = (x1 - x0) / 26, (z1 - z0) / 34
    spots = [(x0 + i * wide, z0 + j * high) for i in range(1, 26, 2) for j in range(1, 34, 2)]
    for _ in range(4):
        for x, z in spots:
            if x0 <= x <= x1 and inside(loops, x, z) and (seen is None or seen(x, z)):
                worth = distance(loops, x, z) * (1 - 0.05 * abs(z - middle) / (z1 - z0 + 1e-9))
                if best is None or worth > best[0] + 1e-9:
                    best = (worth, x, z)
        if best is None:
            return None
        wide, high = wide / 1.8, high / 1.8
        spots = [(best[1] + i * wide, best[2] + j * high) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    return (best[1], best[2]) if best else None
