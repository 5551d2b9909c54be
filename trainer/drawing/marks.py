"""Arrows, round enlargements and what else is laid over a section."""

from __future__ import annotations

from math import atan2, cos, hypot, sin
from typing import TYPE_CHECKING

from trainer.drawing.painter import paint
from trainer.drawing.regions import inside
from trainer.drawing.scene import box_of
from trainer.drawing.sheet import Sheet
from trainer.drawing.svg import number, pair, path, tag

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.curves import Point
    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Placed, Scene
    from trainer.drawing.sheet import Weight


def arrow(start: Point, end: Point, head: float = 7.0) -> str:
    """Return an arrow between two points in px."""
    angle = atan2(end[1] - start[1], end[0] - start[0])
    back = (end[0] - head * 0.8 * cos(angle), end[1] - head * 0.8 * sin(angle))
    wings = [
        (
            end[0] - head * cos(angle) + s * head * 0.45 * sin(angle),
            end[1] - head * sin(angle) - s * head * 0.45 * cos(angle),
        )
        for s in (1, -1)
    ]
    return path(f"M{pair(*start)}L{pair(*back)}", "arrow") + path(
        f"M{pair(*end)}L{pair(*wings[0])}L{pair(*wings[1])}Z", "arrow-head"
    )


def bowed(start: Point, end: Point, free: float, class_: str = "arrow", bow: float = 0.06) -> str:
    """Return an arrow between two points in px, bowed a little so that it passes beside another through the middle.

    Args:
        start: the middle of what it comes from.
        end: the middle of what it goes to.
        free: how far it stays from both; less where they are near one another.
        class_: its class; `onward` is dashed.
        bow: how far it bows out, as a share of its length.
    """
    length = hypot(end[0] - start[0], end[1] - start[1])
    if length < 24:
        return ""
    # Between neighbours it is short, but it is there.
    free = min(free, (length - 11) / 2)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    top = (
        (start[0] + end[0]) / 2 - uy * 2 * bow * length,
        (start[1] + end[1]) / 2 + ux * 2 * bow * length,
    )
    first, last = _toward(start, top, free), _toward(end, top, free)
    angle = atan2(last[1] - top[1], last[0] - top[0])
    head = max(8.0, min(12.0, free * 0.45))
    back = (last[0] - 0.75 * head * cos(angle), last[1] - 0.75 * head * sin(angle))
    wings = [
        (
            last[0] - head * cos(angle) + s * head * 0.42 * sin(angle),
            last[1] - head * sin(angle) - s * head * 0.42 * cos(angle),
        )
        for s in (1, -1)
    ]
    head_class = "arrow-head" if class_ == "arrow" else f"{class_}-head"
    return path(f"M{pair(*first)}Q{pair(*top)} {pair(*back)}", class_) + path(
        f"M{pair(*last)}L{pair(*wings[0])}L{pair(*wings[1])}Z", head_class
    )


def _toward(start: Point, end: Point, by: float) -> Point:
    """Return the point that lies so far from one on the way to another."""
    length = hypot(end[0] - start[0], end[1] - start[1]) or 1.0
    return start[0] + (end[0] - start[0]) * by / length, start[1] + (end[1] - start[1]) * by / length


def beside(
    moving: Sequence[Placed], standing: Sequence[Placed], shift: Point, sheet: Sheet, *, incoming: bool
) -> str:
    """Return an arrow beside what moves, pointing the way that it goes; inside it where something stands beside."""
    dx, dz = shift
    if not dx and not dz:
        return ""
    box = box_of(moving)
    length = min(34.0, max(13.0, 0.09 * sheet.width))
    sign = -1 if incoming else 1
    x0, y0 = sheet.at(box[0], box[3])
    x1, y1 = sheet.at(box[2], box[1])
    if dz:
        up = (1 if dz > 0 else -1) * sign
        middle = (y0 + y1) / 2
        free = x1 + 16 < sheet.left + sheet.width and not _stands(standing, x1 + 9, middle, length, sheet)
        x = x1 + 9 if free else (x0 + x1) / 2 + 0.14 * (x1 - x0)
        return arrow((x, middle + up * length / 2), (x, middle - up * length / 2))
    right = (1 if dx > 0 else -1) * sign
    y = y1 + 9
    middle = (x0 + x1) / 2
    return arrow((middle - right * length / 2, y), (middle + right * length / 2, y))


def _stands(standing: Sequence[Placed], x: float, y: float, length: float, sheet: Sheet) -> bool:
    """Tell whether an arrow upright through a point in px would lie on something."""
    for item in standing:
        for loop in item.piece.face_loops:
            points = [sheet.at(*point) for point in loop]
            if any(inside((points,), x + a, y + b * length) for a in (-4, 4) for b in (-0.5, 0.0, 0.5)):
                return True
    return False


def enlarged(
    machine: Scene,
    placed: Sequence[Placed],
    sheet: Sheet,
    weight: Weight,
    spot: Point,
    reach: float,
    at: tuple[float, float, float],
    prefix: str,
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return a round enlargement with the ring round what it enlarges and a line between them.

    Args:
        machine: the machine.
        placed: everything that is to be seen.
        sheet: where the small picture lies.
        weight: line widths and hatch.
        spot: the middle of what is enlarged, in mm.
        reach: its radius in mm.
        at: middle and radius of the enlargement in px.
        prefix: in front of the clip's id.
        tokens: other names for the parts.
    """
    x, y, r = at
    ring_x, ring_y = sheet.at(*spot)
    ring = reach * sheet.scale
    away = hypot(ring_x - x, ring_y - y) or 1.0
    ux, uy = (ring_x - x) / away, (ring_y - y) / away
    line = ""
    if away > r + ring:
        line = path(
            f"M{pair(x + ux * r, y + uy * r)}L{pair(ring_x - ux * ring, ring_y - uy * ring)}", "tangent"
        )
    return (
        tag("circle", class_="tangent", cx=ring_x, cy=ring_y, r=ring)
        + line
        + round_window(machine, placed, weight, spot, reach, at, prefix, tokens)
    )


def round_window(
    machine: Scene,
    placed: Sequence[Placed],
    weight: Weight,
    spot: Point,
    reach: float,
    at: tuple[float, float, float],
    prefix: str,
    tokens: Mapping[str, str] | None = None,
    over: str = "",
) -> str:
    """Return what lies within a reach of a spot, in a circle; `over` is laid on it before the rim."""
    x, y, r = at
    scale = r / reach
    near = Sheet(spot[0] - reach, spot[1] - reach, spot[0] + reach, spot[1] + reach, scale, x - r, y - r)
    seen = [item for item in placed if _meets(item.box, spot, reach)]
    clip = f"{prefix}-ring"
    return (
        tag("clipPath", tag("circle", cx=x, cy=y, r=r), id=clip)
        + tag("circle", class_="paper", cx=x, cy=y, r=r)
        + tag(
            "g",
            paint(machine, seen, near, weight, axes=False, tokens=tokens) + over,
            clip_path=f"url(#{clip})",
        )
        + tag("circle", class_="frame", cx=x, cy=y, r=r)
    )


def _meets(box: Box, spot: Point, reach: float) -> bool:
    return (
        box[0] < spot[0] + reach
        and box[2] > spot[0] - reach
        and box[1] < spot[1] + reach
        and box[3] > spot[1] - reach
    )


def zigzag(x0: float, x1: float, y: float, below: float) -> str:
    """Return a break line across a picture, with nothing but paper from there to `below`."""
    steps = max(2, round((x1 - x0) / 90))
    width = (x1 - x0) / steps
    points = [f"M{pair(x0, y)}"]
    for n in range(steps):
        middle = x0 + (n + 0.5) * width
        points.append(f"H{number(middle - 5)}l3-8l5 16l3-8")
        points.append(f"H{number(x0 + (n + 1) * width)}")
    top = "".join(points)
    blank = f"M{pair(x0, y)}H{number(x1)}V{number(below)}H{number(x0)}Z"
    return path(blank, "paper") + path(top, "break-line")
