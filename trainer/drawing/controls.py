"""Parts as controls: one group a part, named and in the order of the parts list, for keyboard and screen reader.

The order in which pieces are painted is no order to walk through; a script gives one tab stop to the picture and moves
it along these.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.labels import paint_balloon
from trainer.drawing.svg import tag

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.drawing.labels import Balloon
    from trainer.drawing.scene import Scene
    from trainer.drawing.sheet import Sheet

# Radius of what a finger can hit, in px: 24 px across is the least that WCAG 2.2 wants (2.5.8, from memory).
TARGET = 12.0


def control(
    count: int,
    thing: str,
    label: str,
    content: str,
    tokens: Mapping[str, str] | None,
    *,
    named_inside: bool = False,
) -> str:
    """Return one control; the first of them is the tab stop, a script makes the others reachable by arrow keys.

    Args:
        count: its place in the walk, from 1.
        thing: what it stands for.
        label: its name; neutral when there are `tokens`.
        content: what is drawn.
        tokens: other names for the things.
        named_inside: its content is its name already.
    """
    said = None if named_inside else label
    return tag(
        "g",
        content,
        data_control=(tokens or {}).get(thing, thing),
        role="button",
        tabindex="0" if count == 1 else None,
        aria_label=f"Part {count}" if tokens is not None else said,
    )


def with_balloons(
    machine: Scene,
    balloons: Sequence[Balloon],
    tokens: Mapping[str, str] | None,
    *,
    names: bool,
) -> str:
    """Return the balloons as controls in item order, then the named spots."""
    numbered = sorted((b for b in balloons if b.label.number), key=lambda b: int(b.label.number))
    parts = []
    for count, balloon in enumerate(numbered, start=1):
        # A balloon that is large enough is its own target.
        small = balloon.r < TARGET
        target = tag("circle", class_="target", cx=balloon.x, cy=balloon.y, r=TARGET) if small else ""
        name = f"{balloon.label.number} {machine.module.name(balloon.label.thing)}"
        content = paint_balloon(balloon, names=names) + target
        parts.append(control(count, balloon.label.thing, name, content, tokens, named_inside=names))
    parts += [paint_balloon(balloon, names=names) for balloon in balloons if not balloon.label.number]
    return "".join(parts)


def control_points(machine: Scene, sheet: Sheet, tokens: Mapping[str, str] | None) -> str:
    """Return a control on each part without a balloon, in item order."""
    numbers = machine.module.item_numbers()
    parts = []
    for count, thing in enumerate(
        sorted(set(machine.pieces) & set(numbers), key=numbers.__getitem__), start=1
    ):
        x, y = sheet.at(*machine.anchor(thing))
        target = tag("circle", class_="target", cx=x, cy=y, r=TARGET)
        name = f"{numbers[thing]} {machine.module.name(thing)}"
        parts.append(control(count, thing, name, target, tokens))
    return "".join(parts)
