"""The lift: a part on its slings below the hook, or in the hands; angles with what they are read from.

An angle of 60° from the horizontal is 30° from the vertical, and the load differs by a factor of 1.7: the line that an
angle is read from is drawn, and named. What is asked for stands as a question mark.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin, tan
from typing import TYPE_CHECKING

from trainer.drawing.painter import paint_piece
from trainer.drawing.pieces import piece_of
from trainer.drawing.scene import Placed, shapes_at
from trainer.drawing.sheet import DETAIL, PHONE, SMALL, WIDE, Sheet
from trainer.drawing.svg import Picture, number, pair, path, tag, words
from trainer.drawing.view import size_of
from trainer.errors import TrainerError
from trainer.procedure.wording import in_sentence
from trainer.trade import slings
from trainer.trade.slings import Reference

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.curves import Point
    from trainer.drawing.piece import Piece
    from trainer.procedure.model import Module, Part
    from trainer.trade.units import Quantity

TITLE = "A lift: load, hook and sling legs, or reach and height of the hands"
_LARGEST = 640.0
# A person of 175 cm as the sketch has one: hips and shoulders over the floor, in mm. A choice of ours.
_HIPS, _SHOULDERS = 900.0, 1440.0
_PERSON = 1850.0
# What a part without a shape is drawn as, in mm.
_BLOCK = (-150.0, 0.0, 150.0, 140.0)


class NotLifted(TrainerError):
    """A module does not say how any part is lifted, or not the one that is asked for."""

    def __init__(self, name: str, module: Module) -> None:
        what = f"'{name}' of {module.id or module.file}" if name else f"Nothing in {module.id or module.file}"
        super().__init__(f"{what} is said to be lifted: give a part its `mass` and `handled`.")


@dataclass(frozen=True)
class _Slung:
    """A part on its legs: how many, their angle, and what that is read from."""

    legs: int
    angle: float
    reference: Reference

    @property
    def from_horizontal(self) -> float:
        return self.angle if self.reference is Reference.HORIZONTAL else 90 - self.angle


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    part: str = "",
    angle: float | None = None,
    reference: str = Reference.HORIZONTAL.value,
    legs: int | None = None,
    load: bool = False,
    figures: bool = True,
    prefix: str = "lifting",
) -> str:
    """Return the sketch of a lift: on slings with an angle, by hand without one.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px; 360 and 1200 are what it is looked at.
        part: what is lifted; the first part that is unless given.
        angle: angle of the sling legs in degrees; without one the part is lifted by hand.
        reference: what the angle is read from, `horizontal` or `vertical`.
        legs: how many legs carry; as the module has it unless given.
        load: with what each leg carries, worked out.
        figures: with mass, angle, reach and height; without them they are left open.
        prefix: in front of every id.

    Raises:
        NotLifted: no part is, or not that one.
        SlingTooFlat: the legs lie too flat to be used.
    """
    chosen = size_of(module, size)
    lifted = _part(module, chosen, part)
    mass = lifted.mass.at(chosen) if lifted.mass else None
    shapes = shapes_at(module, chosen).shapes if module.geometry else {}
    piece = piece_of(shapes[lifted.id]) if lifted.id in shapes else None
    weight = WIDE if width >= 900 else DETAIL if width >= 500 else PHONE
    side = min(width, _LARGEST)
    if angle is None:
        content, height, told = _by_hand(
            lifted, chosen, piece, mass, (width - side) / 2, side, figures=figures
        )
    else:
        slung = _Slung(
            legs or (lifted.handled.legs if lifted.handled else 0) or 2, angle, Reference(reference)
        )
        content, height, told = _on_slings(
            slung, lifted, piece, mass, (width - side) / 2, side, figures=figures, load=load
        )
    return Picture(
        prefix, width, height, f"Lifting the {in_sentence(lifted.name)}, {chosen}", told, content, weight.name
    ).text()


def _part(module: Module, size: str, name: str) -> Part:
    for part in module.parts.values():
        if (
            name in ("", part.id)
            and part.handled is not None
            and part.mass
            and part.mass.at(size) is not None
        ):
            return part
    raise NotLifted(name, module)


def _on_slings(
    slung: _Slung,
    part: Part,
    piece: Piece | None,
    mass: Quantity | None,
    left: float,
    side: float,
    *,
    figures: bool,
    load: bool,
) -> tuple[str, float, str]:
    carried = slings.leg_load(mass, slung.legs, slung.angle, slung.reference) if mass else None
    middle, top = left + side / 2, 92.0
    rise = radians(slung.from_horizontal)
    scale, half = _scale(piece, min(0.3 * side, 0.4 * side / tan(rise)), side)
    half = half if slung.legs > 1 else 0.0
    bottom = top + (half * tan(rise) if half else 0.3 * side)
    feet = _feet(slung.legs, middle, half, bottom)
    body, tall = _load(piece, (middle, bottom), feet, scale)
    rope = "".join(f"M{pair(middle, top)}L{pair(*foot)}" for foot in feet)
    lines = [
        _hook(middle, top),
        body,
        path(rope, "rope"),
        *(tag("circle", class_="lug", cx=x, cy=y, r=4) for x, y in feet),
        _angle(slung, (middle, top), feet[-1], left + side, figures=figures) if half else "",
    ]
    name = part.name
    below = bottom + tall + 22
    mass_words = mass.printed() if mass and figures else "?"
    lines.append(words(middle, below, f"{name}, {mass_words}", "head", text_anchor="middle"))
    each = carried.printed(3) if carried and load else "?"
    said = f"{slung.legs} legs, each carries {each}" if slung.legs > 1 else f"1 leg carries {each}"
    lines.append(words(middle, below + 22, said, "accent" if load else None, text_anchor="middle"))
    told = f"The {in_sentence(name)} hangs below a hook on {slung.legs} sling legs"
    told += (
        f" at {slung.angle:g}° from the {slung.reference}"
        if figures
        else f"; the angle is read from the {slung.reference}"
    )
    told += f". Mass {mass_words}." if figures else "."
    told += f" Each leg carries {each}." if load else ""
    return "".join(lines), below + 42, told


def _scale(piece: Piece | None, half: float, side: float) -> tuple[float, float]:
    """Return px a mm of the part, and how far from the hook the legs end: on the part, on both sides of its axis.

    Args:
        piece: the part; a block of 300 mm without one.
        half: how far out the legs may end, in px.
        side: width of the picture in px.
    """
    x0, z0, x1, z1 = piece.box if piece else _BLOCK
    nearer = min(-x0, x1)
    scale = min(
        0.78 * side / (x1 - x0), 0.5 * side / (z1 - z0), max(half / (0.85 * nearer), 0.3 * side / (x1 - x0))
    )
    return scale, min(half, 0.85 * nearer * scale)


def _feet(legs: int, middle: float, half: float, bottom: float) -> list[Point]:
    """Return where the legs end: the outer two last, further ones nearer the middle as they lie behind."""
    if legs < 2:
        return [(middle, bottom)]
    inner = {3: (0.0,), 4: (-0.45, 0.45)}.get(legs, ())
    return [(middle + side * half, bottom) for side in (*inner, -1.0, 1.0)]


def _hook(x: float, y: float) -> str:
    """Return the hook with the ring of the sling in it; the ring's lower edge lies at `y`."""
    block = f"M{pair(x - 13, 4)}h26v18l-8 8h-10l-8-8Z"
    hook = f"M{pair(x, 30)}v16c0 6 15 7 15 21a15 15 0 0 1-30 2"
    return "".join(
        (
            path(f"M{pair(x, 0)}V4", "rope"),
            tag("g", path(block, "face"), class_="cast"),
            path(hook, "hook-edge"),
            path(hook, "hook"),
            tag("ellipse", class_="ring-link", cx=x, cy=y - 9, rx=6, ry=10),
        )
    )


def _load(piece: Piece | None, top: Point, feet: Sequence[Point], scale: float) -> tuple[str, float]:
    """Return the part in section below the ends of the legs, and how far it reaches down; a block without a shape."""
    x, y = top
    x0, z0, x1, z1 = piece.box if piece else _BLOCK
    # Its axis lies below the hook: there its weight is taken to act.
    sheet = Sheet(x0, z0, x1, z1, scale, x + x0 * scale, y + 14)
    outer = feet[-2:]
    lugs = "".join(
        f"M{pair(*foot)}V{number(_skyline(piece, (foot[0] - x) / scale, sheet) if foot in outer else sheet.top)}"
        for foot in feet
    )
    if piece is None:
        drawn = tag(
            "g",
            tag("rect", class_="face", x=sheet.left, y=sheet.top, width=sheet.width, height=sheet.height),
            class_="cast",
        )
    else:
        drawn = paint_piece(Placed(piece), sheet, PHONE, None, axes=False)
    return path(lugs, "rope") + drawn, sheet.height + 14


def _skyline(piece: Piece | None, x: float, sheet: Sheet) -> float:
    """Return how high the part reaches beside the axis, in px from the top of the picture."""
    heights = []
    for loop in piece.face_loops if piece else ():
        for n, (bx, bz) in enumerate(loop):
            ax, az = loop[n - 1]
            if min(ax, bx) <= x <= max(ax, bx) and ax != bx:
                heights.append(az + (bz - az) * (x - ax) / (bx - ax))
    return sheet.at(0.0, max(heights, default=sheet.z1))[1]


def _angle(slung: _Slung, top: Point, end: Point, right: float, *, figures: bool) -> str:
    """Return the line that the angle is read from, the arc, and the words."""
    said = f"{slung.angle:g}°" if figures else "?"
    reach = 46.0
    if slung.reference is Reference.HORIZONTAL:
        x, y = end
        a = radians(slung.from_horizontal)
        tip = (x - reach * cos(a), y - reach * sin(a))
        arc = f"M{pair(x - reach, y)}A{reach:g} {reach:g} 0 0 1 {pair(*tip)}"
        base = f"M{pair(x + 18, y)}H{number(top[0] + 8)}"
        at, anchor = (min(x + 14, right - 106), y - 48), "start"
    else:
        x, y = top
        a = radians(90 - slung.from_horizontal)
        tip = (x + reach * sin(a), y + reach * cos(a))
        arc = f"M{pair(x, y + reach)}A{reach:g} {reach:g} 0 0 0 {pair(*tip)}"
        base = f"M{pair(x, y + 6)}V{number(end[1] + 6)}"
        at, anchor = (x + 34, y - 6), "start"
    return "".join(
        (
            path(base, "hole-line"),
            path(arc, "measure"),
            words(*at, said, "letter accent", text_anchor=anchor),
            words(at[0], at[1] + 16, f"from the {slung.reference}", "halo-text", text_anchor=anchor),
        )
    )


def _by_hand(
    part: Part,
    size: str,
    piece: Piece | None,
    mass: Quantity | None,
    left: float,
    side: float,
    *,
    figures: bool,
) -> tuple[str, float, str]:
    handled = part.handled
    reach = handled.reach.at(size) if handled and handled.reach else None
    height = handled.height.at(size) if handled and handled.height else None
    out = float(reach.to("mm").value) if reach else 400.0
    over = float(height.to("mm").value) if height else 900.0
    scale = (0.72 * side if side < 480 else 0.62 * side) / _PERSON
    floor = _PERSON * scale + 14
    ankle = left + 0.3 * side
    hands = (ankle + out * scale, floor - over * scale)
    content = [
        path(f"M{pair(left + 0.06 * side, floor)}H{number(left + 0.94 * side)}", "frame"),
        _person(ankle, floor, scale, hands),
        _held(piece, hands, scale),
        _dimension((ankle, floor + 12), (hands[0], floor + 12)),
        path(
            f"M{pair(ankle, floor - 6)}V{number(floor + 18)}M{pair(hands[0], hands[1] + 6)}V{number(floor + 18)}",
            "measure-line",
        ),
        words(
            (ankle + hands[0]) / 2,
            floor + 30,
            f"out {reach.printed() if reach and figures else '?'}",
            None,
            text_anchor="middle",
        ),
    ]
    beside = max(hands[0] + 0.24 * side, left + 0.7 * side)
    content += [
        _dimension((beside, floor), (beside, hands[1])),
        path(f"M{pair(hands[0] + 8, hands[1])}H{number(beside + 6)}", "measure-line"),
        words(
            beside + 8, (floor + hands[1]) / 2, f"up {height.printed() if height and figures else '?'}", None
        ),
    ]
    twist = handled.twist if handled else None
    mass_words = mass.printed() if mass and figures else "?"
    content.append(words(left + 0.06 * side, floor + 58, f"{part.name}, {mass_words}", "head"))
    if twist:
        content.append(_twist(twist, (left + 0.72 * side, 40.0), figures=figures))
    told = f"A person lifts the {in_sentence(part.name)} in front of the body."
    if figures:
        told += f" Mass {mass_words}"
        told += f", hands {reach.printed()} out" if reach else ""
        told += f" and {height.printed()} over the floor" if height else ""
        told += f", body twisted {twist.printed()}." if twist else "."
    return "".join(content), floor + 78, told


def _person(x: float, floor: float, scale: float, hands: Point) -> str:
    """Return a person from the side, in lines, with the hands where the load is."""

    def up(z: float) -> float:
        return floor - z * scale

    # Hands out of reach bend the body; it never shows how, only that it reaches.
    lean = min(220.0, max(0.0, (hands[0] - x) / scale - 420) * 0.9) * scale
    shoulder = (x + lean, up(_SHOULDERS - (lean / scale) * 0.4))
    elbow = (
        (shoulder[0] + hands[0]) / 2,
        max(shoulder[1] + 40 * scale, (shoulder[1] + hands[1]) / 2 + 110 * scale),
    )
    body = (
        f"M{pair(x + 150 * scale, up(20))}L{pair(x - 40 * scale, up(20))}L{pair(x + 40 * scale, up(480))}"
        f"L{pair(x - 50 * scale, up(_HIPS))}L{pair(*shoulder)}L{pair(*elbow)}L{pair(*hands)}"
    )
    head = tag(
        "circle", class_="figure", cx=shoulder[0] + 30 * scale, cy=shoulder[1] - 135 * scale, r=115 * scale
    )
    return path(body, "figure") + head


def _held(piece: Piece | None, hands: Point, scale: float) -> str:
    """Return what is in the hands, as large against the person as it is."""
    if piece is None:
        wide = 260 * scale
        box = tag(
            "rect", class_="face", x=hands[0] - wide / 2, y=hands[1] - wide / 2, width=wide, height=wide
        )
        return tag("g", box, class_="next")
    x0, z0, x1, z1 = piece.box
    sheet = Sheet(x0, z0, x1, z1, scale, hands[0] - (x1 - x0) * scale / 2, hands[1] - (z1 - z0) * scale / 2)
    return tag("g", paint_piece(Placed(piece, mark="next"), sheet, SMALL, None, axes=False), class_="lighter")


def _twist(twist: Quantity, middle: Point, *, figures: bool) -> str:
    """Return the feet from above, and the line of the shoulders turned against them."""
    x, y = middle
    angle = radians(float(twist.to("°").value))
    ahead, turned = (x, y - 30), (x + 30 * sin(angle), y - 30 * cos(angle))
    shoulders = (
        f"M{pair(x - 22 * cos(angle), y - 22 * sin(angle))}L{pair(x + 22 * cos(angle), y + 22 * sin(angle))}"
    )
    feet = "".join(f"M{pair(x + s * 9 - 4, y + 8)}v-18a4 5 0 0 1 8 0v18Z" for s in (-1, 1))
    return "".join(
        (
            path(feet, "edge"),
            path(f"M{pair(x, y)}L{pair(*ahead)}", "measure-line"),
            path(shoulders, "figure"),
            path(f"M{pair(x, y)}L{pair(*turned)}", "hole-line"),
            path(f"M{pair(*ahead)}A30 30 0 0 1 {pair(*turned)}", "measure"),
            words(x + 34, y + 2, f"twist {twist.printed() if figures else '?'}", None),
        )
    )


def _dimension(start: Point, end: Point) -> str:
    """Return a dimension line with an arrow at both ends."""
    heads = []
    level = abs(start[1] - end[1]) < 0.5
    for (x, y), sign in (
        ((min(start, end), 1), (max(start, end), -1))
        if level
        else ((min(start, end, key=lambda p: p[1]), 1), (max(start, end, key=lambda p: p[1]), -1))
    ):
        heads.append(
            f"M{pair(x, y)}l{sign * 8} 2.8v-5.6Z" if level else f"M{pair(x, y)}l2.8 {sign * 8}h-5.6Z"
        )
    return path(f"M{pair(*start)}L{pair(*end)}", "measure-line") + path("".join(heads), "measure-head")
