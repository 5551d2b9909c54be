"""Outlines that no machine has made: blobs, cracks, ragged edges, arcs that waver."""

from __future__ import annotations

import math
from math import cos, hypot, pi, radians, sin
from typing import TYPE_CHECKING

from trainer.drawing.svg import pair

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from trainer.drawing.defects.chance import Chance

Point = tuple[float, float]


def eased(value: float, power: float) -> float:
    """Return a power of a value taken as 0 where it lies below: a fractional power of less would be no number."""
    return math.pow(max(0.0, value), power)


def polar(r: float, degrees: float) -> Point:
    """Return the point at a radius and an angle."""
    return r * cos(radians(degrees)), r * sin(radians(degrees))


def line(points: Sequence[Point], *, closed: bool = False) -> str:
    """Return the path data of straight pieces, written as steps from the point before, which is shorter."""
    parts: list[str] = []
    x = y = 0.0
    for n, (px, py) in enumerate(points):
        dx, dy = round(px - x, 1), round(py - y, 1)
        parts.append(("M" if not n else "l" if n == 1 else " ") + pair(dx, dy))
        x, y = x + dx, y + dy
    return "".join(parts).replace(" -", "-") + ("z" if closed else "")


def circle(r: float, x: float = 0.0, y: float = 0.0) -> str:
    """Return the path data of a circle."""
    around = f"a{pair(r, r)} 0 1 0 "
    return f"M{pair(x - r, y)}{around}{pair(2 * r, 0)}{around}{pair(-2 * r, 0)}z"


def arc(r: float, start: float, stop: float) -> str:
    """Return the path data of an arc about the middle, between two angles."""
    wide = 1 if stop - start > 180 else 0
    return f"M{pair(*polar(r, start))}A{pair(r, r)} 0 {wide} 1 {pair(*polar(r, stop))}"


def around(radius: Callable[[float], float], start: float, stop: float, step: float) -> list[Point]:
    """Return points along an arc whose radius depends on the angle."""
    count = max(2, round(abs(stop - start) / step))
    angles = [start + (stop - start) * n / count for n in range(count + 1)]
    return [polar(radius(angle), angle) for angle in angles]


def blob(chance: Chance, at: Point, long: float, wide: float, degrees: float, rough: float = 0.25) -> str:
    """Return an irregular closed outline about a point, smooth between its corners."""
    count = chance.whole(7, 10)
    turn = radians(degrees)
    points = []
    for n in range(count):
        angle = 2 * pi * (n + chance.between(-0.2, 0.2)) / count
        share = 1 + chance.between(-rough, rough)
        u, v = long * share * cos(angle), wide * share * sin(angle)
        points.append((at[0] + u * cos(turn) - v * sin(turn), at[1] + u * sin(turn) + v * cos(turn)))
    return smooth(points)


def smooth(points: Sequence[Point]) -> str:
    """Return a closed curve through the middles of the sides, bent by the corners."""
    middles = [
        ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in zip(points, (*points[1:], points[0]), strict=True)
    ]
    data = f"M{pair(*middles[-1])}"
    return data + "".join(f"Q{pair(*p)} {pair(*m)}" for p, m in zip(points, middles, strict=True)) + "z"


def wandering(
    chance: Chance, start: Point, degrees: float, length: float, stray: float, step: float
) -> list[Point]:
    """Return a line that wanders off its direction by up to `stray` degrees a step, and comes back to it."""
    points = [start]
    count = max(2, round(length / step))
    for _ in range(count):
        x, y = points[-1]
        dx, dy = polar(length / count, degrees + chance.between(-stray, stray))
        points.append((x + dx, y + dy))
    return points


def sliver(chance: Chance, spine: Sequence[Point], wide: float, rough: float = 0.35) -> str:
    """Return a closed sliver along a line: widest near its middle, both ends pointed, its sides uneven."""
    last = len(spine) - 1
    left: list[Point] = []
    right: list[Point] = []
    for n, (x, y) in enumerate(spine):
        before, after = spine[max(0, n - 1)], spine[min(last, n + 1)]
        dx, dy = after[0] - before[0], after[1] - before[1]
        size = hypot(dx, dy) or 1.0
        half = wide / 2 * eased(sin(pi * n / last), 0.6)
        for side, sign in ((left, 1), (right, -1)):
            w = half * (1 + chance.between(-rough, rough)) * sign
            side.append((x - dy / size * w, y + dx / size * w))
    return line([*left, *reversed(right)], closed=True)
