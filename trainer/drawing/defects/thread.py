"""The thread of a stud or screw, seen from the side, and the ways in which it fails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drawing.defects.relief import Relief, Skin, dust
from trainer.drawing.defects.strokes import blob, line, sliver, wandering

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.drawing.defects.strokes import Point


@dataclass(frozen=True)
class _Screw:
    """A thread lying across the picture: half its thickness, pitch, depth, and where it begins and ends."""

    half: float
    pitch: float
    deep: float
    first: float
    last: float
    phase: float

    def crest(self, turn: int) -> float:
        """Return where a crest meets the upper edge; on the lower one it lies half a pitch on."""
        return self.first + self.phase + turn * self.pitch

    @property
    def turns(self) -> int:
        return int((self.last - self.first - self.phase) // self.pitch)


def paint(relief: Relief) -> None:
    """Paint the threaded end of a stud."""
    chance = relief.chance
    damage = relief.found.damage.id if relief.found.damage else ""
    half = chance.between(42, 58)
    pitch = chance.between(14, 22)
    screw = _Screw(half, pitch, pitch * 0.55, chance.between(-120, -70), 178.0, chance.between(2, 8))
    relief.skin = Skin("thread", chance.between(3, 4), chance.between(0.08, 0.16), (0.12, 0.5), 0.5, 12)
    relief.reach = chance.between(38, 48)
    place = chance.between(screw.first + 60, screw.last - 50)
    relief.spot = (place, half * chance.between(-0.5, 0.3))
    gone = (place, chance.between(2.2, 3.6) * pitch) if damage == "stripped" else (0.0, 0.0)
    relief.edge(_outline(relief, screw, gone))
    _form(relief, screw, gone)
    _harmless(relief, screw, place)
    if damage:
        _DAMAGES[damage](relief, screw, place)
    dust(
        relief,
        [(chance.between(screw.first, screw.last), half * chance.between(-0.8, 0.8)) for _ in range(20)],
        7,
    )


def _cut(x: float, gone: tuple[float, float]) -> float:
    """Return how much of a crest is left where a stretch has been sheared off."""
    return 1.0 if not gone[1] or abs(x - gone[0]) > gone[1] else 0.25


def _outline(relief: Relief, screw: _Screw, gone: tuple[float, float]) -> str:
    chance = relief.chance
    top: list[Point] = [
        (-196, -screw.half + 1),
        (screw.first - 4, -screw.half + 1),
        (screw.first, -screw.half + screw.deep),
    ]
    low: list[Point] = [
        (-196, screw.half - 1),
        (screw.first - 4, screw.half - 1),
        (screw.first, screw.half - screw.deep),
    ]
    flat = screw.pitch * 0.06
    for side, shift, points in ((-1, 0.0, top), (1, screw.pitch / 2, low)):
        for turn in range(screw.turns):
            x = screw.crest(turn) + shift
            left = _cut(x, gone)
            tip = (
                screw.half
                - screw.deep * (1 - left)
                - (chance.between(0, screw.deep * 0.2) if left < 1 else 0)
            )
            root = screw.half - screw.deep
            points += [
                (x - screw.pitch / 2 + flat, side * root),
                (x - flat, side * tip),
                (x + flat, side * tip),
                (x + screw.pitch / 2 - flat, side * root),
            ]
    end = screw.last + screw.pitch
    return line(
        [
            *top,
            (end, -screw.half + screw.deep),
            (end + 5, -screw.half + screw.deep + 8),
            (end + 5, screw.half - screw.deep - 8),
            (end, screw.half - screw.deep),
            *reversed(low),
        ],
        closed=True,
    )


def _form(relief: Relief, screw: _Screw, gone: tuple[float, float]) -> None:
    """Shade the round of the stud in level bands and the flanks of its thread in slanting ones."""
    chance = relief.chance
    bands = 9
    bright = chance.between(-0.5, -0.2)
    for n in range(bands):
        y = -1 + (n + 0.5) * 2 / bands
        away = abs(y - bright)
        relief.tone(
            f"M-210 {y * screw.half:.1f}h440", 0.22 - 0.42 * away**1.3, screw.half * 2 / bands + 1, soft=4
        )
    lines = []
    for turn in range(-1, screw.turns):
        x = screw.crest(turn)
        left = _cut(x, gone)
        lines.append((x, left))
    for x, left in lines:
        if x < screw.first - 1:
            continue
        h, s = screw.half, screw.pitch / 2
        for off, tone, share in ((-0.25, 0.22, 0.42), (0.25, -0.3, 0.42)):
            a = x + off * screw.pitch
            relief.tone(
                f"M{a:.1f} {-h:.1f}L{a + s:.1f} {h:.1f}",
                tone * (0.3 + 0.7 * left),
                screw.pitch * share,
                soft=1,
            )
        relief.tone(f"M{x + s * 0:.1f} {-h:.1f}L{x + s:.1f} {h:.1f}", 0.5 * left, screw.pitch * 0.1)
        relief.tone(
            f"M{x + s:.1f} {-h:.1f}L{x + 2 * s:.1f} {h:.1f}", -0.55 * (0.4 + 0.6 * left), screw.pitch * 0.12
        )
    for _ in range(chance.whole(5, 12)):
        y = screw.half * chance.between(-0.9, 0.9)
        relief.tone(
            f"M-200 {y:.1f}h{screw.first + 196:.1f}",
            chance.either() * chance.between(0.04, 0.14),
            chance.between(0.5, 1.4),
        )


def _harmless(relief: Relief, screw: _Screw, place: float) -> None:
    chance = relief.chance
    if "oil" in relief.found.marks:
        for _ in range(chance.whole(2, 5)):
            spot = (place + chance.between(-50, 50), screw.half * chance.between(-0.7, 0.7))
            relief.over(
                blob(chance, spot, chance.between(4, 9), chance.between(2, 4), 75, 0.4),
                "soot",
                chance.between(0.3, 0.55),
                soft=2,
            )
    if "bright" in relief.found.marks:
        turn = chance.whole(1, max(1, screw.turns - 2))
        x = screw.crest(turn)
        low, high = sorted((chance.between(-0.8, 0.8), chance.between(-0.8, 0.8)))
        spots = [(x + (y + 1) / 2 * screw.pitch / 2, y * screw.half) for y in (low, high)]
        relief.over(line(spots), "white", 0.7, width=screw.pitch * 0.16)
    if "paint" in relief.found.marks:
        relief.over(
            f"M{-196 + chance.between(20, 60):.1f} {-screw.half:.1f}l4 {2 * screw.half:.1f}",
            "ash",
            0.6,
            width=chance.between(3, 6),
        )


def _on_crest(screw: _Screw, turn: int, y: float) -> Point:
    return screw.crest(turn) + (y + 1) / 2 * screw.pitch / 2, y * screw.half


def _near(screw: _Screw, place: float, spread: int, chance_turn: int) -> int:
    middle = round((place - screw.first - screw.phase) / screw.pitch)
    return min(screw.turns - 1, max(0, middle - spread + chance_turn))


def _galled(relief: Relief, screw: _Screw, place: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(9, 16)):
        turn = _near(screw, place, 2, chance.whole(0, 3))
        spot = _on_crest(screw, turn, chance.between(-0.75, 0.6))
        long, wide = chance.between(5, 13), screw.pitch * chance.between(0.16, 0.34)
        smear = sliver(chance, wandering(chance, spot, 76 + chance.between(-10, 10), long, 28, 2), wide, 0.6)
        torn = sliver(
            chance,
            wandering(chance, (spot[0] - wide * 0.7, spot[1]), 76 + chance.between(-14, 14), long, 34, 1.8),
            wide * 0.8,
            0.6,
        )
        relief.area(torn, 0.0, 0.75)
        relief.over(torn, "black", 0.35)
        relief.area(smear, 1.0, 0.8)
        relief.over(smear, "white", chance.between(0.15, 0.4))


def _stripped(relief: Relief, screw: _Screw, place: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(8, 14)):
        spot = (place + screw.pitch * chance.between(-2.2, 2.2), screw.half * chance.between(-0.8, 0.7))
        spine = wandering(chance, spot, 76 + chance.between(-8, 8), chance.between(8, 24), 16, 3)
        relief.area(sliver(chance, spine, chance.between(1.2, 2.8), 0.5), chance.pick((0.0, 1.0)), 0.6)
    for _ in range(chance.whole(2, 4)):
        spot = (place + screw.pitch * chance.between(-2.4, 2.4), screw.half * chance.between(-0.6, 0.5))
        curl = wandering(chance, spot, chance.between(0, 360), chance.between(12, 24), 40, 3)
        relief.over(sliver(chance, curl, 2.2), "white", 0.8)
        relief.over(line([(x + 0.8, y + 1.2) for x, y in curl]), "black", 0.4, width=0.7)
    relief.spot = (place, -screw.half * 0.42)


def _corroded(relief: Relief, screw: _Screw, place: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(12, 20)):
        spot = (place + chance.between(-42, 42), screw.half * chance.between(-0.85, 0.8))
        relief.over(
            blob(chance, spot, chance.between(5, 15), chance.between(3, 8), chance.between(40, 110), 0.5),
            "brown",
            chance.between(0.25, 0.5),
            soft=chance.pick((0.0, 1.0, 2.0)),
        )
    for _ in range(chance.whole(16, 28)):
        turn = _near(screw, place, 2, chance.whole(0, 4))
        x, y = _on_crest(screw, turn, chance.between(-0.85, 0.8))
        size = chance.between(1, 3.4)
        pit = blob(chance, (x + chance.between(-3, 3), y), size, size * 0.7, chance.between(0, 180), 0.4)
        relief.area(pit, 0.0, 0.75, soft=0.6)
        relief.over(pit, "black", 0.4)


def _dirty(relief: Relief, screw: _Screw, place: float) -> None:
    chance = relief.chance
    for _ in range(chance.whole(9, 15)):
        turn = _near(screw, place, 2, chance.whole(0, 4))
        x, y = _on_crest(screw, turn, chance.between(-0.8, 0.75))
        spot = (x + screw.pitch * 0.5, y)
        lump = blob(chance, spot, chance.between(5, 14), screw.pitch * chance.between(0.12, 0.26), 77, 0.45)
        relief.area(lump, 0.85, 0.4, soft=1)
        relief.over(lump, chance.pick(("soot", "soot", "dark")), chance.between(0.55, 0.8), soft=1)
        for _ in range(2):
            fine = (spot[0] + chance.between(-4, 4), spot[1] + chance.between(-6, 6))
            relief.over(blob(chance, fine, 1, 0.8, 0, 0.3), "sandy", 0.7)
    relief.over(
        blob(chance, (place + screw.pitch, -screw.half * 0.2), screw.pitch * 0.8, 9, 80, 0.2),
        "white",
        0.12,
        soft=2,
    )


_DAMAGES: dict[str, Callable[[Relief, _Screw, float], None]] = {
    "galled": _galled,
    "stripped": _stripped,
    "corroded": _corroded,
    "dirty": _dirty,
}
