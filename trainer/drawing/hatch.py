"""Hatching as real lines, and the choice of its direction and spacing so that neighbours differ.

Never an SVG `pattern`: in print it turns into a bitmap, and fine hatch into grey.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, floor, radians, sin
from typing import TYPE_CHECKING

from trainer.drawing.regions import bounds, crossings
from trainer.drawing.svg import pair
from trainer.procedure.shapes import Look

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from trainer.drawing.regions import Loop, Point

# Spacing by material, as a share of the sheet's; what is not here is solid, clear or crossed.
SPACING = {Look.CAST: 1.35, Look.STEEL: 1.0, Look.STAINLESS: 0.8, Look.BRONZE: 0.8}
CROSSED = 0.72
# Never closer, in px.
LEAST = 3.5
# A line stops short of the outline, and one shorter than this is not drawn, in px.
_TRIM, _SHORTEST = 0.7, 1.6
# Parts whose outlines come nearer than this are neighbours, in mm: also across a thin gasket or diaphragm.
NEAR = 3.4


@dataclass(frozen=True)
class Hatching:
    """Direction in degrees and spacing as a share of what the material has."""

    angle: int = 45
    share: float = 1.0


ANGLES = (45, 135)
# Neighbours that run the same way differ in spacing.
CLOSER = 0.7
# Directions are tried out in full for so many of the largest parts.
MOST = 11


def scan_lines(loops: Sequence[Sequence[Point]], angle: int, spacing: float, origin: Point) -> str:
    """Return path data of hatch lines in loops (px, counted even and odd).

    Args:
        loops: outlines in px.
        angle: direction in degrees, counter-clockwise as seen.
        spacing: distance of the lines in px.
        origin: one line of every sheet would run through here, so that both halves of a part line up.
    """
    if not loops:
        return ""
    c, s = cos(radians(angle)), sin(radians(angle))
    turned = [tuple(_turned(p[0] - origin[0], p[1] - origin[1], c, s) for p in loop) for loop in loops]
    _, low, _, high = bounds(p for loop in turned for p in loop)
    parts = []
    for n in range(floor(low / spacing) + 1, floor(high / spacing) + 1):
        # A hair off the line, so that a corner exactly on it is not met twice.
        level = n * spacing + 1e-4
        found = crossings(turned, level)
        for start, end in zip(found[::2], found[1::2], strict=False):
            if end - start - 2 * _TRIM >= _SHORTEST:
                parts.append(_stroke(start + _TRIM, end - _TRIM, level, c, s, origin))
    return "".join(parts)


def _turned(x: float, y: float, c: float, s: float) -> Point:
    return x * c - y * s, x * s + y * c


def _stroke(start: float, end: float, level: float, c: float, s: float, origin: Point) -> str:
    x, y = start * c + level * s + origin[0], -start * s + level * c + origin[1]
    dx, dy = (end - start) * c, -(end - start) * s
    return f"M{pair(x, y)}l{pair(dx, dy)}"


def choose(areas: Mapping[str, float], contacts: Mapping[tuple[str, str], float]) -> dict[str, Hatching]:
    """Return the hatching of each part: directions so that neighbours differ, spacing where that cannot be.

    Args:
        areas: cut face of each hatched part, in mm².
        contacts: how much two parts touch; each pair in both orders.
    """
    names = sorted(areas, key=lambda part: (-areas[part], part))
    weights = {both: weight for both, weight in contacts.items() if both[0] in areas and both[1] in areas}
    chosen: dict[str, Hatching] = {}
    angles = _directions(names, weights)
    for part in names:
        wide = Hatching(angles[part])
        near = [chosen[other] for other in chosen if weights.get((part, other))]
        chosen[part] = Hatching(angles[part], CLOSER) if wide in near else wide
    return chosen


def _directions(names: Sequence[str], weights: Mapping[tuple[str, str], float]) -> dict[str, int]:
    """Return a direction for each part, so that as little as can be of what touches runs the same way."""
    free = names[1:MOST]
    best: tuple[float, dict[str, int]] | None = None
    for turned in range(1 << len(free)):
        angles = dict.fromkeys(names[:1], ANGLES[0])
        angles |= {part: ANGLES[turned >> n & 1] for n, part in enumerate(free)}
        same = (w for (a, b), w in weights.items() if a in angles and angles[a] == angles.get(b))
        clash = sum(same)
        if best is None or clash < best[0] - 1e-9:
            best = (clash, angles)
    angles = best[1] if best else {}
    for part in names[MOST:]:
        pull = dict.fromkeys(ANGLES, 0.0)
        for other, angle in angles.items():
            pull[angle] += weights.get((part, other), 0.0)
        angles[part] = min(ANGLES, key=lambda angle: pull[angle])
    return angles


def contacts_of(loops: Mapping[str, Sequence[Loop]]) -> dict[tuple[str, str], float]:
    """Return how many sampled points of one part's outline lie near another's, for each pair."""
    cells: dict[tuple[int, int], dict[str, list[Point]]] = {}
    for part, outlines in loops.items():
        for x, z in _samples(outlines):
            cells.setdefault((floor(x / NEAR), floor(z / NEAR)), {}).setdefault(part, []).append((x, z))
    found: dict[tuple[str, str], float] = {}
    for (i, j), here in cells.items():
        around = [cells.get((i + a, j + b), {}) for a in (-1, 0, 1) for b in (-1, 0, 1)]
        for part, points in here.items():
            for other in {name for cell in around for name in cell} - {part}:
                close = sum(
                    1 for p in points if any(_near(p, q) for cell in around for q in cell.get(other, ()))
                )
                if close:
                    found[part, other] = found.get((part, other), 0.0) + close
    return found


def _near(p: Point, q: Point) -> bool:
    return (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 < NEAR**2


def _samples(outlines: Iterable[Loop]) -> Iterable[Point]:
    for loop in outlines:
        for n, (bx, bz) in enumerate(loop):
            ax, az = loop[n - 1]
            count = max(1, int(max(abs(bx - ax), abs(bz - az)) / 2))
            for k in range(count):
                yield ax + (bx - ax) * k / count, az + (bz - az) * k / count
