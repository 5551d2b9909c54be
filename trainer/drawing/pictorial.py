"""Bodies seen from outside, from a little above: surfaces of revolution and prisms about any axis, in three tones.

Orthographic, looking down at `ELEVATION`. World: x right, y away from the eye, z up, in mm. What is drawn is collected in
a `Canvas` in px about the origin of the part; the page moves it where it belongs.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from math import asin, atan2, cos, degrees, hypot, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

from trainer.drawing.svg import number, pair, path, spaced

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.curves import Point

ELEVATION = radians(24)
_UP, _DEPTH = cos(ELEVATION), sin(ELEVATION)
Vector = tuple[float, float, float]
# From the thing to the eye.
EYE: Vector = (0.0, -cos(ELEVATION), sin(ELEVATION))
# The right part of a wall lies in the shade, from this azimuth on.
_SHADE_FROM = radians(302)


def project(p: Vector) -> Point:
    """Return a point on the screen, in mm, y upwards."""
    return p[0], p[2] * _UP + p[1] * _DEPTH


def dot(a: Vector, b: Vector) -> float:
    """Return the inner product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


@dataclass
class Canvas:
    """SVG in px about an origin, and the outlines drawn, for laying out."""

    scale: float
    parts: list[str] = field(default_factory=list)
    outlines: list[list[Point]] = field(default_factory=list)

    def at(self, p: Vector) -> Point:
        """Return a point of the world in px, y downwards."""
        return p[0] * self.scale, -(p[2] * _UP + p[1] * _DEPTH) * self.scale

    def polygon(self, points: Sequence[Vector], kind: str, *, closed: bool = True) -> None:
        """Draw a flat polygon or line."""
        placed = [self.at(p) for p in points]
        data = "M" + "L".join(pair(*p) for p in placed) + ("Z" if closed else "")
        self.parts.append(path(data, kind))
        self.outlines.append(placed)

    def flat(self, points: Sequence[Point], kind: str, **attributes: str | float | None) -> None:
        """Draw a line that is already in px."""
        self.parts.append(path("M" + "L".join(pair(*p) for p in points), kind, **attributes))
        self.outlines.append(list(points))

    @property
    def svg(self) -> str:
        """Everything drawn, from back to front."""
        return "".join(self.parts)


@dataclass(frozen=True)
class Axis:
    """An axis of revolution: a point on it and its direction, a unit vector that does not point away from the eye."""

    origin: Vector = (0.0, 0.0, 0.0)
    along: Vector = (0.0, 0.0, 1.0)

    @cached_property
    def facing(self) -> float:
        """How much the axis points at the eye: the sine of its elevation as seen."""
        return dot(self.along, EYE)

    @cached_property
    def frame(self) -> tuple[Vector, Vector]:
        """Two unit vectors across the axis: the first lies level on the screen of the circle, the second points away."""
        a, c = self.along, EYE
        m = (a[1] * c[2] - a[2] * c[1], a[2] * c[0] - a[0] * c[2], a[0] * c[1] - a[1] * c[0])
        length = sqrt(dot(m, m)) or 1.0
        m = (m[0] / length, m[1] / length, m[2] / length)
        if m[0] < 0:
            m = (-m[0], -m[1], -m[2])
        w = (a[1] * m[2] - a[2] * m[1], a[2] * m[0] - a[0] * m[2], a[0] * m[1] - a[1] * m[0])
        return m, (w if dot(w, EYE) < 0 else (-w[0], -w[1], -w[2]))

    def point(self, r: float, s: float, phi: float) -> Vector:
        """Return a point at a radius, a distance along, and an azimuth."""
        m, w = self.frame
        c, d = r * cos(phi), r * sin(phi)
        o, a = self.origin, self.along
        return (
            o[0] + s * a[0] + c * m[0] + d * w[0],
            o[1] + s * a[1] + c * m[1] + d * w[1],
            o[2] + s * a[2] + c * m[2] + d * w[2],
        )

    def visible(self, n_r: float, n_s: float) -> tuple[float, float] | None:
        """Return the azimuths between which a strip with this normal is seen, None when it is not."""
        depth = sqrt(max(0.0, 1 - self.facing**2))
        reach, tilt = n_r * depth, n_s * self.facing
        if abs(tilt) >= abs(reach) - 1e-9:
            return (0.0, 2 * pi) if tilt > 0 else None
        a = asin(max(-1.0, min(1.0, tilt / reach)))
        return (pi - a, 2 * pi + a) if n_r > 0 else (a, pi - a)

    def arc(self, canvas: Canvas, r: float, s: float, start: float, end: float, *, first: bool) -> str:
        """Return path data along a circle, from one azimuth to another, after a move or a line to its start."""
        x0, y0 = canvas.at(self.point(r, s, start))
        lead = f"{'M' if first else 'L'}{pair(x0, y0)}"
        if r * canvas.scale < 0.4:
            return lead
        m, w = self.frame
        (mu, mv), (wu, wv) = project(m), project(w)
        turn = degrees(atan2(-mv, mu))
        rx, ry = r * hypot(mu, mv) * canvas.scale, r * hypot(wu, wv) * canvas.scale
        if rx > 20:
            # Rounded down: SVG widens an arc that is too small for its ends, and a whole number is short.
            rx, ry = float(int(rx)), ry * int(rx) / rx
        sweep = 0 if (mu * wv - mv * wu > 0) == (end > start) else 1
        middle = (start + end) / 2
        data = lead
        span = abs(end - start)
        stops = (middle, end) if span > 1.95 * pi else (end,)
        large = 1 if 1.95 * pi >= span > pi * 1.001 else 0
        for stop in stops:
            x, y = canvas.at(self.point(r, s, stop))
            data += f"A{number(rx)} {number(ry)} {number(turn)} {large} {spaced(str(sweep), pair(x, y))}"
        return data

    def ring(self, r: float, s: float, count: int = 24) -> list[Vector]:
        """Return points on a circle."""
        return [self.point(r, s, 2 * pi * n / count) for n in range(count + 1)]


@dataclass(frozen=True)
class Corner:
    """A corner of a half-profile: radius, distance along the axis, and whether an edge is seen there."""

    r: float
    s: float
    sharp: bool = True


def strip(canvas: Canvas, axis: Axis, a: Corner, b: Corner, *, shaded: bool = True) -> None:
    """Draw the surface that an edge sweeps, as far as it is seen; the outside lies right of the way from a to b."""
    length = hypot(b.r - a.r, b.s - a.s)
    if length < 1e-6 or max(a.r, b.r) < 1e-6:
        return
    n_r, n_s = (b.s - a.s) / length, (a.r - b.r) / length
    seen = axis.visible(n_r, n_s)
    if seen is None:
        return
    start, end = seen
    full = end - start > 2 * pi - 1e-6
    tall = length * canvas.scale
    sharp = [corner for corner in (a, b) if corner.sharp and corner.r > 1e-6]
    rims = len([corner for corner in (a, b) if corner.r > 1e-6])
    wall = n_r > 0.4 and not full and shaded and max(a.r, b.r) * canvas.scale > 5 and tall > 6
    # A strip with edges all round is one path, its line included; the shade on it leaves that line free.
    whole = len(sharp) == rims and (full or tall > 1)
    _fill(canvas, axis, a, b, (start, end), _tone(axis, n_r, n_s) + (" s-l" if whole else ""))
    if wall:
        inset = 0.5 / tall if whole else 0.0
        c = Corner(a.r + (b.r - a.r) * inset, a.s + (b.s - a.s) * inset)
        d = Corner(b.r + (a.r - b.r) * inset, b.s + (a.s - b.s) * inset)
        _fill(canvas, axis, c, d, (max(start, _SHADE_FROM), end - 0.4 * inset), "s-c")
    if whole:
        return
    lines = "".join(axis.arc(canvas, corner.r, corner.s, start, end, first=True) for corner in sharp)
    if not full and tall > (2 if sharp else 9):
        for phi in (start, end):
            lines += "M" + "L".join(pair(*canvas.at(axis.point(c.r, c.s, phi))) for c in (a, b))
    canvas.parts.append(path(lines, "s-e"))


def _fill(canvas: Canvas, axis: Axis, a: Corner, b: Corner, between: tuple[float, float], tone: str) -> None:
    start, end = between
    if end - start < 1e-6:
        return
    if end - start > 2 * pi - 1e-6:
        outer = axis.arc(canvas, a.r, a.s, start, end, first=True) + "Z"
        inner = axis.arc(canvas, b.r, b.s, start, end, first=True) + "Z" if b.r > 1e-6 else ""
        outer, inner = (
            (outer, inner) if a.r > 1e-6 else ("", axis.arc(canvas, b.r, b.s, start, end, first=True) + "Z")
        )
        data = outer + inner
    else:
        data = (
            axis.arc(canvas, a.r, a.s, start, end, first=True)
            + axis.arc(canvas, b.r, b.s, end, start, first=False)
            + "Z"
        )
    canvas.parts.append(path(data, tone))
    steps = [start + (end - start) * n / 14 for n in range(15)]
    canvas.outlines.append([canvas.at(axis.point(c.r, c.s, phi)) for c in (a, b) for phi in steps])


def _tone(axis: Axis, n_r: float, n_s: float) -> str:
    if n_r < -0.4:
        return "s-d"
    upright = axis.along[2]
    return "s-a" if n_s * (1 if upright > 0.5 else 0.8) > 0.55 else "s-b"


def revolve(canvas: Canvas, axis: Axis, corners: Sequence[Corner], *, closed: bool) -> None:
    """Draw a body of revolution; its corners run counter-clockwise, so outside is right of the way."""
    for a, b in ordered(corners, closed=closed):
        strip(canvas, axis, a, b)


def ordered(corners: Sequence[Corner], *, closed: bool) -> list[tuple[Corner, Corner]]:
    """Return the edges as they are painted: the inner side from below, then the outer side from below.

    Seen from above nothing lower on the outer side hides what is higher, and the bore lies behind it all.
    """
    count = len(corners)
    edges = [(corners[n], corners[(n + 1) % count]) for n in range(count if closed else count - 1)]
    top = max(range(count), key=lambda n: (round(corners[n].s, 6), corners[n].r))
    bottom = min(range(count), key=lambda n: (round(corners[n].s, 6), -corners[n].r))
    outer: list[tuple[Corner, Corner]] = []
    inner: list[tuple[Corner, Corner]] = []
    for n, edge in enumerate(edges):
        on_way_up = (n - bottom) % count < (top - bottom) % count
        (outer if on_way_up else inner).append(edge)

    def height(edge: tuple[Corner, Corner]) -> tuple[float, float]:
        return (edge[0].s + edge[1].s) / 2, -max(edge[0].r, edge[1].r)

    return [*sorted(inner, key=height), *sorted(outer, key=height)]


def prism(canvas: Canvas, axis: Axis, af: float, s0: float, s1: float, hole: float = 0.0) -> None:
    """Draw a hexagon about an axis, with a hole in the face that is seen."""
    r = af / sqrt(3)
    turns = [pi / 6 + k * pi / 3 + pi / 8 for k in range(7)]
    near = []
    for k in range(6):
        middle = (turns[k] + turns[k + 1]) / 2
        seen = axis.visible(1.0, 0.0)
        if (
            seen is not None
            and seen[0] - 0.02
            < middle % (2 * pi) + (2 * pi if middle % (2 * pi) < seen[0] - 0.02 else 0)
            < seen[1] + 0.02
        ):
            near.append((sin(middle % (2 * pi)), k, middle % (2 * pi)))
    for _, k, middle in sorted(near, reverse=True):
        tone = "s-c" if middle > radians(300) or middle < 0.1 else "s-b" if middle > radians(225) else "s-a"
        corners = [axis.point(r, s, turns[j]) for s, j in ((s0, k), (s0, k + 1), (s1, k + 1), (s1, k))]
        canvas.polygon(corners, f"{tone} s-l")
    canvas.polygon([axis.point(r, s1, t) for t in turns[:6]], "s-a s-l")
    if hole:
        disc(canvas, axis, hole, s1, "s-d s-l")


def disc(canvas: Canvas, axis: Axis, r: float, s: float, kind: str) -> None:
    """Draw a full circle across an axis."""
    discs(canvas, axis, r, [axis.point(0.0, s, 0.0)], kind)


def discs(canvas: Canvas, axis: Axis, r: float, middles: Sequence[Vector], kind: str) -> None:
    """Draw equal circles across an axis as one path."""
    data = ""
    for middle in middles:
        about = Axis(middle, axis.along)
        data += about.arc(canvas, r, 0.0, 0.0, 2 * pi, first=True) + "Z"
        canvas.outlines.append([canvas.at(p) for p in about.ring(r, 0.0)])
    canvas.parts.append(path(data, kind))
