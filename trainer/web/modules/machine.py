"""The machine of a procedure to look at: section, state after any step, exploded view, each item close up."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, ClassVar

from markupsafe import Markup

from trainer.actions.actor import NotFound
from trainer.drawing import VIEWS
from trainer.drawing.scene import NoShapes, NoSuchSize, scene
from trainer.drawing.views.way_round import close_up
from trainer.procedure import tightening
from trainer.procedure.model import SameRevision
from trainer.procedure.window import UnknownStep
from trainer.web.modules.contents import runs
from trainer.web.modules.part_told import PartTold, part_told
from trainer.web.pages import Page, TitleBlock

if TYPE_CHECKING:
    from trainer.actions.views import PublishedModule
    from trainer.procedure.model import Caution, Module

# CSS pixels inside the frame of a sheet 360 and 1280 px wide.
WIDTHS = {"phone": 328, "desk": 720}
_EXPLODED = {"phone": 336, "desk": 1150}
_STATE = {"phone": 300, "desk": 460}
_CLOSE_UP = 300
# What is larger than this share of the machine is seen well enough in the section.
_SMALL = 0.3


@dataclass(frozen=True)
class MomentShown:
    """A moment of the job: so many steps are done, and what comes next; no text when all are done."""

    done: int
    steps: int
    do: str
    items: str
    note: str
    cautions: tuple[Caution, ...]


@dataclass(frozen=True)
class StepLink:
    """A step by its number, with what leads to the moment before it: how many are done, and the id of the last one."""

    number: int
    do: str
    after: str


@dataclass(frozen=True)
class MachinePage(Page):
    """The machine at one size.

    Pictures are (for a phone, for a desk). `exploded` is empty until it is asked for, `has_exploded` tells whether
    there is one. `before` and `next` are the ids of the steps that lead one moment back and on, None at the ends; ""
    is the moment when nothing is done, `last` the id of the last step. `told` is the item chosen, with its close-up in `close`.
    """

    TEMPLATE: ClassVar[str] = "modules/machine.html"
    module_id: str
    title: str
    revision: str
    size: str
    sizes: tuple[str, ...]
    section: tuple[Markup, Markup]
    items: tuple[tuple[str, int, str], ...]
    told: PartTold | None
    close: Markup
    moment: MomentShown
    after: str
    before: str | None
    next: str | None
    last: str
    state: tuple[Markup, Markup]
    steps: tuple[StepLink, ...]
    exploded: tuple[Markup, ...]
    has_exploded: bool


def machine_page(
    published: PublishedModule,
    module: Module,
    *,
    size: str,
    after: str,
    part: str,
    exploded: bool,
    leading_torque: str,
) -> MachinePage:
    """Return the sheet of a machine.

    Args:
        published: what was published, by whom and when.
        module: its content.
        size: the size looked at; "" for the first one.
        after: the step just done, "" for none.
        part: the item chosen, "" for none.
        exploded: with the exploded view.
        leading_torque: the torque unit that stands first.

    Raises:
        NoShapes, NoSuchSize, UnknownStep, NotFound: there is nothing to show.
    """
    chosen = size or (module.sizes[0] if module.sizes else "")
    order = list(module.steps)
    done = done_after(module, after)
    numbers = module.item_numbers()
    listed = sorted(numbers, key=numbers.__getitem__)
    has_exploded = bool(scene(module, chosen or None).shapes.columns)
    return MachinePage(
        block=TitleBlock(
            title=f"{module.title}: the machine",
            subtitle=chosen,
            kind="Machine",
            document=module.document,
            revision=published.revision,
            day=published.published_at.date(),
            issued_by=published.published_by,
        ),
        module_id=module.id,
        title=module.title,
        revision=published.revision,
        size=chosen,
        sizes=module.sizes,
        section=(section(module, chosen, "phone"), section(module, chosen, "desk")),
        items=tuple((thing, numbers[thing], module.name(thing)) for thing in listed),
        told=part_told(module, part, chosen, leading_torque) if part else None,
        close=close_up_of(module, chosen, part) if part else Markup(),
        moment=moment(module, done),
        after=after,
        before=None if not done else order[done - 2] if done > 1 else "",
        next=order[done] if done < len(order) else None,
        last=order[-1],
        state=(state(module, chosen, done, "phone"), state(module, chosen, done, "desk")),
        steps=tuple(
            StepLink(n + 1, module.steps[name].do, order[n - 1] if n else "") for n, name in enumerate(order)
        ),
        exploded=tuple(exploded_view(module, chosen, width) for width in WIDTHS)
        if exploded and has_exploded
        else (),
        has_exploded=has_exploded,
    )


def done_after(module: Module, after: str) -> int:
    """Return how many steps are done after a step, all before it in the file being done too.

    Raises:
        UnknownStep: the procedure has no such step.
    """
    if after and after not in module.steps:
        raise UnknownStep(after, module)
    return list(module.steps).index(after) + 1 if after else 0


def moment(module: Module, done: int) -> MomentShown:
    """Return the moment after so many steps.

    Raises:
        NotFound: the procedure has fewer steps.
    """
    steps = list(module.steps.values())
    if not 0 <= done <= len(steps):
        raise NotFound("step", str(done))
    blank = MomentShown(done, len(steps), "", "", "", ())
    if done == len(steps):
        return blank
    coming, numbers = steps[done], module.item_numbers()
    return replace(
        blank,
        do=coming.do,
        items=runs(numbers[thing] for thing in (*coming.targets, *coming.along) if thing in numbers),
        note=coming.note,
        cautions=tuple(module.cautions[name] for name in coming.cautions if name in module.cautions),
    )


def section(module: Module, size: str, width: str) -> Markup:
    """Return the section whose balloons can be chosen."""
    return _drawn(SameRevision(module), "section", size, WIDTHS[width], f"m-{width}", (("controls", True),))


def state(module: Module, size: str, done: int, width: str) -> Markup:
    """Return the machine after so many steps, with what the next one moves."""
    order = list(module.steps)
    options = (("done", tuple(order[:done])), ("step", order[done] if done < len(order) else ""))
    return _drawn(SameRevision(module), "state", size, _STATE[width], f"now-{width}", options)


def exploded_view(module: Module, size: str, width: str) -> Markup:
    """Return the machine taken apart into its sub-assemblies, with balloons that can be chosen.

    Raises:
        NoColumns: the procedure does not say how the machine comes apart.
    """
    options = (("controls", True),)
    return _drawn(SameRevision(module), "exploded", size, _EXPLODED[width], f"ex-{width}", options)


def close_up_of(module: Module, size: str, thing: str) -> Markup:
    """Return an item close up among its neighbours; nothing for what is large or has no shape.

    A set of bolts is drawn on its circle, with the order in which it is tightened.

    Raises:
        NoShapes, NoSuchSize: there is nothing to draw.
    """
    machine = scene(module, size or None)
    fastener = module.fasteners.get(thing)
    if fastener is not None and tightening.has_order(fastener, machine.shapes.size):
        options = (("part", thing), ("pattern", True))
        return _drawn(SameRevision(module), "bolts", size, _CLOSE_UP, "close", options)
    if thing not in machine.pieces:
        return Markup()
    _, reach = close_up(machine, (thing,))
    x0, z0, x1, z1 = machine.box
    if reach > _SMALL * max(x1 - x0, z1 - z0):
        return Markup()
    return _drawn(SameRevision(module), "detail", size, _CLOSE_UP, "close", (("parts", (thing,)),))


def must_be_drawn(module: Module, size: str) -> None:
    """Refuse a procedure or size of which there is no picture.

    Raises:
        NoShapes, NoSuchSize: there is nothing to draw.
    """
    if not module.geometry:
        raise NoShapes(module)
    if size and size not in module.sizes:
        raise NoSuchSize(size, module)


@lru_cache(maxsize=512)
def _drawn(
    keyed: SameRevision,
    view: str,
    size: str,
    width: int,
    prefix: str,
    options: tuple[tuple[str, object], ...],
) -> Markup:
    svg = VIEWS[view].draw(keyed.module, size or None, width, prefix=prefix, **dict(options))
    return Markup(svg)  # noqa: S704  # drawn by our own room from escaped names
