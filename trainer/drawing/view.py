"""What a view is, and what several of them share: titles, the main axis, features, flow arrows, margins."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from trainer.drawing.curves import line
from trainer.drawing.scene import NoSuchSize
from trainer.drawing.svg import number, path, words
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Callable

    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Sheet
    from trainer.procedure.model import Module
    from trainer.procedure.shapes import Flow


class View(Protocol):
    """A module of `drawing/views`: TITLE says what it shows; `draw` returns the SVG."""

    TITLE: str

    # (module, size or None for the first, width in CSS px, **options of the view) -> SVG
    draw: Callable[..., str]


def size_of(module: Module, size: str | None) -> str:
    """Return the size that is asked for, the first one unless given.

    Raises:
        NoSuchSize: the module does not have it.
    """
    if size is not None and size not in module.sizes:
        raise NoSuchSize(size, module)
    return size or (module.sizes[0] if module.sizes else "")


def main_axis(box: Box, sheet: Sheet, over: float = 6.0) -> str:
    """Return the centre line of the machine, a little longer than the machine itself."""
    return path(line((0.0, box[1] - over), (0.0, box[3] + over)).data(sheet), "axis")


def flow_arrow(flow: Flow, sheet: Sheet, *, named: bool) -> str:
    """Return a hollow arrow for the way of the gas, 40 px long at most."""
    x, y = sheet.at(*flow.at)
    s = min(1.0, max(0.5, sheet.scale / 3))
    dx, dz = flow.toward.step
    # The arrow as seen pointing right, turned by its direction; the picture's y points down.
    points = [(-28, -8), (4, -8), (4, -18), (28, 0), (4, 18), (4, 8), (-28, 8)]
    turned = [(x + s * (u * dx + v * dz), y + s * (-u * dz + v * dx)) for u, v in points]
    data = "M" + "L".join(f"{number(a)} {number(b)}" for a, b in turned) + "Z"
    if not named:
        return path(data, "flow")
    away = (0.0, -18 * s - 10) if dx else (18 * s + 8, 0.0)
    anchor = "middle" if dx else "start"
    return path(data, "flow") + words(x + away[0], y + away[1], flow.name, "flow-name", text_anchor=anchor)


def machine_name(scene: Scene) -> str:
    """Return what the machine is called in a title."""
    title = scene.module.title
    first, _, rest = title.partition(" ")
    # A title says what is done; the picture shows what it is done to.
    name = rest if first.lower() in ("overhaul", "inspect", "service", "take", "isolate") and rest else title
    return f"{in_sentence(name)}, {scene.shapes.size}"


def items_described(scene: Scene) -> str:
    """Return the parts list as a sentence."""
    numbers = scene.module.item_numbers()
    named = [
        f"{numbers[t]} {scene.module.name(t)}"
        for t in sorted(numbers, key=numbers.__getitem__)
        if t in scene.pieces
    ]
    return f"Items: {', '.join(named)}."
