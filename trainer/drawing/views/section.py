"""The section: the machine cut through its axis, with balloons; or half of it from outside, half cut."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.drawing.controls import control_points, with_balloons
from trainer.drawing.half import outside_left, spots_outside
from trainer.drawing.labels import Balloon, Label, column, paint_balloon, paint_leaders, text_width
from trainer.drawing.painter import paint
from trainer.drawing.scene import Placed, scene
from trainer.drawing.sheet import Sheet, weight_for
from trainer.drawing.svg import Picture
from trainer.drawing.view import flow_arrow, items_described, machine_name, main_axis

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Weight
    from trainer.procedure.model import Module

TITLE = "Section with balloons"
# From here on there is room for names beside the balloons, in px.
NAMES_FROM = 860
_EDGE = 5.0
_MARGIN = 8.0


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    prefix: str = "section",
    half: bool = False,
    labels: bool = True,
    names: bool | None = None,
    controls: bool = False,
    tokens: Mapping[str, str] | None = None,
    numbers: Sequence[tuple[str, str]] = (),
) -> str:
    """Return the section of a machine.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px; 360 and 1200 are what it is looked at.
        prefix: in front of every id, so that several pictures share a page.
        half: the left half from outside.
        labels: with balloons; without them it takes the whole width.
        names: with names beside the balloons; by the width unless given.
        controls: parts can be chosen: each has a named control, in the order of the parts list.
        tokens: other names for the parts, where the id would give an answer away; controls are then neutral.
        numbers: (part, number) of the parts that get a balloon, instead of all by their item numbers; nothing is named
            then, and the numbers are their tokens.
    """
    if numbers:
        tokens, names = dict(numbers), False
    machine = scene(module, size)
    weight = weight_for(width)
    named = names if names is not None else width >= NAMES_FROM
    sheet = _sheet(machine, width, weight, _margin(machine, weight, labels=labels, named=named))
    if labels:
        sheet = _with_room(machine, sheet, weight, half=half, named=named, given=dict(numbers))
    placed = [Placed(piece) for piece in machine.pieces.values()]
    balloons = (
        labelled(machine, sheet, weight, width, half=half, named=named, numbers=dict(numbers))
        if labels
        else []
    )
    content = [
        outside_left(machine, sheet, weight, prefix, tokens)
        if half
        else paint(machine, placed, sheet, weight, tokens=tokens),
        main_axis(machine.box, sheet),
        paint_leaders(balloons) if balloons else "",
        *(flow_arrow(flow, sheet, named=width >= 500 and not numbers) for flow in machine.shapes.flows),
    ]
    if controls:
        content.append(
            with_balloons(machine, balloons, tokens, names=named)
            if balloons
            else control_points(machine, sheet, tokens)
        )
    else:
        content += [paint_balloon(balloon, names=named) for balloon in balloons]
    told = items_described(machine) if tokens is None else "The parts are not named here."
    return Picture(
        prefix,
        width,
        sheet.top * 2 + sheet.height,
        f"{'Half section' if half else 'Section'} of the {machine_name(machine)}",
        told,
        "".join(content),
        weight.name,
        controls,
    ).text()


def labelled(
    machine: Scene,
    sheet: Sheet,
    weight: Weight,
    width: float,
    *,
    half: bool,
    named: bool,
    numbers: Mapping[str, str] | None = None,
) -> list[Balloon]:
    """Return the balloons of everything with an item number, or with one of the `numbers` given, in two columns.

    In a half section those that can be seen from outside stand on the left.

    With `named` the spots that have a name alone stand among them.
    """
    r = weight.balloon
    left, right = sides(machine, sheet, half=half, named=named, given=numbers)
    low, high = r + 2, sheet.top * 2 + sheet.height - r - 2
    away = sheet.left - r - (14 if weight.name == "phone" else 22)
    gap = _gap(weight)
    end = sheet.left + sheet.width + (sheet.left - away if weight.name == "phone" else r + 22)
    return [
        *column(left, away, -1, r, gap, low, high),
        *column(right, min(end, width - r - 1), 1, r, gap, low, high),
    ]


def _gap(weight: Weight) -> float:
    """Return the least distance between the middles of two balloons of a column, in px."""
    return 2 * weight.balloon + (1.5 if weight.name == "phone" else 3)


def _with_room(
    machine: Scene, sheet: Sheet, weight: Weight, *, half: bool, named: bool, given: Mapping[str, str]
) -> Sheet:
    """Return the sheet with so much room above and below that the longer column of balloons fits beside it."""
    longest = max(len(labels) for labels in sides(machine, sheet, half=half, named=named, given=given))
    needed = (longest - 1) * _gap(weight) + 2 * weight.balloon + 4
    short = needed - sheet.top * 2 - sheet.height
    return replace(sheet, top=sheet.top + short / 2) if short > 0 else sheet


def sides(
    machine: Scene, sheet: Sheet, *, half: bool, named: bool, given: Mapping[str, str] | None = None
) -> tuple[list[Label], list[Label]]:
    """Return the labels left and right of the drawing, shared out evenly from top to bottom."""
    numbers = given or {thing: str(number) for thing, number in machine.module.item_numbers().items()}
    things = sorted(machine.pieces, key=lambda thing: (-machine.anchor(thing)[1], thing))
    columns: dict[int, list[Label]] = {-1: [], 1: []}
    outside = spots_outside(machine) if half else {}
    fixed = {side: sum(1 for t in things if t in numbers and machine.sides(t) == (side,)) for side in (-1, 1)}
    for thing in things:
        if thing not in numbers:
            continue
        allowed = machine.sides(thing)
        if half:
            allowed = (-1,) if thing in outside else (1,)
        side = allowed[0] if len(allowed) == 1 else 1 if fixed[1] <= fixed[-1] else -1
        fixed[side] += len(allowed) > 1
        spot = sheet.at(*(outside[thing] if side < 0 and half else machine.anchor(thing, side)))
        columns[side].append(Label(thing, numbers[thing], machine.module.name(thing), spot))
    for name, spot in spots(machine) if named else ():
        columns[-1 if spot[0] < 0 else 1].append(Label(name, "", name, sheet.at(*spot)))
    return columns[-1], columns[1]


def spots(machine: Scene) -> list[tuple[str, tuple[float, float]]]:
    """Return what is named without an item number: features, and lines by their names."""
    lines = [(machine.module.name(t), machine.anchor(t)) for t in machine.module.lines if t in machine.pieces]
    return [*((feature.name, feature.at) for feature in machine.shapes.features), *lines]


def _margin(machine: Scene, weight: Weight, *, labels: bool, named: bool) -> tuple[float, float]:
    """Return the room left and right of the drawing, in px."""
    if not labels:
        return _MARGIN, _MARGIN
    if not named:
        room = 2 * weight.balloon + (22 if weight.name == "phone" else 40)
        return room, room
    texts = [machine.module.name(thing) for thing in machine.pieces]
    room = max(text_width(said, weight.type_size) for said in texts) + 2 * weight.balloon + 34
    return room, room


def _sheet(machine: Scene, width: float, weight: Weight, margin: tuple[float, float]) -> Sheet:
    x0, z0, x1, z1 = _with_air(machine.box)
    scale = (width - sum(margin)) / (x1 - x0)
    return Sheet(x0, z0, x1, z1, scale, margin[0], 4.0 if weight.name != "wide" else 10.0)


def _with_air(box: Box) -> Box:
    return box[0] - 1, box[1] - _EDGE, box[2] + 1, box[3] + _EDGE
