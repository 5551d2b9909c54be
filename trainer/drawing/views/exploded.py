"""The machine taken apart: its sub-assemblies in columns, each thing above the next as it goes together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from trainer.drawing.controls import control
from trainer.drawing.labels import Label, column, paint_balloon, paint_leaders, text_width
from trainer.drawing.pictured import pictured
from trainer.drawing.regions import column_spans
from trainer.drawing.scene import scene
from trainer.drawing.svg import Picture, number, pair, path, tag, words
from trainer.drawing.view import machine_name
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.labels import Balloon
    from trainer.drawing.pictorial import Canvas
    from trainer.drawing.scene import Scene
    from trainer.procedure.model import Module
    from trainer.procedure.shapes import Column

TITLE = "Exploded, in sub-assemblies"
# A column is at least so wide, in px; the page gets as many as fit, three at most.
_COLUMN, _MOST = 330.0, 3
_GAP, _HEAD, _BETWEEN = 9.0, 40.0, 28.0
_WHOLE = 600.0
_CELL = 3.0
_NARROWEST = 200.0
BALLOON = 12.0


class TooNarrow(TrainerError):
    """A picture taken apart is asked for in a width that has no room for its names."""

    def __init__(self, width: float) -> None:
        super().__init__(f"Taken apart it needs {_NARROWEST:g} px for its names, not {width:g}.")


class NoColumns(TrainerError):
    """A module does not say how the machine comes apart."""

    def __init__(self, module: Module) -> None:
        super().__init__(
            f"{module.id or module.file} has no `explode` under `drawing`: list its sub-assemblies."
        )


@dataclass(frozen=True)
class Laid:
    """A sub-assembly laid out: its content about its own corner, its height, its balloons."""

    content: str
    height: float
    balloons: tuple[Balloon, ...]


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    only: int | None = None,
    prefix: str = "ex",
    controls: bool = False,
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return the machine taken apart.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px.
        only: one sub-assembly, counted from 1; all of them unless given.
        prefix: in front of every id.
        controls: each balloon is a named control, in the order of the parts list.
        tokens: other names for the parts in `data-part`, where the id would give an answer away.

    Raises:
        NoColumns: the module lists no sub-assemblies.
        TooNarrow: names and columns would lie on one another.
    """
    if width < _NARROWEST:
        raise TooNarrow(width)
    machine = scene(module, size)
    listed = machine.shapes.columns
    if not listed or (only is not None and not 0 < only <= len(listed)):
        raise NoColumns(module)
    chosen = list(enumerate(listed, start=1))
    chosen = chosen if only is None else [chosen[only - 1]]
    across = max(1, min(_MOST, len(chosen), int(width / _COLUMN)))
    wide = (width - (across - 1) * _BETWEEN) / across
    laid = [
        _laid(machine, found, wide, f"{prefix}-{count}", chr(64 + count), tokens) for count, found in chosen
    ]
    places, height = _places(laid, across, wide)
    content = []
    for one, (x, y) in zip(laid, places, strict=True):
        content.append(tag("g", one.content, transform=f"translate({number(x)} {number(y)})"))
    balloons = [
        _moved(balloon, x, y) for one, (x, y) in zip(laid, places, strict=True) for balloon in one.balloons
    ]
    content.append(paint_leaders(balloons))
    for count, balloon in enumerate(sorted(balloons, key=lambda b: int(b.label.number or 0)), start=1):
        shown = paint_balloon(balloon, names=True)
        if controls:
            name = f"{balloon.label.number} {balloon.label.name}"
            shown = control(count, balloon.label.thing, name, shown, tokens, named_inside=True)
        content.append(shown)
    title = f"Exploded view of the {machine_name(machine)}"
    told = f"Sub-assemblies: {'; '.join(found.name for _, found in chosen)}."
    return Picture(prefix, width, height, title, told, "".join(content), "detail", controls).text()


def _moved(balloon: Balloon, dx: float, dy: float) -> Balloon:
    """Return a balloon and its spot elsewhere on the page."""
    x, y = balloon.label.anchor
    label = replace(balloon.label, anchor=(x + dx, y + dy))
    return replace(balloon, label=label, x=balloon.x + dx, y=balloon.y + dy)


def _places(laid: Sequence[Laid], across: int, wide: float) -> tuple[list[tuple[float, float]], float]:
    """Return the corner of each sub-assembly, in columns as even as the order allows, and the height of it all."""
    best: tuple[float, list[int]] | None = None
    for split in _splits(len(laid), across):
        heights = [0.0] * across
        for one, place in zip(laid, split, strict=True):
            heights[place] += one.height + _BETWEEN
        if best is None or max(heights) < best[0] - 0.5:
            best = (max(heights), split)
    assert best is not None  # noqa: S101  # there is always one
    filled = [0.0] * across
    places = []
    for one, place in zip(laid, best[1], strict=True):
        places.append((place * (wide + _BETWEEN), filled[place]))
        filled[place] += one.height + _BETWEEN
    return places, max(filled) - _BETWEEN


def _splits(count: int, across: int) -> list[list[int]]:
    """Return every way to share things out to columns; in each column they keep their order."""
    ways: list[list[int]] = [[]]
    for _ in range(count):
        ways = [[*way, place] for way in ways for place in range(min(across, max(way, default=-1) + 2))]
    return ways


def _laid(
    machine: Scene,
    found: Column,
    wide: float,
    prefix: str,
    letter: str,
    tokens: Mapping[str, str] | None,
) -> Laid:
    """Return one sub-assembly; its balloons are left to the page."""
    things = [name for name in found.things if name in machine.pieces]
    names = [machine.module.name(name) + _count(machine, name) for name in things]
    room = max(text_width(name, 14.0) for name in names) + 2 * BALLOON + 44
    spans = [_across(machine, name) for name in things]
    left, right = max(-a for a, _ in spans), max(b for _, b in spans)
    # A small machine is drawn larger, so that the whole of it comes out about as high as a large one.
    high = machine.box[3] - machine.box[1]
    scale = min(_WHOLE / high, (wide - room) / (left + right))
    drawn = [
        pictured(machine.shapes.shapes[name], machine.pieces[name], scale, f"{prefix}-s{n}")
        for n, name in enumerate(things)
    ]
    beside = [machine.shapes.shapes[name].plug is not None for name in things]
    levels, height = _stacked(drawn, beside)
    middle = left * scale + 1.5
    top = _HEAD
    axis = path(f"M{number(middle)} {number(top - 2)}V{number(top + height + 8)}", "axis")
    parts = [axis]
    labels = []
    numbers = machine.module.item_numbers()
    for name, shown, canvas, y in zip(things, names, drawn, levels, strict=True):
        look = machine.pieces[name].look.value
        token = (tokens or {}).get(name, name)
        moved = f"translate({pair(middle, top + y)})"
        body = f"{prefix}-{len(parts)}"
        # The same once more behind it with a heavy line gives the contour.
        shape = machine.shapes.shapes[name]
        plain = shape.ring is not None or shape.coil is not None  # these have a rim of their own
        contour = tag("use", href=f"#{body}", class_="contour") + tag("g", canvas.svg, id=body)
        drawn_twice = canvas.svg if plain else contour
        parts.append(tag("g", drawn_twice, class_=f"part solid {look}", data_part=token, transform=moved))
        x, at = _spot(canvas)
        labels.append(Label(name, str(numbers.get(name, "")), shown, (middle + x, top + y + at)))
    balloons = column(
        labels, wide - room + 20 + BALLOON, 1, BALLOON, 2 * BALLOON + 3, top + BALLOON, top + height
    )
    letter_text = f"{letter}  {found.name}"
    head = words(0, 13, letter_text, "head") + path(f"M0 28H{number(wide)}", "rule")
    content = head + "".join(parts)
    return Laid(content, top + height + 10, tuple(balloons))


def _count(machine: Scene, name: str) -> str:
    count = machine.shapes.shapes[name].count
    return f" ({count})" if count > 1 else ""


def _across(machine: Scene, name: str) -> tuple[float, float]:
    """Return how far a thing reaches left and right of the axis from outside, in mm."""
    canvas = pictured(machine.shapes.shapes[name], machine.pieces[name], 1.0, "w")
    xs = [x for outline in canvas.outlines for x, _ in outline]
    return min(xs, default=0.0), max(xs, default=0.0)


def _stacked(drawn: Sequence[Canvas], beside: Sequence[bool]) -> tuple[list[float], float]:
    """Return the y of each thing's origin so that each hangs clear below the ones before, and the height of all.

    What is screwed in from the side stays level with the thing before it.
    """
    lowest: dict[int, float] = {}
    levels: list[float] = []
    above, host = 0.0, 0.0
    for canvas, level in zip(drawn, beside, strict=True):
        tops, bottoms = _skyline(canvas)
        first = min(tops.values())
        y = max((lowest[cell] + _GAP - top for cell, top in tops.items() if cell in lowest), default=-first)
        y = host if level and levels else max(y, above - first)
        if not level:
            host, above = y, y + first
        levels.append(y)
        for cell, bottom in bottoms.items():
            lowest[cell] = max(lowest.get(cell, -1e9), y + bottom)
    return levels, max(lowest.values())


def _skyline(canvas: Canvas) -> tuple[dict[int, float], dict[int, float]]:
    """Return the least and greatest y of a thing in narrow columns, in px."""
    tops: dict[int, float] = {}
    bottoms: dict[int, float] = {}
    for outline in canvas.outlines:
        x0, y0 = outline[-1]
        for x1, y1 in outline:
            across, down = x1 - x0, y1 - y0
            steps = max(1, int(abs(across) / _CELL))
            for k in range(steps + 1):
                y = y0 + down * k / steps
                cell = int((x0 + across * k / steps) // _CELL)
                if y < tops.get(cell, 1e9):
                    tops[cell] = y
                if y > bottoms.get(cell, -1e9):
                    bottoms[cell] = y
            x0, y0 = x1, y1
    return tops, bottoms


def _spot(canvas: Canvas) -> tuple[float, float]:
    """Return the spot that the leader points to: near the right edge, half way up; of a set the one farthest right."""
    if any(part.startswith("<use") for part in canvas.parts):
        last = max(
            canvas.outlines, key=lambda outline: max(x for x, _ in outline) + max(y for _, y in outline) / 100
        )
        xs, ys = [x for x, _ in last], [y for _, y in last]
        return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2
    tops, bottoms = _skyline(canvas)
    right = max(tops)
    cell = right - max(1, int((right - min(tops)) * 0.05))
    while cell not in tops and cell < right:
        cell += 1
    x = (cell + 0.5) * _CELL
    # Half way up the tallest surface there: half way between top and bottom may lie in a hollow.
    spans = [span for outline in canvas.outlines for span in column_spans([tuple(outline)], x)]
    if spans:
        low, high = max(spans, key=lambda span: span[1] - span[0])
        return x, (low + high) / 2
    return x, (tops.get(cell, 0.0) + bottoms.get(cell, 0.0)) / 2
