"""An O-ring: its cord, and the ways in which it fails."""

from __future__ import annotations

from math import sin
from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust, places
from trainer.drawing.defects.strokes import arc, around, blob, circle, eased, line, polar, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable


def paint(relief: Relief) -> None:
    """Paint an O-ring seen from above."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    cord = chance.between(13, 22)
    middle = 196 - cord * 1.5
    relief.skin = Skin(
        "rubber",
        cord * 0.6,
        chance.between(0.1, 0.24),
        (0.3, 0.3),
        chance.between(0.15, 0.4),
        chance.between(8, 16),
    )
    relief.reach = cord * chance.between(1.9, 2.3)
    at = chance.between(0, 360)
    relief.spot = polar(middle, at)
    flat = chance.between(0.5, 0.62) if damage == "set" else 1.0
    wide = cord * (1.16 if damage == "set" else 1.0)
    _cord(relief, middle, wide, flat)
    relief.edge(
        line(around(lambda _: middle + wide, 0, 360, 3), closed=True)
        + line(around(lambda _: middle - wide, 0, 360, 3), closed=True)
    )
    _harmless(relief, middle, wide, at)
    if damage:
        _DAMAGES[damage](relief, middle, wide, at)
    dust(relief, places(chance, middle - wide, middle + wide))


def _cord(relief: Relief, middle: float, wide: float, flat: float) -> None:
    """Shade the cord; a flat cuts its height off and leaves an edge on both sides."""
    chance = relief.chance
    tones = []
    for n in range(-12, 13):
        t = n / 12
        up = eased(1 - t * t, 0.5)
        # How steep it stands: 1 on top, 0 at the sides; on a flat it is level.
        tones.append((middle + t * wide, 0.07 if up > flat else -0.62 * eased(1 - up, 0.8)))
    relief.shade(middle + wide * 1.5, [*tones, (middle + wide * 1.02, -0.25), (middle + wide * 1.5, -0.3)])
    lean = 0.86 if flat < 1 else 0.56
    for side in (1, -1):
        ring = circle(middle + side * wide * lean)
        relief.slope(
            ring,
            wide * (0.22 if flat < 1 else 0.72),
            side * chance.between(0.26, 0.4),
            soft=1.0 if flat < 1 else 4.0,
        )
        if flat == 1:
            relief.slope(
                circle(middle + side * wide * 0.4), wide * 0.16, side * chance.between(0.15, 0.4), soft=2.0
            )


def _harmless(relief: Relief, middle: float, wide: float, at: float) -> None:
    """Paint what every used ring may show, most of it where the loupe is held."""
    chance = relief.chance
    if "seam" in relief.found.marks:
        r = middle + wide * chance.between(-0.85, 0.85)
        relief.stroke(
            circle(r),
            chance.between(0.5, 1.0),
            0.9,
            chance.between(0.07, 0.16),
            dash=f"{chance.whole(60, 200)} {chance.whole(4, 60)}",
        )
    if "film" in relief.found.marks:
        r, half = middle + wide * chance.between(-0.3, 0.3), chance.between(20, 90)
        relief.over(
            arc(r, at - half, at + half * chance.between(0.3, 1)),
            "gloss",
            chance.between(0.14, 0.34),
            width=wide * chance.between(0.25, 0.5),
            soft=2,
        )
    if "smear" in relief.found.marks:
        x, y = polar(middle + wide * chance.between(-0.4, 0.4), at + chance.between(-5, 5))
        relief.over(
            blob(chance, (x, y), chance.between(5, 10), chance.between(3, 6), at, 0.45),
            "ash",
            chance.between(0.3, 0.6),
            soft=1,
        )


def _nick(relief: Relief, middle: float, wide: float, at: float) -> None:
    chance = relief.chance
    for n in range(chance.pick((1, 1, 1, 2))):
        r = middle + wide * chance.between(-0.55, 0.75)
        degrees = at + 90 * chance.pick((0, 0, 1)) + chance.between(-38, 38)
        size = wide * chance.between(0.55, 1.15)
        spot = polar(r, at + n * chance.between(4, 9))
        begin = (spot[0] - polar(size / 2, degrees)[0], spot[1] - polar(size / 2, degrees)[1])
        spine = wandering(chance, begin, degrees, size, 26, size / 6)
        side = chance.either() * wide * 0.11
        off = polar(side, degrees + 90)
        raised = [(x + off[0], y + off[1]) for x, y in spine]
        # The lip that the edge has thrown up, then the cut itself, deeper towards one end.
        relief.area(
            sliver(chance, raised, wide * chance.between(0.2, 0.34)), 0.95, chance.between(0.3, 0.5), soft=1
        )
        relief.area(sliver(chance, spine, wide * chance.between(0.16, 0.3)), 0.05, 0.8)
        relief.area(sliver(chance, spine[: len(spine) // 2 + 2], wide * 0.1), 0.0, 0.9)
        relief.over(sliver(chance, spine[1:], wide * chance.between(0.05, 0.09)), "black", 0.8)


def _extruded(relief: Relief, middle: float, wide: float, at: float) -> None:
    chance = relief.chance
    side = relief.found.side * 2 - 1
    half = chance.between(22, 70)
    waves = [(chance.between(0.12, 1.4), chance.between(0, 6), chance.between(0.3, 1)) for _ in range(5)]
    bites = [
        (at + chance.between(-half, half) * 0.8, chance.between(0.8, 2.4), chance.between(0.25, 0.6))
        for _ in range(chance.whole(3, 7))
    ]
    bites.append((at + chance.between(-2, 2), chance.between(1.2, 2.4), chance.between(0.3, 0.55)))

    def ragged(angle: float) -> float:
        near = eased(1 - ((angle - at) / half) ** 2, 0.5)
        lip = 0.34 * near * (0.45 + 0.55 * abs(sum(w * sin(f * angle * 2 + p) for f, p, w in waves)) / 2)
        bitten = max((d * eased(1 - ((angle - b) / w) ** 2, 0.7) for b, w, d in bites), default=0.0)
        return middle + side * wide * (1 + min(lip, 0.4) - (lip + bitten if bitten > 0.02 else 0.0))

    worn = around(ragged, at - half, at + half, 0.45)
    rest = around(lambda _: middle + side * wide, at + half, at + 360 - half, 3)
    relief.edge(line([*worn, *rest], closed=True) + circle(middle - side * wide))
    # Where the lip leaves the cord there is a furrow, and the rubber beside it is chewed.
    relief.stroke(
        line(
            around(
                lambda a: middle + side * wide * (0.93 + 0.03 * sin(a * 1.7)),
                at - half * 0.9,
                at + half * 0.9,
                1.5,
            )
        ),
        wide * 0.08,
        0.0,
        0.55,
    )
    for _ in range(chance.whole(12, 22)):
        angle = at + chance.between(-half, half) * 0.8
        spot = polar(middle + side * wide * chance.between(0.45, 0.95), angle)
        relief.dome(
            blob(
                chance,
                spot,
                wide * chance.between(0.06, 0.2),
                wide * chance.between(0.04, 0.1),
                angle + chance.between(40, 140),
                0.4,
            ),
            chance.between(0.2, 0.55),
            down=chance.yes(0.6),
        )


def _set(relief: Relief, middle: float, wide: float, at: float) -> None:
    chance = relief.chance
    for t in (-0.8, 0.8):
        relief.stroke(circle(middle + wide * t * chance.between(0.98, 1.02)), wide * 0.06, 0.9, 0.3)
    for _ in range(chance.whole(4, 9)):
        start = chance.between(0, 360)
        relief.stroke(
            arc(middle + wide * chance.between(-0.6, 0.6), start, start + chance.between(20, 120)),
            0.6,
            chance.pick((0.0, 1.0)),
            0.18,
        )
    relief.spot = polar(middle, at)


def _blister(relief: Relief, middle: float, wide: float, at: float) -> None:
    chance = relief.chance
    count = relief.found.count
    largest = wide * chance.between(0.5, 0.72)
    for n in range(count):
        size = largest if not n else wide * chance.between(0.14, 0.4)
        spread = 0.0 if not n else chance.between(-1, 1) * (6 + 160 * wide / middle / 4)
        spot = polar(middle + wide * chance.between(-0.45, 0.45), at + spread)
        lean = chance.between(0, 180)
        relief.dome(
            blob(chance, spot, size * chance.between(0.9, 1.35), size * chance.between(0.75, 1), lean, 0.16),
            chance.between(0.65, 0.95) if size > wide * 0.25 else chance.between(0.35, 0.6),
        )
        # Stretched rubber goes dull and wrinkles at the foot of the swelling.
        relief.over(blob(chance, spot, size * 0.8, size * 0.66, lean, 0.2), "grey", 0.14, soft=1)
        for _ in range(chance.whole(1, 3)):
            foot = polar(size * 0.7, chance.between(0, 360))
            crease = wandering(
                chance, (spot[0] + foot[0], spot[1] + foot[1]), chance.between(0, 360), size * 0.5, 50, 1.5
            )
            relief.stroke(line(crease), 0.5, 0.0, 0.16, soft=0.5)
        if size > wide * 0.36 and (not n or chance.yes(0.5)):
            spine = wandering(
                chance,
                (spot[0] - size * 0.5, spot[1] - size * 0.2),
                chance.between(-30, 60),
                size * 0.95,
                34,
                size / 6,
            )
            relief.area(sliver(chance, spine, size * 0.2), 0.05, 0.75)
            relief.over(sliver(chance, spine, size * 0.09), "black", 0.75)


def _worn(relief: Relief, middle: float, wide: float, at: float) -> None:
    chance = relief.chance
    side = relief.found.side * 2 - 1
    half = chance.between(30, 95)
    lean = chance.between(0.34, 0.5)
    for n in range(5):
        reach = half * (1 - 0.08 * n)
        relief.tone(
            arc(middle + side * wide * lean, at - reach, at + reach),
            0.07,
            wide * chance.between(0.62, 0.8),
            soft=1,
        )
    for edge in (-0.36, 0.36):
        relief.stroke(
            arc(middle + side * wide * (lean + edge), at - half * 0.86, at + half * 0.9),
            wide * 0.06,
            0.9,
            0.35,
            soft=0.5,
        )
    for _ in range(chance.whole(14, 26)):
        start = at + chance.between(-half, half * 0.6)
        r = middle + side * wide * (lean + chance.between(-0.34, 0.34))
        relief.stroke(
            arc(r, start, start + chance.between(4, 28)),
            chance.between(0.3, 0.8),
            chance.pick((0.15, 0.9)),
            chance.between(0.12, 0.3),
        )
    relief.over(
        arc(middle + side * wide * lean, at - half * 0.9, at + half * 0.9),
        "grey",
        0.16,
        width=wide * 0.6,
        soft=2,
    )


_DAMAGES: dict[str, Callable[[Relief, float, float, float], None]] = {
    "nick": _nick,
    "extruded": _extruded,
    "set": _set,
    "blister": _blister,
    "worn": _worn,
}
