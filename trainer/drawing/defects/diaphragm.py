"""A diaphragm of rubber on cloth: rim, fold and the flat under its plates, and the ways in which it fails."""

from __future__ import annotations

from dataclasses import dataclass
from math import sin
from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust, places
from trainer.drawing.defects.strokes import arc, around, blob, circle, line, polar, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable


@dataclass(frozen=True)
class _Lines:
    """Radii: the hole, the flat under the plate, the fold from foot to foot, and the inside of the rim."""

    hole: float
    plate: float
    fold: tuple[float, float]
    rim: float

    @property
    def crest(self) -> float:
        return (self.fold[0] + self.fold[1]) / 2

    @property
    def wide(self) -> float:
        return (self.fold[1] - self.fold[0]) / 2


def paint(relief: Relief) -> None:
    """Paint a diaphragm seen from the side of its plates."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    relief.skin = Skin(
        "cloth",
        9,
        chance.between(0.12, 0.26),
        (chance.between(0.16, 0.3), chance.between(0.16, 0.3)),
        0.25,
        10,
    )
    rim = chance.between(156, 168)
    foot = chance.between(84, 100)
    lines = _Lines(
        chance.between(9, 17), foot - chance.between(3, 7), (foot, rim - chance.between(6, 12)), rim
    )
    relief.reach = chance.between(36, 46)
    at = chance.between(0, 360)
    holes = chance.pick((0, 0, 6, 8, 12))
    edge = circle(196) + circle(lines.hole)
    for n in range(holes):
        edge += circle(5.5, *polar(182, 15 + n * 360 / holes))
    relief.edge(edge)
    _form(relief, lines)
    relief.spot = polar(chance.pick((lines.crest, lines.fold[0], lines.plate)), at)
    _harmless(relief, lines, at)
    if damage:
        _DAMAGES[damage](relief, lines, at)
    dust(relief, places(chance, 20, 190), 12)


def _form(relief: Relief, lines: _Lines) -> None:
    chance = relief.chance
    inner, outer = lines.fold
    tones = [(0, 0.04), (lines.plate, 0.02), (inner - 2, -0.2), (inner + 2, -0.3)]
    for n in range(1, 12):
        t = n / 6 - 1
        tones.append((lines.crest + t * lines.wide * 0.92, 0.12 - 0.42 * t * t))
    tones += [
        (outer - 1, -0.34),
        (outer + 3, -0.1),
        (lines.rim, 0.02),
        (lines.rim + 3, -0.16),
        (lines.rim + 6, 0.05),
        (196, -0.05),
        (200, -0.3),
    ]
    relief.shade(200, tones)
    for side in (1, -1):
        relief.slope(
            circle(lines.crest + side * lines.wide * 0.5),
            lines.wide * 0.7,
            side * chance.between(0.24, 0.38),
            soft=8,
        )
    relief.slope(circle(196), 4, 0.4, soft=1)
    relief.slope(circle(lines.hole), 3, -0.4, soft=1)
    relief.slope(circle(lines.rim + 2), 3, -0.25, soft=1)


def _harmless(relief: Relief, lines: _Lines, at: float) -> None:
    chance = relief.chance
    if "plate" in relief.found.marks:
        r = lines.plate - chance.between(6, 22)
        off = chance.between(-1.5, 1.5)
        relief.tone(
            circle(r, off, off / 2), chance.either() * chance.between(0.08, 0.2), chance.between(0.8, 2.2)
        )
    if "clamp" in relief.found.marks:
        r = chance.between(lines.rim + 6, 190)
        relief.tone(
            circle(r),
            chance.between(0.06, 0.14),
            chance.between(4, 9),
            dash=f"{chance.whole(90, 260)} {chance.whole(10, 60)}",
            soft=1,
        )
    if "grease" in relief.found.marks:
        spot = relief.near(0.2, 0.8)
        relief.over(
            blob(chance, spot, chance.between(6, 14), chance.between(4, 9), at, 0.35),
            "soot",
            chance.between(0.3, 0.6),
            soft=2,
        )
    if "chalk" in relief.found.marks:
        start = relief.near(0.1, 0.7)
        relief.over(
            line(wandering(chance, start, chance.between(0, 360), chance.between(14, 30), 12, 5)),
            "ash",
            chance.between(0.45, 0.75),
            width=chance.between(1.2, 2.6),
        )


def _torn(relief: Relief, lines: _Lines, at: float) -> None:
    chance = relief.chance
    beside = relief.found.side == 0
    r = lines.plate + 2 if beside else lines.crest + chance.between(-10, 10)
    degrees = at + (90 if beside else chance.between(10, 70))
    size = chance.between(26, 52)
    middle = polar(r, at)
    begin = (middle[0] - polar(size / 2, degrees)[0], middle[1] - polar(size / 2, degrees)[1])
    spine = wandering(chance, begin, degrees, size, 24, 3.2)
    gap = chance.between(3.2, 6.5)
    relief.area(sliver(chance, spine, gap * 2.4), 0.85, 0.35, soft=2)
    relief.area(sliver(chance, spine, gap * 1.5), 0.2, 0.7)
    relief.over(sliver(chance, spine, gap * 1.3), "black", 0.9)
    relief.over(sliver(chance, spine[1:-1], gap * 0.8), "ground", 1)
    # Threads of the cloth stand across the gap, most of them broken.
    for n in range(2, len(spine) - 2):
        for _ in range(2):
            x, y = spine[n]
            reach = gap * chance.between(0.35, 0.75)
            side = degrees + 90 * chance.either() + chance.between(-25, 25)
            sx, sy = polar(reach, side)
            ex, ey = polar(gap * chance.between(-0.1, 0.4), side + 180)
            relief.over(
                line(
                    [(x + sx, y + sy), (x + sx * 0.4 + chance.between(-1, 1), y + sy * 0.4), (x + ex, y + ey)]
                ),
                "straw",
                chance.between(0.5, 0.9),
                width=chance.between(0.35, 0.7),
            )
    relief.spot = middle


def _cracked(relief: Relief, lines: _Lines, at: float) -> None:
    chance = relief.chance
    r = lines.fold[1] - 3 if relief.found.side else lines.fold[0] + 3
    half = chance.between(14, 42)
    for n in range(chance.whole(5, 11)):
        start = at + chance.between(-half, half) * (0.2 if n < 2 else 0.9)
        size = chance.between(12, 38)
        base = r + chance.between(-6, 6)
        spine = wandering(chance, polar(base, start - size / 3.5), start + 88, size, 26, 2.4)
        deep = chance.between(0.7, 1.5)
        relief.area(sliver(chance, spine, deep * 1.7), 0.1, 0.6)
        relief.over(sliver(chance, spine, deep * 0.7), "black", 0.75)
        if chance.yes(0.6):
            fork = chance.pick(spine[1:-1])
            branch = wandering(
                chance, fork, start + 88 + chance.either() * chance.between(30, 65), size * 0.4, 26, 2
            )
            relief.area(sliver(chance, branch, deep * 1.2), 0.1, 0.5)
            relief.over(sliver(chance, branch, deep * 0.5), "black", 0.7)
    relief.tone(arc(r, at - half, at + half), 0.12, 9, soft=4)
    relief.spot = polar(r, at)


def _blister(relief: Relief, lines: _Lines, at: float) -> None:
    chance = relief.chance
    r = lines.crest if relief.found.side else lines.plate * chance.between(0.62, 0.8)
    spot = polar(r, at)
    size, lean = chance.between(13, 21), chance.between(0, 180)
    relief.skin = Skin("cloth", 15, relief.skin.grain, relief.skin.fine, 0.12, 7)
    relief.dome(
        blob(chance, spot, size * chance.between(1.1, 1.5), size, lean, 0.14),
        chance.between(0.6, 0.85),
        soft=1.5,
    )
    relief.dome(
        blob(chance, (spot[0] + 3, spot[1] - 2), size * 0.6, size * 0.45, lean + 30, 0.3), 0.25, soft=2
    )
    for _ in range(chance.whole(2, 4)):
        side = polar(size * chance.between(0.2, 0.5), chance.between(0, 360))
        fold = wandering(
            chance,
            (spot[0] + side[0], spot[1] + side[1]),
            lean + chance.between(-50, 50),
            size * chance.between(0.4, 0.8),
            30,
            2.5,
        )
        relief.stroke(line(fold), 0.9, 0.1, 0.12, soft=1)
    for _ in range(chance.whole(1, 3)):
        near = polar(size * chance.between(1.3, 1.9), chance.between(0, 360))
        small = size * chance.between(0.2, 0.4)
        relief.dome(
            blob(
                chance,
                (spot[0] + near[0], spot[1] + near[1]),
                small * 1.6,
                small,
                chance.between(0, 180),
                0.24,
            ),
            chance.between(0.2, 0.36),
            soft=2,
        )
    relief.over(blob(chance, spot, size * 0.9, size * 0.75, lean, 0.2), "grey", 0.1, soft=4)
    relief.spot = spot


def _chafed(relief: Relief, lines: _Lines, at: float) -> None:
    chance = relief.chance
    half = chance.between(20, 48)
    inner, outer = lines.rim + 1, lines.rim + chance.between(14, 22)
    wave = [(chance.between(0.2, 0.9), chance.between(0, 6)) for _ in range(3)]

    def ragged(r: float) -> Callable[[float], float]:
        return lambda a: r + 1.6 * sum(sin(a * f + p) for f, p in wave)

    worn = [
        *around(ragged(inner), at - half, at + half, 2),
        *reversed(around(ragged(outer), at - half * 0.9, at + half * 0.8, 2)),
    ]
    relief.area(line(worn, closed=True), 0.1, 0.35, soft=1)
    relief.over(line(worn, closed=True), "tan", 0.5, soft=1)
    # The cloth shows: two sets of threads across each other.
    step = 2.6
    lean = chance.between(-20, 20)
    for turn in (at + 45 + lean, at - 45 + lean):
        for n in range(round(2 * half * (inner + outer) / 2 / 57.3 / step)):
            angle = at - half * 0.88 + n * step * 57.3 / ((inner + outer) / 2)
            if angle > at + half * 0.76 or chance.yes(0.12):
                continue
            a = polar(chance.between(inner + 2, inner + 4), angle)
            along = polar(outer - inner - chance.between(5, 9), angle + (turn - at))
            relief.over(
                line([a, (a[0] + along[0], a[1] + along[1])]), "straw", chance.between(0.35, 0.7), width=0.7
            )
    relief.spot = polar((inner + outer) / 2, at)


_DAMAGES: dict[str, Callable[[Relief, _Lines, float], None]] = {
    "torn": _torn,
    "cracked": _cracked,
    "blister": _blister,
    "chafed": _chafed,
}
