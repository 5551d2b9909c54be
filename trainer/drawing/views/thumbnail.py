"""The thumbnail of a step: the whole machine, quiet, and the thing of the step in accent where it sits.

It shows nothing of what is on or off, so that it tells nothing of the order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.painter import paint
from trainer.drawing.scene import Placed, scene
from trainer.drawing.sheet import SMALL, Sheet
from trainer.drawing.standing import base_of
from trainer.drawing.svg import Picture
from trainer.procedure.structure import Structure
from trainer.procedure.window import UnknownStep

if TYPE_CHECKING:
    from trainer.procedure.model import Module

TITLE = "Thumbnail of a step"


def draw(module: Module, size: str | None, width: float, *, step: str, prefix: str = "thumb") -> str:
    """Return the thumbnail of a step, the same whatever has been done before.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px, about 60 to 170.
        step: the step.
        prefix: in front of every id.

    Raises:
        UnknownStep: the step is not in the module.
    """
    if step not in module.steps:
        raise UnknownStep(step, module)
    machine = scene(module, size)
    marked = touched(module, step)
    x0, z0, x1, z1 = machine.box
    sheet = Sheet(x0 - 3, z0 - 3, x1 + 3, z1 + 3, width / (x1 - x0 + 6))
    placed = [Placed(p, mark="next" if name in marked else "quiet") for name, p in machine.pieces.items()]
    content = paint(machine, placed, sheet, SMALL)
    return Picture(
        prefix, width, sheet.height, "What this step is about", "Marked in the machine.", content, "small"
    ).text()


def touched(module: Module, step: str) -> set[str]:
    """Return what a step acts on, with what comes along."""
    built = Structure(module)
    named = {*module.steps[step].targets, *module.steps[step].along}
    bound = {name for name in module.fasteners if base_of(built, name) in named}
    return named | (bound if module.steps[step].along else set())
