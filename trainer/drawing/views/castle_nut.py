"""A castle nut and its pin, seen from its slots and from the side along the hole.

Plan above, elevation below. The nut stands so many degrees past the place at which a slot and the hole met: with
none of them it can be pinned.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, cos, pi, radians, sin, sqrt
from typing import TYPE_CHECKING

from trainer.drawing.scene import shapes_at
from trainer.drawing.sheet import DETAIL, PHONE, WIDE
from trainer.drawing.svg import Picture, number, pair, path, tag, words
from trainer.drawing.view import size_of
from trainer.errors import TrainerError
from trainer.procedure.wording import in_sentence
from trainer.trade.castle_nut import LEAST_BEND_OF_PIN_DEGREES, slot_angle, turn_to_next

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from trainer.drawing.curves import Point
    from trainer.procedure.model import Module

TITLE = "Castle nut and cotter pin, from above and from the side"
# Beside one another from this width on; the picture grows no larger than that, in px.
_BESIDE_FROM, _LARGEST = 560.0, 400.0
# The hole as seen from above, away from the level so that it is no centre line. A choice of ours.
_HOLE = radians(20)
_CROWN, _ROOT = 0.94, 0.86
# The washer, its radius by the flats and its thickness by the thread, and how far the thread stands out.
_RIM, _WASHER, _END = 0.74, 0.14, 0.22
# The pin lies in its hole with a little room.
_LOOSE = 0.86
# Where the module gives no shape: across flats, height, and slot of a nut of thread 1. Common practice, no source.
_FLATS, _HEIGHT, _SLOT = 1.5, 1.0, (0.28, 0.38)


class NoCastleNut(TrainerError):
    """A module has no castle nut, or not the one that is asked for."""

    def __init__(self, name: str, module: Module) -> None:
        what = f"'{name}' of {module.id or module.file}" if name else f"Nothing in {module.id or module.file}"
        super().__init__(f"{what} is a castle nut: give a fastener its `castle`.")


@dataclass(frozen=True)
class _Nut:
    """The nut in mm: thread, across flats, height, slot, how many, the pin, and where it stands, in radians."""

    d: float
    flats: float
    height: float
    slot: tuple[float, float]
    slots: int
    pin: float
    turn: float

    @property
    def crown(self) -> float:
        return self.flats / 2 * _CROWN

    @property
    def half(self) -> float:
        """Half the angle of a slot at the crown."""
        return asin(min(0.9, self.slot[0] / 2 / self.crown))

    def middles(self) -> list[float]:
        """The slots by their angle from the hole."""
        return [self.turn + 2 * pi * n / self.slots for n in range(self.slots)]


@dataclass(frozen=True)
class _Frame:
    """The plan: its middle and its scale in px a mm; along the hole and across it."""

    middle: Point
    scale: float

    def at(self, along: float, across: float) -> Point:
        """Return a point in px."""
        c, s = cos(_HOLE), sin(_HOLE)
        x, y = self.middle
        return x + (along * c - across * s) * self.scale, y + (along * s + across * c) * self.scale

    def round(self, angle: float, r: float) -> Point:
        """Return a point by its angle from the hole, clockwise as a nut is tightened, and its distance."""
        return self.at(r * cos(angle), r * sin(angle))


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    part: str = "",
    past: float | None = None,
    pinned: bool = False,
    figures: bool = True,
    beside: bool | None = None,
    prefix: str = "castle",
) -> str:
    """Return a castle nut in plan and elevation.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px; 360 and 1200 are what it is looked at.
        part: the fastener; the first castle nut unless given.
        past: degrees that the nut has turned on since a slot and the hole last met; half a slot unless given.
        pinned: with the pin in it, its legs bent; the nut then stands with a slot over the hole.
        figures: with the angle from slot to slot, and how far it is to the next one.
        beside: plan and elevation beside one another; by the width unless given.
        prefix: in front of every id.

    Raises:
        NoCastleNut: the module has none, or not that one.
    """
    chosen = size_of(module, size)
    name = part or next((f.id for f in module.fasteners.values() if f.castle), "")
    if not name or name not in module.fasteners or module.fasteners[name].castle is None:
        raise NoCastleNut(part, module)
    nut, turned = _nut(module, chosen, name, 0.0 if pinned else past)
    beside = width >= _BESIDE_FROM if beside is None else beside
    side = min(_LARGEST, width / 2 - 28 if beside else width - 16)
    weight = WIDE if width >= 900 else DETAIL if width >= _BESIDE_FROM else PHONE
    scale = side / (1.9 * nut.flats)
    above = (nut.height + _END * nut.d) * scale + 20
    below = above + _WASHER * nut.d * scale + 14
    apart = side / 2 + 16 if beside else 0.0
    plan = (width / 2 - apart, side / 2 + 8)
    foot = (width / 2 + apart, (side - below) / 2 + above + 8 if beside else side + above)
    frame = _Frame(plan, scale)
    content = [
        _plan(nut, frame, pinned=pinned),
        _elevation(nut, foot, scale, pinned=pinned),
        _figures(nut, frame, turned) if figures and not pinned else "",
    ]
    fastener = module.fasteners[name]
    return Picture(
        prefix,
        width,
        side + 16 if beside else side + below,
        f"{fastener.name} with {nut.slots} slots, {chosen}",
        _told(nut, turned, pinned=pinned, figures=figures, name=in_sentence(fastener.name)),
        "".join(content),
        weight.name,
    ).text()


def _nut(module: Module, size: str, name: str, past: float | None) -> tuple[_Nut, float]:
    """Return the nut as it stands, and by how many degrees a slot has passed the hole."""
    castle = module.fasteners[name].castle
    slots = castle.slots if castle else 6
    turned = (slot_angle(slots) / 2 if past is None else past) % slot_angle(slots)
    shapes = shapes_at(module, size).shapes if module.geometry else {}
    screw = shapes[name].screw if name in shapes else None
    locks = [part.id for part in module.parts.values() if name in part.locks]
    pin = next((shape.pin for lock in locks if (shape := shapes.get(lock)) and shape.pin), None)
    if screw is None or screw.form != "castle_nut":
        d, flats, height, slot = 1.0, _FLATS, _HEIGHT, _SLOT
    else:
        d, flats, height, slot = screw.d, screw.af, screw.h, screw.slot
    thick = min(pin.d if pin else slot[0], slot[0]) * _LOOSE
    return _Nut(d, flats, height, slot, slots, thick, radians(turned)), turned


def _plan(nut: _Nut, frame: _Frame, *, pinned: bool) -> str:
    """Return the nut from above: washer, hexagon, crown in its segments, end of the thread with its hidden hole."""
    corners = [frame.round(nut.turn + pi / 6 + pi / 3 * n, nut.flats / sqrt(3)) for n in range(6)]
    x, y = frame.middle
    root, crest = nut.d / 2 * _ROOT, nut.d / 2
    half = nut.pin / 2 / _LOOSE
    reach = sqrt(crest**2 - half**2)
    hidden = "".join(
        f"M{pair(*frame.at(-reach, side))}L{pair(*frame.at(reach, side))}" for side in (half, -half)
    )
    thread = (frame.round(radians(-100), root), frame.round(radians(170), root))
    long = nut.flats * 0.9
    return "".join(
        (
            tag(
                "g",
                tag("circle", class_="face", cx=x, cy=y, r=nut.flats * _RIM * frame.scale),
                class_="steel",
            ),
            tag("g", path(_closed(corners), "face"), class_="cast"),
            tag("g", path("".join(_segments(nut, frame)), "face"), class_="whole"),
            tag("g", tag("circle", class_="face", cx=x, cy=y, r=crest * frame.scale), class_="whole"),
            path(f"M{pair(*thread[0])}A{_r(root, frame)} 0 1 1 {pair(*thread[1])}", "fine"),
            path(hidden, "hidden"),
            _pin_above(nut, frame) if pinned else "",
            path(f"M{pair(*frame.at(-long, 0))}L{pair(*frame.at(long, 0))}", "hole-line"),
        )
    )


def _segments(nut: _Nut, frame: _Frame) -> Iterator[str]:
    """Yield the standing pieces of the crown between the slots."""
    inner, outer = nut.d / 2 * 1.02, nut.crown * 0.97
    near, far = (asin(min(0.95, nut.slot[0] / 2 / r)) for r in (inner, outer))
    for slot in nut.middles():
        after = slot + 2 * pi / nut.slots
        a, b = frame.round(slot + far, outer), frame.round(after - far, outer)
        c, d = frame.round(after - near, inner), frame.round(slot + near, inner)
        yield (
            f"M{pair(*a)}A{_r(outer, frame)} 0 0 1 {pair(*b)}L{pair(*c)}A{_r(inner, frame)} 0 0 0 {pair(*d)}Z"
        )


def _pin_above(nut: _Nut, frame: _Frame) -> str:
    """Return the pin: eye on one side, legs bent apart on the other."""
    edge, half = nut.flats * 0.56, nut.pin / 4
    eye = -edge - nut.pin * 0.9
    legs = []
    for side in (half, -half):
        bent = side * 5.6
        legs.append(
            f"M{pair(*frame.at(-edge, side))}L{pair(*frame.at(-nut.d / 2, side))}"
            f"M{pair(*frame.at(nut.d / 2, side))}L{pair(*frame.at(edge, side))}"
            f"L{pair(*frame.at(edge + nut.pin * 0.5, bent))}"
        )
    x, y = frame.at(eye, 0)
    rod = "".join(legs)
    thick = half * 2 * frame.scale * 0.86
    ring = nut.pin * 0.62 * frame.scale
    return "".join(
        (
            path(rod, "pin-edge", stroke_width=thick + 2.4),
            tag("circle", class_="pin-edge", cx=x, cy=y, r=ring, stroke_width=thick + 2.4),
            path(rod, "pin", stroke_width=thick),
            tag("circle", class_="pin", cx=x, cy=y, r=ring, stroke_width=thick),
        )
    )


def _elevation(nut: _Nut, foot: Point, scale: float, *, pinned: bool) -> str:
    """Return the nut from the side, looking along the hole: what stands in front of the hole hides it."""
    x, y = foot

    def box(left: float, right: float, low: float, high: float, class_: str = "face") -> str:
        return tag(
            "rect",
            class_=class_,
            x=x + left * scale,
            y=y - high * scale,
            width=(right - left) * scale,
            height=(high - low) * scale,
        )

    low, top = nut.height - nut.slot[1], nut.height
    end = top + _END * nut.d
    washer = _WASHER * nut.d
    corners = sorted(
        sin(angle) * nut.flats / sqrt(3)
        for angle in (nut.turn + pi / 6 + pi / 3 * n for n in range(6))
        if cos(angle) > 0
    )
    wide = max(-min(corners), max(corners), nut.flats / 2)
    front = [box(a, b, low, top) for a, b in _teeth(nut, front=True) if b - a > 0.02 * nut.d]
    back = [box(a, b, low, top) for a, b in _teeth(nut, front=False) if b - a > 0.02 * nut.d]
    middle, r = y - (low + nut.slot[1] / 2) * scale, nut.pin / 2 / _LOOSE * scale
    free = not pinned and min(abs(_wrapped(m)) for m in nut.middles()) < nut.half * 0.4
    root = nut.d / 2 * _ROOT * scale
    fine = "".join(f"M{pair(x + s * root, y - end * scale)}V{number(y - low * scale)}" for s in (1, -1))
    edges = "".join(
        f"M{pair(x + c * scale, y)}V{number(y - low * scale)}" for c in corners if abs(c) < wide * 0.995
    )
    hole = tag("circle", class_="open-hole" if free else "hidden", cx=x, cy=middle, r=r)
    if pinned:
        hole = (
            tag("circle", class_="hole-rim", cx=x, cy=middle, r=r)
            + tag("circle", class_="pin-face", cx=x, cy=middle, r=r * 0.86)
            + path(f"M{pair(x - r * 0.86, middle)}h{number(r * 1.72)}", "pin-rule")
        )
    axis = f"M{pair(x, y - end * scale - 10)}V{number(y + washer * scale + 8)}"
    return "".join(
        (
            tag("g", *back, class_="whole"),
            tag("g", box(-nut.d / 2, nut.d / 2, low, end), path(fine, "fine"), class_="whole"),
            hole if free or pinned else "",
            tag("g", *front, class_="whole"),
            "" if free or pinned else hole,
            tag("g", box(-wide, wide, 0, low), path(edges, "edge"), class_="cast"),
            tag("g", box(-nut.flats * _RIM, nut.flats * _RIM, -washer, 0), class_="steel"),
            path(axis, "hole-line"),
        )
    )


def _teeth(nut: _Nut, *, front: bool) -> Iterator[tuple[float, float]]:
    """Yield from where to where the standing pieces reach across, those in front of the thread or those behind."""
    for slot in nut.middles():
        start, end = slot + nut.half, slot + 2 * pi / nut.slots - nut.half
        for whole in (-2 * pi, 0.0, 2 * pi):
            first = max(start + whole, -pi / 2 if front else pi / 2)
            last = min(end + whole, pi / 2 if front else 3 * pi / 2)
            if last > first:
                across = (nut.crown * sin(first), nut.crown * sin(last))
                yield min(across), max(across)


def _figures(nut: _Nut, frame: _Frame, turned: float) -> str:
    """Return the angle from slot to slot, and how far the next slot still is from the hole."""
    step = slot_angle(nut.slots)
    left = turn_to_next(turned, nut.slots)
    r = nut.flats * 0.66
    # The slot that comes to the hole next stands before it, against the way the nut is tightened.
    slot = -radians(left)
    said = []
    if left:
        said.append(_arc(frame, slot, 0.0, r))
        said.append(
            path(
                f"M{pair(*frame.round(slot, nut.d / 2))}L{pair(*frame.round(slot, r + nut.d * 0.12))}",
                "slot-line",
            )
        )
    x, y = frame.middle
    side = nut.flats * 0.95 * frame.scale
    lines = [f"slot to slot {step:g}°", f"to the next {left:g}°" if left else "a slot meets the hole"]
    said += [
        words(x - side, y - side + 10, lines[0], None),
        words(x + side, y - side + 10, lines[1], "accent", text_anchor="end"),
    ]
    return "".join(said)


def _arc(frame: _Frame, start: float, end: float, r: float) -> str:
    """Return an arc with an arrow at its end, the way the nut is tightened."""
    if (end - start) * r * frame.scale < 12:
        return ""
    a, b = frame.round(start, r), frame.round(end, r)
    back = frame.round(end - 7 / (r * frame.scale), r)
    wings = [frame.round(end - 9 / (r * frame.scale), r + w / frame.scale) for w in (3.6, -3.6)]
    return path(f"M{pair(*a)}A{_r(r, frame)} 0 0 1 {pair(*back)}", "arrow") + path(
        _closed([b, *wings]), "arrow-head"
    )


def _told(nut: _Nut, turned: float, *, pinned: bool, figures: bool, name: str) -> str:
    said = f"The {name} from above and from the side, looking along the hole. "
    if pinned:
        bend = f"its legs bent by {LEAST_BEND_OF_PIN_DEGREES}° or more" if figures else "its legs bent"
        return f"{said}The pin goes through slot and hole, {bend}."
    if not turned:
        return f"{said}A slot lines up with the hole."
    left = turn_to_next(turned, nut.slots)
    angle = f": {left:g}° to the next one, {slot_angle(nut.slots):g}° from slot to slot" if figures else ""
    return f"{said}No slot lines up with the hole{angle}."


def _wrapped(angle: float) -> float:
    """Return an angle between minus and plus half a turn."""
    return (angle + pi) % (2 * pi) - pi


def _closed(points: Sequence[Point]) -> str:
    return "M" + "L".join(pair(*point) for point in points) + "Z"


def _r(radius: float, frame: _Frame) -> str:
    return f"{number(radius * frame.scale)} {number(radius * frame.scale)}"
