"""The shapes of a module at each of its sizes, as the rules look at them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.scene import shapes_at

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Module
    from trainer.procedure.shapes import Shapes


def at_each_size(module: Module) -> Iterator[Shapes]:
    """Yield the shapes at each size; none when the module gives no shapes."""
    if module.geometry:
        for size in module.sizes:
            yield shapes_at(module, size)
