"""A detail: the machine with a ring on it, and the same spot in a large circle with its items."""

from __future__ import annotations

from dataclasses import replace
from math import acos, atan2, cos, hypot, sin
from typing import TYPE_CHECKING

from trainer.drawing.labels import Label, column, paint_balloon, paint_leaders
from trainer.drawing.marks import round_window
from trainer.drawing.painter import paint
from trainer.drawing.regions import clipped, deepest, signed_area
from trainer.drawing.scene import Placed, scene
from trainer.drawing.sheet import DETAIL, PHONE, Sheet
from trainer.drawing.svg import Picture, pair, path, tag, words
from trainer.drawing.view import items_described, machine_name, main_axis
from trainer.drawing.views.way_round import PartWithoutShape, close_up

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.drawing.curves import Point
    from trainer.drawing.labels import Balloon
    from trainer.drawing.scene import Scene
    from trainer.procedure.model import Module

TITLE = "Detail circle"
# From here on the machine stands beside the circle, in px.
_WITH_MACHINE = 560
# The machine beside the circle only tells where it is: a wider hatch will do.
_BESIDE = replace(PHONE, hatch=8.5)
# A face must show at least so much in the circle to get a balloon, in px².
_LEAST_FACE = 30.0


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    parts: Sequence[str],
    letter: str = "A",
    prefix: str = "detail",
) -> str:
    """Return a detail about some parts.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px; from 560 the machine stands beside the circle.
        parts: what it is about.
        letter: by which the detail is called.
        prefix: in front of every id.

    Raises:
        PartWithoutShape: a part has no shape.
    """
    machine = scene(module, size)
    for name in parts:
        if name not in machine.pieces:
            raise PartWithoutShape(name, module)
    spot, reach = close_up(machine, parts)
    x0, z0, x1, z1 = machine.box
    with_machine = width >= _WITH_MACHINE
    share = 0.4 * width if with_machine else 0.0
    scale = share / (x1 - x0)
    room = 2 * DETAIL.balloon + 18
    r = (width - share) / 2 - room - (10 if with_machine else 0)
    height = max(2 * r + 8, (z1 - z0) * scale + 16)
    centre = (width - room - r, height / 2)
    content = ""
    if with_machine:
        content = _machine(machine, scale, height, spot, reach, (*centre, r), letter)
    placed = [Placed(piece) for piece in machine.pieces.values()]
    content += round_window(machine, placed, DETAIL, spot, reach, (*centre, r), prefix)
    balloons = _balloons(machine, spot, reach, centre, r, width)
    content += paint_leaders(balloons) + "".join(paint_balloon(b, names=False) for b in balloons)
    title = f"Detail {letter} of the {machine_name(machine)}"
    return Picture(prefix, width, height, title, items_described(machine), content, DETAIL.name).text()


def _machine(
    machine: Scene,
    scale: float,
    height: float,
    spot: Point,
    reach: float,
    circle: tuple[float, float, float],
    letter: str,
) -> str:
    """Return the machine at the left with a ring on it, and two tangents to the circle."""
    x0, z0, x1, z1 = machine.box
    sheet = Sheet(x0, z0, x1, z1, scale, 2.0, (height - (z1 - z0) * scale) / 2)
    placed = [Placed(piece) for piece in machine.pieces.values()]
    x, y = sheet.at(*spot)
    ring = max(reach * scale, 9.0)
    lines = path(tangents((x, y, ring), circle), "tangent")
    said = words(x + ring + 3, y - ring - 4, letter, "letter accent", text_anchor="start")
    small = tag(
        "g", paint(machine, placed, sheet, _BESIDE) + main_axis(machine.box, sheet, 2.0), class_="lighter"
    )
    return small + lines + tag("circle", class_="ring", cx=x, cy=y, r=ring) + said


def tangents(small: tuple[float, float, float], large: tuple[float, float, float]) -> str:
    """Return the two outer tangents of two circles as path data, from rim to rim."""
    (ax, ay, ar), (bx, by, br) = small, large
    away = hypot(bx - ax, by - ay)
    if away <= abs(br - ar):
        return ""
    direction = atan2(by - ay, bx - ax)
    lean = acos((ar - br) / away)
    parts = []
    for side in (1, -1):
        angle = direction + side * lean
        parts.append(
            f"M{pair(ax + ar * cos(angle), ay + ar * sin(angle))}L{pair(bx + br * cos(angle), by + br * sin(angle))}"
        )
    return "".join(parts)


def _balloons(
    machine: Scene, spot: Point, reach: float, centre: Point, r: float, width: float
) -> list[Balloon]:
    """Return balloons left and right of the circle for what shows well in it."""
    numbers = machine.module.item_numbers()
    scale = r / reach
    columns: dict[int, list[Label]] = {-1: [], 1: []}
    for thing, piece in machine.pieces.items():
        anchor = _shown(piece.face_loops, spot, reach, scale)
        if thing in numbers and anchor is not None and machine.shows(thing, anchor):
            at = (centre[0] + (anchor[0] - spot[0]) * scale, centre[1] - (anchor[1] - spot[1]) * scale)
            side = 1 if at[0] >= centre[0] else -1
            columns[side].append(Label(thing, str(numbers[thing]), machine.module.name(thing), at))
    b = DETAIL.balloon
    low, high = centre[1] - r + b, centre[1] + r - b
    return [
        *column(columns[-1], centre[0] - r - b - 14, -1, b, 2 * b + 2, low, high),
        *column(columns[1], min(centre[0] + r + b + 14, width - b - 1), 1, b, 2 * b + 2, low, high),
    ]


def _shown(loops: Sequence[tuple[Point, ...]], spot: Point, reach: float, scale: float) -> Point | None:
    """Return the spot of a piece in the circle for a leader, None when too little of it shows."""
    near = 0.68 * reach
    cut = [clipped(loop, spot[0] - near, spot[1] - near, spot[0] + near, spot[1] + near) for loop in loops]
    kept = [loop for loop in cut if len(loop) > 2]
    if not kept or max(abs(signed_area(loop)) for loop in kept) * scale**2 < _LEAST_FACE:
        return None
    return deepest(kept)
