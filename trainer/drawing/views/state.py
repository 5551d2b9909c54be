"""The state of the machine after any step: what is off is gone, what comes next is lifted and marked."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.lifting_off import shift
from trainer.drawing.marks import beside, enlarged
from trainer.drawing.painter import paint
from trainer.drawing.scene import Placed, box_of, scene
from trainer.drawing.sheet import Sheet, weight_for
from trainer.drawing.standing import Stage, base_of, stage, states_after
from trainer.drawing.svg import Picture, path, tag
from trainer.drawing.view import main_axis
from trainer.procedure.structure import Structure
from trainer.procedure.window import UnknownStep, prepare
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.piece import Piece
    from trainer.drawing.regions import Box
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Weight
    from trainer.procedure.model import Module

TITLE = "State after a step, with what the next one moves"
# A thing smaller than this share of the width is shown again in a circle.
_SMALL = 0.13


def draw(
    module: Module,
    size: str | None,
    width: float,
    *,
    after: str | None = None,
    done: Sequence[str] | None = None,
    step: str | None = None,
    prefix: str = "state",
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return the machine as a job has left it, and what the next step moves.

    Args:
        module: the procedure.
        size: the size; the first one unless given.
        width: width in CSS px.
        after: the step just done, all before it in the file being done too; at the start unless given.
        done: the steps done, in their order, instead of `after`.
        step: the next step; the one that follows in the file unless given. An empty text shows none.
        prefix: in front of every id.
        tokens: other names for the parts in `data-part`.

    Raises:
        UnknownStep: a step is not in the module.
    """
    machine = scene(module, size)
    before, coming = _moment(module, after, done, step)
    procedure = prepare(module)
    shown = stage(module, states_after(procedure, before), module.steps[coming] if coming else None)
    window = canvas(machine, shown)
    weight = weight_for(width)
    sheet = Sheet(*window, width / (window[2] - window[0]))
    content = painted(machine, shown, sheet, weight, prefix, tokens)
    title = f"Before: {in_sentence(module.steps[coming].do)}" if coming else "Nothing is moved"
    return Picture(prefix, width, sheet.height, title, _told(module, shown), content, weight.name).text()


def _moment(
    module: Module, after: str | None, done: Sequence[str] | None, step: str | None
) -> tuple[list[str], str]:
    """Return the steps done and the next one."""
    order = list(module.steps)
    for name in (*(done or ()), *(x for x in (after, step) if x)):
        if name not in module.steps:
            raise UnknownStep(name, module)
    if done is None:
        done = order[: order.index(after) + 1] if after else []
        coming = order[len(done)] if len(done) < len(order) else ""
    else:
        coming = next((name for name in order if name not in done), "")
    return list(done), coming if step is None else step


def canvas(machine: Scene, shown: Stage) -> Box:
    """Return the window for a stage: the same for every step in the machine, and for every step at one bench."""
    if shown.base is None:
        x0, z0, x1, z1 = machine.box
        room = 0.27 * (z1 - z0)
        side = 0.05 * (x1 - x0)
        return x0 - side, z0 - 3, x1 + side, z1 + room
    module = machine.module
    unit = {*shown.standing, *shown.moving, *_whole_unit(module, shown.base)}
    x0, z0, x1, z1 = box_of(Placed(machine.pieces[name]) for name in unit if name in machine.pieces)
    still = not shown.moving
    top, bottom = z1 + (0.1 if still else 0.42) * (z1 - z0), z0 - (0.1 if still else 0.16) * (z1 - z0)
    m0, m_low, m1, m_top = canvas(machine, Stage(None, ()))
    # In the proportions of the machine's own canvas, so that the pictures of all steps stand side by side.
    upright = (m_top - m_low) / (m1 - m0)
    half = max((x1 - x0) * 0.66, (top - bottom) / upright / 2)
    middle, extra = (x0 + x1) / 2, half * 2 * upright - (top - bottom)
    return middle - half, bottom - extra / 2, middle + half, top + extra / 2


def _whole_unit(module: Module, base: str) -> tuple[str, ...]:
    built = Structure(module)
    things = (*module.parts, *module.fasteners)
    return tuple(thing for thing in things if thing == base or base_of(built, thing) == base)


def painted(
    machine: Scene,
    shown: Stage,
    sheet: Sheet,
    weight: Weight,
    prefix: str,
    tokens: Mapping[str, str] | None = None,
) -> str:
    """Return a stage as SVG: what stands, what moves in accent where it has gone, an arrow, and small things large."""
    window = (sheet.x0, sheet.z0, sheet.x1, sheet.z1)
    dx, dz = shift(machine, shown.moving, shown.standing, window)
    standing = [
        Placed(machine.pieces[name], mark="next" if name in shown.looked_at else "")
        for name in shown.standing
        if name in machine.pieces
    ]
    moving = [Placed(machine.pieces[name], dx, dz, "next") for name in shown.moving if name in machine.pieces]
    everything = [*standing, *moving]
    axis = main_axis(box_of(everything), sheet) if everything else ""
    content = [paint(machine, everything, sheet, weight, tokens=tokens), axis]
    if len(moving) == 1 and not moving[0].base.on_circle and sheet.width >= 300:
        content.insert(0, _ghost(moving[0].base, sheet))
    marked = moving or [item for item in standing if item.mark]
    if moving:
        content.append(beside(moving, standing, (dx, dz), sheet, incoming=shown.incoming))
    if marked:
        content.append(_large_again(machine, everything, marked, sheet, weight, prefix, tokens))
    return "".join(content)


def _ghost(piece: Piece, sheet: Sheet) -> str:
    """Return the outline of a thing where it was, dashed."""
    return tag("g", path("".join(curve.data(sheet) for curve in piece.faces), "face"), class_="ghost")


def _large_again(
    machine: Scene,
    everything: Sequence[Placed],
    marked: Sequence[Placed],
    sheet: Sheet,
    weight: Weight,
    prefix: str,
    tokens: Mapping[str, str] | None,
) -> str:
    """Return a round enlargement when what is marked is too small to be made out."""
    x0, z0, x1, z1 = box_of(marked)
    if max(x1 - x0, z1 - z0) * sheet.scale >= _SMALL * sheet.width:
        return ""
    reach = max(x1 - x0, z1 - z0) * 0.75
    r = 0.15 * sheet.width
    left, right = r + 4, sheet.width - r - 4
    spot = ((x0 + x1) / 2, (z0 + z1) / 2)
    # In the upper corner that is farther from it, so that the ring never lies under the enlargement.
    x = left if sheet.at(*spot)[0] > sheet.width / 2 else right
    return enlarged(machine, everything, sheet, weight, spot, reach, (x, r + 4, r), prefix, tokens)


def _told(module: Module, shown: Stage) -> str:
    """Return what stands and what moves, in words."""
    where = f"At the bench: {module.name(shown.base)}. " if shown.base else ""
    standing = ", ".join(in_sentence(module.name(name)) for name in shown.standing) or "nothing"
    moving = ", ".join(in_sentence(module.name(name)) for name in (*shown.moving, *shown.looked_at))
    return f"{where}In place: {standing}. {f'In hand: {moving}.' if moving else ''}".strip()
