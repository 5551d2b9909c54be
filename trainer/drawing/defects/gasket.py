"""A flat gasket of fibre, and the ways in which it fails."""

from __future__ import annotations

from math import sin
from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust, places
from trainer.drawing.defects.strokes import arc, around, blob, circle, eased, line, polar, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.drawing.defects.strokes import Point


def paint(relief: Relief) -> None:
    """Paint a ring gasket lying on the bench."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    inner = chance.between(118, 142)
    relief.skin = Skin(
        "fibre",
        chance.between(4, 6),
        chance.between(0.3, 0.5),
        (chance.between(0.08, 0.2), chance.between(0.3, 0.6)),
        0.15,
        8,
    )
    relief.reach = chance.between(36, 44)
    at = chance.between(0, 360)
    relief.edge(circle(194) + circle(inner))
    relief.shade(200, [(inner, -0.2), (inner + 3, 0.03), (150, 0.0), (190, 0.03), (194, -0.2), (200, -0.3)])
    relief.slope(circle(193), 3, 0.5)
    relief.slope(circle(inner + 1), 3, -0.5)
    relief.spot = polar((inner + 194) / 2, at)
    _harmless(relief, inner, at)
    if damage:
        _DAMAGES[damage](relief, inner, at)
    dust(relief, places(chance, inner, 192), 10)


def _harmless(relief: Relief, inner: float, at: float) -> None:
    chance = relief.chance
    if "faces" in relief.found.marks:
        low, high = inner + chance.between(8, 16), 194 - chance.between(8, 16)
        relief.tone(circle((low + high) / 2), chance.between(0.06, 0.12), high - low, soft=1)
        r = low
        while r < high:
            relief.tone(circle(r), -chance.between(0.1, 0.22), chance.between(0.5, 0.9))
            r += chance.between(3, 5)
    if "oil" in relief.found.marks:
        spot = polar(chance.between(inner + 8, 186), at + chance.between(-12, 12))
        stain = blob(chance, spot, chance.between(10, 26), chance.between(7, 15), at + 90, 0.35)
        relief.over(stain, "soot", chance.between(0.3, 0.5), soft=1)
        relief.over(stain, "soot", 0.4, width=0.8, soft=1)
    if "print" in relief.found.marks:
        r, start = inner + (194 - inner) * chance.between(0.4, 0.6), at + chance.between(-20, 10)
        for n in range(chance.whole(4, 9)):
            stroke = [
                polar(r + chance.between(-5, 5), start + n * 2.2),
                polar(r + chance.between(-5, 5), start + n * 2.2 + chance.between(-0.6, 1.4)),
            ]
            relief.over(line(stroke), "black", 0.6, width=1.2)


def _cracked(relief: Relief, inner: float, at: float) -> None:
    chance = relief.chance
    for n in range(chance.pick((1, 1, 2, 3))):
        angle = at + (0 if not n else chance.between(-13, 13))
        whole = not n and chance.yes(0.6)
        start = polar(inner - 3, angle - 2) if chance.yes(0.5) or whole else polar(197, angle)
        toward = angle if start == polar(inner - 3, angle - 2) else angle + 180
        size = (200 - inner) * (1.08 if whole else chance.between(0.45, 0.8))
        spine = wandering(chance, start, toward + chance.between(-8, 8), size, 34, 3.4)
        # It is widest at the edge where it began, and ends in a point.
        wide = chance.between(1.6, 3)
        relief.area(sliver(chance, spine, wide * 1.6), 0.1, 0.6)
        relief.over(sliver(chance, [spine[0], *spine], wide * 0.7), "black", 0.85)
        if chance.yes(0.7):
            fork = wandering(chance, spine[len(spine) // 2], toward + chance.either() * 48, size * 0.3, 34, 3)
            relief.over(sliver(chance, fork, wide * 0.5), "black", 0.75)


def _torn(relief: Relief, inner: float, at: float) -> None:
    chance = relief.chance
    outside = relief.found.side == 1
    half = chance.between(6, 14)
    reach = (194 - inner) * chance.between(0.45, 0.8)
    waves = [(chance.between(0.5, 4), chance.between(0, 6), chance.between(0.4, 1)) for _ in range(4)]
    rim = 194 if outside else inner
    sign = -1 if outside else 1

    def gone(angle: float) -> float:
        near = eased(1 - ((angle - at) / half) ** 2, 1)
        rough = sum(w * sin(f * angle + p) for f, p, w in waves)
        return rim + sign * max(0.0, reach * eased(near, 0.5) + rough * min(1.0, near * 3) * 1.4)

    cut = around(gone, at - half, at + half, 0.5)
    rest = around(lambda _: rim, at + half, at + 360 - half, 4)
    relief.edge(line([*cut, *rest], closed=True) + circle(inner if outside else 194))
    # The upper layer has split off a little farther than the lower one, and fibres stand out of the break.
    peeled = around(
        lambda a: gone(a) + sign * 5 * (1 + 0.5 * sin(a * 2.3)), at - half * 0.95, at + half * 0.95, 0.8
    )
    relief.over(line([*cut[1:-1], *reversed(peeled)], closed=True), "sandy", 0.45)
    relief.stroke(line(peeled), 1.4, 0.0, 0.6)
    for _ in range(chance.whole(16, 30)):
        angle = at + half * chance.between(-0.9, 0.9)
        root: Point = polar(gone(angle) + sign * 4, angle)
        hair = wandering(
            chance,
            root,
            angle + (0 if outside else 180) + chance.between(-50, 50),
            chance.between(4, 9),
            40,
            2,
        )
        relief.over(line(hair), "straw", chance.between(0.5, 0.9), width=0.6)
    relief.spot = polar(gone(at), at)


def _crushed(relief: Relief, inner: float, at: float) -> None:
    chance = relief.chance
    half = chance.between(24, 55)
    bulge = chance.between(4, 8)

    def out(rim: float, sign: int) -> Callable[[float], float]:
        return lambda a: (
            rim + sign * bulge * eased(1 - ((a - at) / half) ** 2, 0.7) * (0.85 + 0.15 * sin(a * 1.9))
        )

    edges = ""
    for rim, sign in ((192.0, 1), (inner, -1)):
        moved = around(out(rim, sign), at - half, at + half, 1.5)
        edges += line([*moved, *around(_even(rim), at + half, at + 360 - half, 4)], closed=True)
    relief.edge(edges)
    middle, wide = (inner + 194) / 2, (194 - inner) * chance.between(0.5, 0.75)
    relief.tone(arc(middle, at - half * 0.85, at + half * 0.85), -0.3, wide, soft=2)
    relief.tone(arc(middle, at - half * 0.8, at + half * 0.7), 0.2, wide * 0.7, soft=4)
    for edge in (0.5, -0.5):
        relief.stroke(
            arc(middle + edge * wide, at - half * 0.9, at + half * 0.9),
            2,
            0.95 if edge > 0 else 0.05,
            0.5,
            soft=1,
        )
    for _ in range(chance.whole(5, 10)):
        spot = polar(middle + wide * chance.between(-0.6, 0.6), at + half * chance.between(-0.8, 0.8))
        relief.area(
            sliver(
                chance,
                wandering(chance, spot, at + chance.between(0, 180), chance.between(5, 14), 30, 2.4),
                1,
            ),
            0.1,
            0.5,
        )


def _even(radius: float) -> Callable[[float], float]:
    return lambda _: radius


def _residue(relief: Relief, inner: float, at: float) -> None:
    chance = relief.chance
    for n in range(chance.whole(4, 8)):
        angle = at + (0 if not n else chance.between(-16, 16))
        spot = polar(inner + (194 - inner) * chance.between(0.25, 0.8), angle)
        long, wide = chance.between(7, 17), chance.between(4, 9)
        patch = blob(chance, spot, long, wide, angle + chance.between(40, 140), 0.45)
        relief.area(patch, 0.95, 0.75, soft=0.8)
        relief.over(patch, chance.pick(("dark", "dark", "brown")), chance.between(0.4, 0.6))
        crust = blob(chance, (spot[0] + 1, spot[1] - 1), long * 0.6, wide * 0.5, angle, 0.5)
        relief.area(crust, 1.0, 0.4, soft=0.5)
        for _ in range(2):
            spine = wandering(chance, spot, chance.between(0, 360), long * 0.7, 40, 2)
            relief.over(sliver(chance, spine, 0.9), "black", 0.5)


_DAMAGES: dict[str, Callable[[Relief, float, float], None]] = {
    "cracked": _cracked,
    "torn": _torn,
    "crushed": _crushed,
    "residue": _residue,
}
