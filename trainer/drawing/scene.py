"""A machine at one size as it is drawn: its pieces, their hatching, and where balloons point.

Worked out once a revision and size; the pictures place the pieces, they never change them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from trainer.drawing.hatch import SPACING, Hatching, choose, contacts_of
from trainer.drawing.paint_order import paint_order
from trainer.drawing.pieces import piece_of
from trainer.drawing.regions import bounds, deepest, inside
from trainer.errors import TrainerError
from trainer.procedure.model import SameRevision

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from trainer.drawing.curves import Point
    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Box, Loop
    from trainer.procedure.model import Module
    from trainer.procedure.shapes import Shapes


class NoShapes(TrainerError):
    """A module gives no shapes."""

    def __init__(self, module: Module) -> None:
        super().__init__(
            f"{module.id or module.file} says nothing of what its parts look like: add `shapes`."
        )


class NoSuchSize(TrainerError):
    """A size is asked for that the module does not have."""

    def __init__(self, size: str, module: Module) -> None:
        super().__init__(
            f"{module.id or module.file} has no size '{size}'; its sizes: {', '.join(module.sizes)}."
        )


@dataclass(frozen=True)
class Placed:
    """A piece somewhere in a picture; `mark` is a class of the style sheet: next, gone, quiet or empty."""

    base: Piece
    dx: float = 0.0
    dz: float = 0.0
    mark: str = ""

    @cached_property
    def piece(self) -> Piece:
        """The piece where it is drawn."""
        return self.base.moved(self.dx, self.dz)

    @property
    def low(self) -> float:
        """Its lowest height."""
        return self.base.box[1] + self.dz

    @property
    def high(self) -> float:
        """Its greatest height."""
        return self.base.box[3] + self.dz

    @property
    def box(self) -> Box:
        """The rectangle that it takes up."""
        x0, z0, x1, z1 = self.base.box
        return x0 + self.dx, z0 + self.dz, x1 + self.dx, z1 + self.dz

    def reach(self, z: float) -> float:
        """Return how far from the axis it reaches at a height."""
        return self.base.reach(z - self.dz)


@dataclass(frozen=True)
class Scene:
    """All pieces of a machine, each where it belongs, in the order of the file."""

    module: Module
    shapes: Shapes
    pieces: Mapping[str, Piece]
    hatching: Mapping[str, Hatching] = field(default_factory=dict)

    @property
    def box(self) -> Box:
        """The rectangle that the machine takes up when all is together."""
        return box_of(Placed(piece) for piece in self.pieces.values())

    def anchor(self, thing: str, side: int = 0) -> Point:
        """Return the spot of a thing that a leader points to.

        Args:
            thing: a part, fastener or line with a shape.
            side: 1 for one right of the axis, -1 for one left of it, 0 for the best.
        """
        said = self.shapes.shapes[thing].label_at
        if said is not None:
            return said
        if (thing, side) not in self._anchors:
            self._anchors[thing, side] = self._spot(thing, side)
        return self._anchors[thing, side]

    def _spot(self, thing: str, side: int) -> Point:
        piece = self.pieces[thing]
        place = self.painted.index(thing)
        hiding = [
            (*bounds(curve.points), curve.points)
            for later in self.painted[place + 1 :]
            for curve in (*self.pieces[later].cover, *self.pieces[later].faces)
            if curve.points
        ]

        def seen(x: float, z: float) -> bool:
            # Most of what is painted later lies elsewhere, and its corners need not be looked at.
            return not any(
                x0 <= x <= x1 and z0 <= z <= z1 and inside((loop,), x, z) for x0, z0, x1, z1, loop in hiding
            )

        loops = _likeliest(piece, side)
        return (
            deepest(loops, side, seen) or deepest(piece.face_loops, 0, seen) or deepest(loops) or piece.middle
        )

    def shows(self, thing: str, spot: Point) -> bool:
        """Tell whether nothing painted later hides a spot of a thing."""
        later = self.painted[self.painted.index(thing) + 1 :]
        curves = [c for name in later for c in (*self.pieces[name].cover, *self.pieces[name].faces)]
        return not any(inside((curve.points,), *spot) for curve in curves if curve.closed)

    @cached_property
    def _anchors(self) -> dict[tuple[str, int], Point]:
        return {}

    @cached_property
    def painted(self) -> list[str]:
        """All things as they are painted, first the one that lies farthest back."""
        return [item.base.id for item in paint_order([Placed(piece) for piece in self.pieces.values()])]

    def sides(self, thing: str) -> tuple[int, ...]:
        """Return the sides of the axis on which a leader may end: 1 right, -1 left."""
        said = self.shapes.shapes[thing].label_at
        x0, _, x1, _ = self.pieces[thing].box
        if said is not None:
            return (1,) if said[0] > 0 else (-1,)
        if x0 > 0 or x1 < 0:
            return (1,) if x0 > 0 else (-1,)
        return (-1,) if self.pieces[thing].on_circle else (1, -1)


def box_of(placed: Iterable[Placed]) -> Box:
    """Return the rectangle that pieces take up together."""
    boxes = [item.box for item in placed]
    return (
        min(box[0] for box in boxes),
        min(box[1] for box in boxes),
        max(box[2] for box in boxes),
        max(box[3] for box in boxes),
    )


def scene(module: Module, size: str | None = None) -> Scene:
    """Return the machine of a module at a size; at its first one unless given.

    Raises:
        NoShapes: the module gives no shapes.
        NoSuchSize: it does not have that size.
    """
    if not module.geometry:
        raise NoShapes(module)
    if size is not None and size not in module.sizes:
        raise NoSuchSize(size, module)
    chosen = size or (module.sizes[0] if module.sizes else "")
    return _once(SameRevision(module), chosen) if module.revision else _made(module, chosen)


def _likeliest(piece: Piece, side: int) -> tuple[Loop, ...]:
    """Return the loops in which a leader may end: of many equal faces, such as cut coils, the one half way up."""
    if len(piece.faces) < 5 or piece.whole:
        return piece.face_loops
    middle = piece.middle[1]

    def away(loop: Loop) -> float:
        x, z = sum(p[0] for p in loop) / len(loop), sum(p[1] for p in loop) / len(loop)
        return abs(z - middle) + (1e6 if x * side < 0 else 0.0)

    return (min((curve.points for curve in piece.faces), key=away),)


@lru_cache(maxsize=24)
def _once(keyed: SameRevision, size: str) -> Scene:
    return _made(keyed.module, size)


def shapes_at(module: Module, size: str) -> Shapes:
    """Return the shapes of a module at a size, with its own counts and materials.

    Raises:
        NoShapes: the module gives none.
    """
    if not module.geometry:
        raise NoShapes(module)
    return _shapes_once(SameRevision(module), size) if module.revision else _shapes(module, size)


@lru_cache(maxsize=24)
def _shapes_once(keyed: SameRevision, size: str) -> Shapes:
    return _shapes(keyed.module, size)


def _shapes(module: Module, size: str) -> Shapes:
    if not module.geometry:
        raise NoShapes(module)
    counts = {name: part.count.at(size) or 1 for name, part in module.parts.items()}
    counts |= {name: fastener.count.at(size) or 1 for name, fastener in module.fasteners.items()}
    materials = {part.id: part.material for part in module.parts.values()}
    return module.geometry.at(size, counts, materials)


def _made(module: Module, size: str) -> Scene:
    shapes = shapes_at(module, size)
    pieces: dict[str, Piece] = {}
    for name in (*module.parts, *module.fasteners, *module.lines):
        piece = piece_of(shapes.shapes[name]) if name in shapes.shapes else None
        if piece is not None:
            pieces[name] = piece
    if not pieces:
        raise NoShapes(module)
    hatched = {name: piece for name, piece in pieces.items() if piece.look in SPACING and not piece.whole}
    contacts = contacts_of({name: piece.face_loops for name, piece in hatched.items()})
    hatching = choose({name: piece.area for name, piece in hatched.items()}, contacts)
    return Scene(module, shapes, pieces, hatching)
