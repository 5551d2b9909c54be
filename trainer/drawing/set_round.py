"""A set of bolts as it is seen along the axis: its circle, its nuts, and the joint that it stands on, in mm.

Taken from the shapes where a module gives them. A set without a shape is drawn after its number alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.drawing.pieces import piece_of
from trainer.drawing.scene import shapes_at
from trainer.errors import TrainerError

if TYPE_CHECKING:
    from trainer.procedure.model import Fastener, Module
    from trainer.procedure.shapes import Shape, Shapes

FEWEST, MOST = 2, 24
# The rim over the circle, and across flats and thread over the rim, of a set whose shape nobody has given.
_RIM, _FLATS, _THREAD = 1.24, 0.2, 0.13
# A rim farther out than that leaves no room for what stands round it; the drawing then ends there.
_WIDEST = 1.34
_NARROWEST = 1.14


class NoBoltCircle(TrainerError):
    """A module has no set of bolts on a circle, or not the one that is asked for."""

    def __init__(self, name: str, module: Module) -> None:
        what = f"'{name}' of {module.id or module.file}" if name else f"Nothing in {module.id or module.file}"
        super().__init__(
            f"{what} is a set of {FEWEST} to {MOST} bolts on a circle: give a fastener its `count`."
        )


@dataclass(frozen=True)
class SetRound:
    """A set of bolts round a joint, in mm: how many, their circle, their nuts, and the circles to be seen inside."""

    fastener: Fastener
    count: int
    circle: float
    rim: float
    flats: float
    thread: float
    rings: tuple[float, ...]


def set_round(module: Module, size: str, name: str = "") -> SetRound:
    """Return a set of bolts; the first one that stands on a circle unless named.

    Raises:
        NoBoltCircle: there is none, or not that one.
    """
    fastener = module.fasteners.get(name) if name else _first(module, size)
    count = (fastener.count.at(size) or 0) if fastener else 0
    if fastener is None or not FEWEST <= count <= MOST:
        raise NoBoltCircle(name, module)
    shapes = shapes_at(module, size) if module.geometry else None
    shape = shapes.shapes.get(fastener.id) if shapes else None
    if shapes is None or shape is None or shape.screw is None or not shape.screw.r:
        return SetRound(fastener, count, 1.0, _RIM, _FLATS, _THREAD, (0.62,))
    screw = shape.screw
    radii = _seen(shapes, fastener)
    rim = min(max(max(radii, default=0.0), _NARROWEST * screw.r), _WIDEST * screw.r)
    inner = tuple(r for r in radii if r < screw.r - screw.af / 2)
    return SetRound(fastener, count, screw.r, rim, screw.af, screw.d, inner)


def _first(module: Module, size: str) -> Fastener | None:
    sets = [f for f in module.fasteners.values() if FEWEST < (f.count.at(size) or 0) <= MOST]
    return next((f for f in sets if f.pattern), sets[0] if sets else None)


def _seen(shapes: Shapes, fastener: Fastener) -> list[float]:
    """Return the radii of the edges that are seen from above on what the set clamps."""
    clamped = [shapes.shapes[name] for name in fastener.clamps if name in shapes.shapes]
    return sorted({round(r, 2) for shape in clamped for r in _edges(shape)})


def _edges(shape: Shape) -> list[float]:
    """Return where an outline, seen from above, steps: its corners that nothing above them hides."""
    piece = piece_of(shape)
    if piece is None or not shape.profile:
        return []
    steps, highest = list[float](), float("-inf")
    for r, z, _ in sorted(shape.profile, reverse=True):
        if z > highest + 0.5:
            steps.append(r)
        highest = max(highest, z)
    return [r for r in steps if r > 1]
