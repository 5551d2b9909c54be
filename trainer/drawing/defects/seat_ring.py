"""A metal seat: turned faces, the crown that the disc shuts on, and the ways in which it fails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust, places
from trainer.drawing.defects.strokes import arc, blob, circle, line, polar, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable


def paint(relief: Relief) -> None:
    """Paint a metal seat seen from the side of its crown."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    bore = chance.between(76, 118)
    crown = bore + chance.between(15, 24)
    foot = crown + chance.between(18, 28)
    relief.skin = Skin("metal", chance.between(3.2, 4.2), chance.between(0.06, 0.12), (0.5, 0.5), 0.5, 14)
    relief.reach = chance.between(28, 36)
    at = chance.between(0, 360)
    relief.edge(circle(196) + circle(bore))
    _turned(relief, bore, crown, foot)
    wide = chance.between(9, 13) if damage == "worn" else chance.between(2.2, 3.6)
    relief.tone(circle(crown), 0.85 if damage != "worn" else 0.24, wide)
    relief.tone(circle(crown + wide * 0.7), -0.28, 0.8)
    relief.tone(circle(crown - wide * 0.7), -0.28, 0.8)
    relief.spot = polar(crown + chance.between(5, 10), at)
    _harmless(relief, crown, foot, at)
    if damage:
        _DAMAGES[damage](relief, crown, wide, at)
    dust(relief, places(chance, bore + 3, 190), 7)


def _turned(relief: Relief, bore: float, crown: float, foot: float) -> None:
    """Shade what a lathe has left: two cones that lean against each other, a flat, and the lines of the tool."""
    chance = relief.chance
    relief.shade(
        200,
        [
            (bore, -0.45),
            (bore + 4, -0.12),
            (crown, 0.1),
            (foot, -0.12),
            (foot + 3, 0.1),
            (188, 0.04),
            (194, -0.2),
            (200, -0.5),
        ],
    )
    relief.slope(circle((bore + crown) / 2), crown - bore, -chance.between(0.3, 0.5), soft=1)
    relief.slope(circle((crown + foot) / 2), foot - crown, chance.between(0.3, 0.5), soft=1)
    relief.slope(circle(194.5), 4, 0.6)
    # A turned face shines in wedges, where its lines lie across the light; how many, how wide and where is chance.
    lit = relief.azimuth + chance.between(-16, 16)
    for turn in (0.0, 180.0):
        for _ in range(chance.whole(2, 4)):
            middle = lit + turn + chance.between(-16, 16)
            half = chance.between(6, 22)
            inner, outer = polar(foot + 2, middle - half), polar(260, middle - half)
            wedge = line(
                [inner, outer, polar(260, middle + half), polar(foot + 2, middle + half)], closed=True
            )
            relief.tone(wedge, chance.between(0.16, 0.34), soft=8)
        across = lit + turn + 90 + chance.between(-12, 12)
        dark = line([polar(foot, across), polar(250, across - 24), polar(250, across + 24)], closed=True)
        relief.tone(dark, -chance.between(0.1, 0.2), soft=8)
    r = bore + 2
    feed = chance.between(1.5, 3.6)
    while r < 194:
        if abs(r - crown) > 4:
            gap = f"{chance.whole(80, 400)} {chance.whole(1, 40)}" if chance.yes(0.6) else None
            relief.tone(
                circle(r), chance.either() * chance.between(0.03, 0.16), chance.between(0.4, 1.1), dash=gap
            )
        r += feed * chance.between(0.6, 1.5)


def _harmless(relief: Relief, crown: float, foot: float, at: float) -> None:
    chance = relief.chance
    if "water" in relief.found.marks:
        spot = polar(foot + chance.between(2, 14), at + chance.between(-9, 9))
        stain = blob(chance, spot, chance.between(8, 20), chance.between(6, 13), chance.between(0, 180), 0.35)
        relief.over(stain, "umber", chance.between(0.1, 0.2), soft=1)
        relief.over(stain, "umber", chance.between(0.25, 0.45), width=0.8, soft=1)
    if "scratch" in relief.found.marks:
        start = polar(foot + chance.between(2, 10), at + chance.between(-9, 9))
        scratch = line(wandering(chance, start, chance.between(0, 360), chance.between(12, 30), 5, 5))
        relief.stroke(scratch, 0.7, 0.1, 0.3)
    if "grease" in relief.found.marks:
        spot = polar(crown + chance.between(6, 14), at + chance.between(-12, 12))
        relief.over(
            blob(chance, spot, chance.between(4, 9), chance.between(2, 5), at + 90, 0.4),
            "soot",
            chance.between(0.3, 0.6),
            soft=2,
        )


def _wire_drawn(relief: Relief, crown: float, wide: float, at: float) -> None:
    chance = relief.chance
    count = relief.found.count
    gap = chance.between(2.6, 4.6)
    for n in range(count):
        angle = at + (n - (count - 1) / 2) * gap * chance.between(0.8, 1.2)
        long = chance.between(15, 30)
        begin = polar(crown - long * chance.between(0.35, 0.5), angle)
        spine = wandering(chance, begin, angle + chance.between(-9, 9), long, 9, 3)
        across = wide * chance.between(0.7, 1.3)
        relief.area(sliver(chance, spine, across * 1.5, 0.15), 0.2, 0.45, soft=0.8)
        relief.area(sliver(chance, spine, across * 0.8, 0.15), 0.1, 0.45)
        relief.over(sliver(chance, spine, across * 0.4, 0.2), "black", 0.3)
        beside = polar(across * 0.6, angle + 90)
        relief.over(line([(x + beside[0], y + beside[1]) for x, y in spine[1:-1]]), "white", 0.4, width=0.5)


def _nick(relief: Relief, crown: float, wide: float, at: float) -> None:
    chance = relief.chance
    spot = polar(crown + wide * chance.between(-0.4, 0.5), at)
    size = chance.between(4.5, 8)
    lean = at + chance.between(-40, 40)
    dent = blob(chance, spot, size, size * chance.between(0.45, 0.75), lean, 0.4)
    relief.dome(blob(chance, spot, size * 1.9, size * 1.4, lean, 0.25), 0.4, soft=1)
    relief.area(dent, 0.05, 0.9, soft=0.8)
    relief.over(dent, "black", 0.45)
    floor = blob(chance, (spot[0] + 1, spot[1] + 1), size * 0.5, size * 0.3, lean, 0.3)
    relief.over(floor, "white", 0.35)
    # The metal that was there stands up on the far side as a burr.
    away = polar(size * 0.85, lean + chance.pick((60, -60, 100)))
    relief.over(
        sliver(
            chance, wandering(chance, (spot[0] + away[0], spot[1] + away[1]), lean + 90, size, 34, 1.6), 1.6
        ),
        "white",
        0.9,
    )


def _worn(relief: Relief, crown: float, wide: float, at: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(18, 30)):
        start = chance.between(0, 360)
        r = crown + wide * chance.between(-0.48, 0.48)
        relief.tone(
            arc(r, start, start + chance.between(12, 90)),
            chance.pick((-0.35, -0.2, 0.4)),
            chance.between(0.4, 1),
        )
    for side in (1, -1):
        relief.stroke(circle(crown + side * wide * 0.5), 0.8, 0.85, 0.16)
    for _ in range(chance.whole(3, 7)):
        spot = polar(crown + wide * chance.between(-0.3, 0.3), at + chance.between(-12, 12))
        relief.dome(
            blob(chance, spot, chance.between(1, 2.4), chance.between(0.8, 1.6), at + 90, 0.4), 0.6, down=True
        )


def _pitted(relief: Relief, crown: float, wide: float, at: float) -> None:
    chance = relief.chance
    half = chance.between(8, 20)
    for n in range(chance.whole(11, 22)):
        angle = at + half * chance.between(-1, 1) * chance.between(0.3, 1)
        spot = polar(crown + (wide * chance.between(-0.5, 0.5) if n < 4 else chance.between(-13, 17)), angle)
        size = chance.between(0.8, 2.4)
        pit = blob(chance, spot, size, size * chance.between(0.6, 1), angle, 0.4)
        relief.area(pit, 0.05, 0.8, soft=0.6)
        relief.over(pit, "black", 0.4)
    for _ in range(chance.whole(2, 4)):
        spot = polar(crown + chance.between(-8, 14), at + chance.between(-half, half))
        relief.over(
            blob(chance, spot, chance.between(5, 12), chance.between(4, 8), 0, 0.4),
            "brown",
            chance.between(0.25, 0.45),
            soft=2,
        )


_DAMAGES: dict[str, Callable[[Relief, float, float, float], None]] = {
    "wire_drawn": _wire_drawn,
    "nick": _nick,
    "worn": _worn,
    "pitted": _pitted,
}
