"""One way round of a part, close up: the part marked, its neighbours where this way leaves them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.marks import round_window
from trainer.drawing.regions import bounds
from trainer.drawing.scene import scene
from trainer.drawing.sheet import DETAIL, PHONE
from trainer.drawing.svg import Picture
from trainer.drawing.turning import turned
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from collections.abc import Collection

    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Scene
    from trainer.procedure.model import Module

TITLE = "A part one way round or the other"


class PartWithoutShape(TrainerError):
    """A picture of a part is asked for that has no shape."""

    def __init__(self, part: str, module: Module) -> None:
        super().__init__(f"'{part}' has no shape in {module.id or module.file}: add it under `shapes`.")


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    part: str,
    together: Collection[str] = (),
    wrong: Collection[str] = (),
    prefix: str = "way",
) -> str:
    """Return one way round; title and description are the same for all of them.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width and height in CSS px.
        part: the part in question; the picture is about it.
        together: further parts in question, such as the other one of a pair.
        wrong: which of them lie the wrong way round.
        prefix: in front of every id; it must not tell which way this is.

    Raises:
        PartWithoutShape: a part has no shape.
    """
    machine = scene(module, size)
    asked = (part, *together)
    for name in asked:
        if name not in machine.pieces:
            raise PartWithoutShape(name, module)
    placed = turned(machine, wrong)
    marked = [
        item if item.base.id not in asked else type(item)(item.base, item.dx, item.dz, "asked")
        for item in placed
    ]
    spot, reach = close_up(machine, asked)
    r = width / 2 - 2
    weight = DETAIL if width >= 240 else PHONE
    content = round_window(machine, marked, weight, spot, reach, (width / 2, width / 2, r), prefix)
    names = " and ".join(module.name(name) for name in asked)
    told = (
        "A close-up of the section, with the part marked. The way it lies is to be judged from the picture."
    )
    return Picture(prefix, width, width, f"{names}, as fitted here", told, content, weight.name).text()


def close_up(machine: Scene, parts: Collection[str]) -> tuple[tuple[float, float], float]:
    """Return the spot and reach that show parts with what they touch, the same whichever way they lie."""
    said = machine.shapes.shapes[next(iter(parts))].turn.close_up
    if said is not None and len(parts) == 1:
        return said[:2], said[2]
    boxes = [_near_side(machine, part) for part in parts]
    x0, z0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, z1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    across, high = x1 - x0, z1 - z0
    reach = max(0.62 * (across**2 + high**2) ** 0.5, 0.75 * max(across, high)) + 4.0 * machine_share(machine)
    return ((x0 + x1) / 2, (z0 + z1) / 2), reach


def machine_share(machine: Scene) -> float:
    """Return how large the machine is against one of 250 mm, so that margins grow with it."""
    x0, z0, x1, z1 = machine.box
    return max(x1 - x0, z1 - z0) / 250


def _near_side(machine: Scene, part: str) -> Box:
    """Return the box of a part on the right of the axis; the whole of one that touches it."""
    faces = [curve.points for curve in machine.pieces[part].faces]
    right = [points for points in faces if min(x for x, _ in points) > -1e-6]
    return bounds(p for points in (right or faces) for p in points)
