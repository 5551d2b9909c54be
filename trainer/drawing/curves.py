"""Outlines as curves: corners rounded by their radius, moved, mirrored, flattened, and written as path data.

Everything is in millimetres with z upwards; `Curve.data` turns it into SVG path data through a `Sheet`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import atan2, ceil, cos, hypot, pi, sin, tan
from typing import TYPE_CHECKING

from trainer.drawing.svg import number, pair, spaced

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.drawing.sheet import Sheet
    from trainer.procedure.shapes import Outline

Point = tuple[float, float]
# An arc is followed in chords that turn by at most this angle when points are wanted.
_CHORD = 0.35
_TINY = 1e-9


@dataclass(frozen=True)
class Leg:
    """The way to a point: straight, or along an arc of radius `r`, to the left when `ccw`."""

    x: float
    z: float
    r: float = 0.0
    ccw: bool = False


@dataclass(frozen=True)
class Curve:
    """A start and the legs from there; closed curves come back to their start by themselves."""

    start: Point
    legs: tuple[Leg, ...]
    closed: bool = True

    @cached_property
    def points(self) -> tuple[Point, ...]:
        """The curve as points; of a closed one the start is not repeated."""
        found = [self.start]
        for leg in self.legs:
            found.extend(_arc_points(found[-1], leg))
        if self.closed and len(found) > 1 and _same(found[0], found[-1]):
            found.pop()
        return tuple(found)

    def moved(self, dx: float, dz: float) -> Curve:
        """Return the curve elsewhere."""
        legs = tuple(Leg(leg.x + dx, leg.z + dz, leg.r, leg.ccw) for leg in self.legs)
        return Curve((self.start[0] + dx, self.start[1] + dz), legs, self.closed)

    def mirrored(self) -> Curve:
        """Return the curve on the other side of the main axis."""
        legs = tuple(Leg(-leg.x, leg.z, leg.r, not leg.ccw) for leg in self.legs)
        return Curve((-self.start[0], self.start[1]), legs, self.closed)

    def upturned(self, about: float) -> Curve:
        """Return the curve upside down about a height."""
        legs = tuple(Leg(leg.x, 2 * about - leg.z, leg.r, not leg.ccw) for leg in self.legs)
        return Curve((self.start[0], 2 * about - self.start[1]), legs, self.closed)

    def laid(self, side: int, level: float) -> Curve:
        """Return the curve with the main axis laid level at a height, its upper end to the right (1) or left (-1)."""
        legs = tuple(Leg(side * leg.z, level - side * leg.x, leg.r, leg.ccw) for leg in self.legs)
        return Curve((side * self.start[1], level - side * self.start[0]), legs, self.closed)

    def backwards(self) -> Curve:
        """Return the same curve from its end to its start."""
        stops = [self.start, *((leg.x, leg.z) for leg in self.legs)]
        legs = [Leg(*stops[index], leg.r, not leg.ccw) for index, leg in reversed(list(enumerate(self.legs)))]
        return Curve(stops[-1], tuple(legs), self.closed)

    def data(self, sheet: Sheet) -> str:
        """Return the curve as SVG path data."""
        x, y = sheet.at(*self.start)
        parts = [f"M{pair(x, y)}"]
        was = (number(x), number(y))
        for leg in self.legs:
            new = sheet.at(leg.x, leg.z)
            at = (number(new[0]), number(new[1]))
            if at == was:
                continue
            parts.append(_step(was, at, leg.r * sheet.scale, leg.ccw))
            was = at
        return "".join(parts) + ("Z" if self.closed else "")


def _step(was: tuple[str, str], at: tuple[str, str], radius: float, ccw: bool) -> str:
    if radius > 0.3:
        # Rather too small: SVG widens an arc that cannot reach its end, but one too large turns a disc into a lens.
        r = number(radius - 0.05)
        return f"A{r} {r} 0 0 {0 if ccw else 1} {spaced(*at)}"
    if was[1] == at[1]:
        return f"H{at[0]}"
    return f"V{at[1]}" if was[0] == at[0] else f"L{spaced(*at)}"


def _same(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) < _TINY and abs(a[1] - b[1]) < _TINY


def _arc_points(start: Point, leg: Leg) -> list[Point]:
    """Return the points of one leg without its start."""
    chord = hypot(leg.x - start[0], leg.z - start[1])
    if leg.r <= 0 or chord < _TINY:
        return [(leg.x, leg.z)]
    half = min(chord / 2, leg.r)
    rise = (leg.r**2 - half**2) ** 0.5 * (1 if leg.ccw else -1)
    ux, uz = (leg.x - start[0]) / chord, (leg.z - start[1]) / chord
    cx, cz = (start[0] + leg.x) / 2 - uz * rise, (start[1] + leg.z) / 2 + ux * rise
    first = atan2(start[1] - cz, start[0] - cx)
    turn = atan2(leg.z - cz, leg.x - cx) - first
    turn = turn % (2 * pi) if leg.ccw else -((-turn) % (2 * pi))
    count = max(1, ceil(abs(turn) / _CHORD))
    angles = [first + turn * n / count for n in range(1, count)]
    return [*((cx + leg.r * cos(a), cz + leg.r * sin(a)) for a in angles), (leg.x, leg.z)]


def polygon(points: Iterable[Point]) -> Curve:
    """Return the closed curve through points."""
    first, *rest = points
    return Curve(first, tuple(Leg(*point) for point in rest))


def line(*points: Point) -> Curve:
    """Return the open curve through points."""
    first, *rest = points
    return Curve(first, tuple(Leg(*point) for point in rest), closed=False)


def box(x0: float, z0: float, x1: float, z1: float) -> Curve:
    """Return a rectangle."""
    return polygon([(x0, z0), (x1, z0), (x1, z1), (x0, z1)])


def circle(x: float, z: float, r: float) -> Curve:
    """Return a circle."""
    return Curve((x + r, z), (Leg(x - r, z, r, True), Leg(x + r, z, r, True)))


def rounded(outline: Outline, *, closed: bool = True) -> Curve:
    """Return the curve through corners, each rounded by its radius as far as its two edges allow."""
    count = len(outline)
    inner = range(count) if closed else range(1, count - 1)
    cut = dict.fromkeys(range(count), 0.0)
    for n in inner:
        cut[n] = _tangent_length(outline, n)
    legs: list[Leg] = []
    for n, (x, z, _) in enumerate(outline):
        if cut[n] <= _TINY:
            legs.append(Leg(x, z))
            continue
        before, after = outline[n - 1], outline[(n + 1) % count]
        entry, leave = _toward((x, z), before, cut[n]), _toward((x, z), after, cut[n])
        legs.append(Leg(*entry))
        cross = (x - before[0]) * (after[1] - z) - (z - before[1]) * (after[0] - x)
        legs.append(Leg(*leave, cut[n] * tan(_turn(outline, n) / 2), cross > 0))
    first = legs[0]
    back = (Leg(first.x, first.z),) if closed and legs[-1].r else ()
    return Curve((first.x, first.z), (*legs[1:], *back), closed)


def _turn(outline: Outline, n: int) -> float:
    """Return the angle between the two edges at a corner."""
    x, z, _ = outline[n]
    a, b = outline[n - 1], outline[(n + 1) % len(outline)]
    ux, uz, vx, vz = a[0] - x, a[1] - z, b[0] - x, b[1] - z
    return abs(atan2(ux * vz - uz * vx, ux * vx + uz * vz))


def _tangent_length(outline: Outline, n: int) -> float:
    x, z, radius = outline[n]
    if radius <= 0:
        return 0.0
    half = tan(_turn(outline, n) / 2)
    if half < 1e-6 or half > 1e6:
        return 0.0
    room = radius / half
    for other in (n - 1, (n + 1) % len(outline)):
        edge = hypot(outline[other][0] - x, outline[other][1] - z)
        room = min(room, edge / 2 if outline[other][2] > 0 else edge)
    return room


def _toward(point: Point, other: Sequence[float], distance: float) -> Point:
    length = hypot(other[0] - point[0], other[1] - point[1])
    share = distance / length if length else 0.0
    return point[0] + (other[0] - point[0]) * share, point[1] + (other[1] - point[1]) * share
