"""The rubber face of a disc with the print of the crown that it shuts on, and the ways in which it fails."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust, places
from trainer.drawing.defects.strokes import blob, circle, line, polar, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable


def paint(relief: Relief) -> None:
    """Paint the sealing face of a soft disc."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    hole, print_ = chance.between(44, 78), chance.between(132, 158)
    relief.skin = Skin("rubber", chance.between(5, 7), chance.between(0.1, 0.22), (0.25, 0.25), 0.3, 10)
    relief.reach = chance.between(32, 42)
    at = chance.between(0, 360)
    relief.edge(circle(196) + circle(hole))
    relief.shade(
        200,
        [(hole, -0.3), (hole + 5, 0.06), (110, 0.0), (185, 0.04), (193, -0.12), (196, -0.35), (200, -0.4)],
    )
    relief.slope(circle(193), 6, 0.42, soft=2)
    relief.slope(circle(hole + 2), 4, -0.4, soft=1)
    wide = chance.between(4.5, 7.5)
    if damage == "deep":
        wide = chance.between(15, 21)
    _print(relief, print_, wide, deep=damage == "deep")
    relief.spot = polar(print_, at)
    _harmless(relief, hole, print_, at)
    if damage:
        _DAMAGES[damage](relief, print_, wide, at)
    dust(relief, places(chance, hole + 5, 190), 12)


def _print(relief: Relief, r: float, wide: float, *, deep: bool) -> None:
    """Shade the ring that the crown leaves: its walls, and its floor polished by the metal."""
    ring = circle(r)
    relief.tone(ring, -0.3 if deep else -0.2, wide)
    relief.tone(ring, 0.16 if deep else 0.14, wide * 0.5, soft=1)
    wall = wide * (0.24 if deep else 0.3)
    strong = 0.62 if deep else 0.42
    relief.slope(circle(r + wide / 2), wall, -strong, soft=1)
    relief.slope(circle(r - wide / 2), wall, strong, soft=1)
    if deep:
        # Rubber that gave way stands up beside the groove.
        relief.slope(circle(r + wide * 0.78), wide * 0.3, 0.34, soft=2)
        relief.slope(circle(r - wide * 0.78), wide * 0.3, -0.34, soft=2)
        relief.tone(circle(r + wide * 0.52), -0.6, 1.2)
        relief.tone(circle(r - wide * 0.52), -0.6, 1.2)


def _harmless(relief: Relief, hole: float, print_: float, at: float) -> None:
    chance = relief.chance
    if "retainer" in relief.found.marks:
        r = chance.between(hole + 8, hole + 22)
        relief.tone(circle(r), chance.either() * 0.12, chance.between(1, 6), soft=1)
    if "smear" in relief.found.marks:
        spot = polar(print_ + chance.either() * chance.between(12, 24), at + chance.between(-7, 7))
        relief.over(
            blob(chance, spot, chance.between(6, 15), chance.between(4, 8), at, 0.4),
            "ash",
            chance.between(0.25, 0.55),
            soft=2,
        )
    if "hair" in relief.found.marks:
        start = polar(chance.between(hole + 14, print_ - 16), at + chance.between(-12, 12))
        relief.stroke(
            line(wandering(chance, start, chance.between(0, 360), chance.between(14, 40), 6, 6)),
            0.8,
            0.1,
            0.35,
        )


def _wire_drawn(relief: Relief, r: float, wide: float, at: float) -> None:
    chance = relief.chance
    count = relief.found.count
    for n in range(count):
        angle = at + (n - (count - 1) / 2) * chance.between(4.5, 8)
        long = wide * chance.between(3.4, 5.4)
        begin = polar(r - long * chance.between(0.45, 0.55), angle)
        spine = wandering(chance, begin, angle + chance.between(-14, 14), long, 12, 3)
        across = chance.between(3, 6.5)
        relief.area(sliver(chance, spine, across * 1.7, 0.2), 0.2, 0.5, soft=1)
        relief.area(sliver(chance, spine, across, 0.2), 0.05, 0.6, soft=0.5)
        relief.over(sliver(chance, spine[1:], across * 0.3, 0.3), "black", 0.4, soft=1)
        relief.over(sliver(chance, spine[len(spine) // 2 :], across * 1.8), "gloss", 0.08, soft=2)


def _grit(relief: Relief, r: float, wide: float, at: float) -> None:
    chance = relief.chance
    for n in range(chance.whole(3, 8)):
        spot = polar(r + wide * chance.between(-0.8, 0.8), at + (0 if not n else chance.between(-11, 11)))
        size = chance.between(1.4, 3.4)
        relief.dome(blob(chance, spot, size * 2.1, size * 1.8, 0, 0.2), 0.7, down=True)
        corners = [
            polar(size * chance.between(0.6, 1.15), n * 72 + chance.between(-18, 18)) for n in range(5)
        ]
        grain = [(spot[0] + x, spot[1] + y) for x, y in corners]
        relief.over(
            line(grain, closed=True), chance.pick(("sandy", "white", "brown")), chance.between(0.75, 1)
        )
        relief.over(line([grain[0], grain[2], grain[3]], closed=True), "black", 0.28)
    for _ in range(chance.whole(2, 5)):
        spot = polar(r + wide * chance.between(-1, 1), at + chance.between(-14, 14))
        relief.dome(blob(chance, spot, chance.between(1.2, 3), chance.between(1, 2), 0, 0.3), 0.6, down=True)


def _deep(relief: Relief, r: float, wide: float, at: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(4, 9)):
        angle = at + chance.between(-170, 170)
        spot = polar(r + chance.either() * wide * 0.5, angle)
        relief.area(
            sliver(
                chance,
                wandering(chance, spot, angle + 90 + chance.between(-12, 12), chance.between(5, 14), 20, 2.4),
                1.4,
            ),
            0.1,
            0.6,
        )


def _nick(relief: Relief, r: float, wide: float, at: float) -> None:
    chance = relief.chance
    degrees = at + chance.between(-50, 50)
    size = chance.between(13, 26)
    middle = polar(r + wide * chance.between(-0.5, 0.5), at)
    begin = (middle[0] - polar(size / 2, degrees)[0], middle[1] - polar(size / 2, degrees)[1])
    spine = wandering(chance, begin, degrees, size, 16, size / 7)
    side = polar(chance.either() * 2.6, degrees + 90)
    relief.area(
        sliver(chance, [(x + side[0], y + side[1]) for x, y in spine], chance.between(3.5, 5.5)),
        0.95,
        0.4,
        soft=1,
    )
    relief.area(sliver(chance, spine, chance.between(2.6, 4.2)), 0.05, 0.8)
    relief.over(sliver(chance, spine[1:], 1.1), "black", 0.8)


_DAMAGES: dict[str, Callable[[Relief, float, float, float], None]] = {
    "wire_drawn": _wire_drawn,
    "grit": _grit,
    "deep": _deep,
    "nick": _nick,
}
