"""A part as found: the whole of it on the bench, and a loupe over one place; sound or damaged, all from a seed."""

from __future__ import annotations

from math import atan2, cos, sin
from typing import TYPE_CHECKING

from trainer.drawing.defects import FORMS
from trainer.drawing.defects.chance import Chance
from trainer.drawing.defects.relief import Relief
from trainer.drawing.sheet import DETAIL, PHONE
from trainer.drawing.svg import Picture, number, pair, path, tag
from trainer.errors import TrainerError
from trainer.procedure.damage import SeenAs, as_found
from trainer.procedure.damage import damage as damage_of
from trainer.procedure.wording import full_stop

if TYPE_CHECKING:
    from trainer.procedure.model import Module

TITLE = "A part as found, sound or damaged, with a loupe"

# Height of the picture as a share of its width, and the radius of the part in units.
_HIGH, _UNITS = 0.56, 200.0


class NoSuchForm(TrainerError):
    """A part is to be shown as found whose form cannot be drawn so."""

    def __init__(self, said: str) -> None:
        super().__init__(f"'{said}' cannot be shown as found; what can: {', '.join(SeenAs)}.")


class NoSuchDamage(TrainerError):
    """A damage is to be shown that this form of part does not have."""

    def __init__(self, damage: str, form: SeenAs) -> None:
        super().__init__(f"There is no damage '{damage}' of {form}.")


def draw(
    module: Module,
    size: str | None,  # noqa: ARG001  # the same at every size
    width: float,
    *,
    form: str = "",
    part: str = "",
    damage: str = "",
    seed: str = "1",
    angle: float | None = None,
    named: bool = False,
    prefix: str = "found",
) -> str:
    """Return a part as found.

    Args:
        module: the procedure.
        size: the size on the bench.
        width: width in CSS px.
        form: the form of part, one of `SeenAs`; that of `part` unless given.
        part: a part or fastener of the module that says what it is `seen_as`.
        damage: what is wrong with it, by its id; nothing unless given.
        seed: everything else about the picture comes from it.
        angle: where the loupe is held, in degrees; where there is most to see unless given.
        named: title and description name the damage; otherwise they say what is seen, in words of their own.
        prefix: in front of every id; it must not tell what is shown.

    Raises:
        NoSuchForm: neither `form` nor `part` tells what to draw.
        NoSuchDamage: the form does not have this damage.
    """
    seen_as = _form(module, form, part)
    wrong = damage_of(seen_as, damage)
    if damage and wrong is None:
        raise NoSuchDamage(damage, seen_as)
    found = as_found(seen_as, damage, seed)
    relief = Relief(prefix, Chance(f"{seen_as}/{damage}/{seed}"), found)
    FORMS[seen_as](relief)
    called = module.name(part) if part else str(seen_as).replace("_", " ").capitalize()
    title = f"{called}, {wrong.name if wrong else 'sound'}" if named else f"{called}, as found"
    told = f"{found.words} {full_stop(wrong.why)}" if named and wrong else found.words
    weight = DETAIL if width >= 300 else PHONE
    content = _laid_out(relief, width, angle)
    return Picture(prefix, width, round(width * _HIGH), title, told, content, weight.name).text()


def _form(module: Module, form: str, part: str) -> SeenAs:
    if form:
        if form not in set(SeenAs):
            raise NoSuchForm(form)
        return SeenAs(form)
    thing = module.parts.get(part) or module.fasteners.get(part)
    if thing is None or thing.seen_as is None:
        raise NoSuchForm(part)
    return thing.seen_as


def _laid_out(relief: Relief, width: float, angle: float | None) -> str:
    """Return the bench with the part on it and the loupe beside."""
    high = round(width * _HIGH)
    radius = high * 0.46
    scale = radius / _UNITS
    left = (high * 0.5, high * 0.5)
    glass = (width - high * 0.43, high * 0.5, high * 0.4)
    defs, part = relief.parts()
    spot = relief.spot
    if angle is not None:
        spot = relief.spot_at(angle)
    name = f"{relief.prefix}-part"
    x, y = left[0] + spot[0] * scale, left[1] + spot[1] * scale
    small = relief.reach * scale
    strong = glass[2] / relief.reach
    lens = f"{relief.prefix}-lens"
    clip = tag("clipPath", tag("circle", cx=glass[0], cy=glass[1], r=glass[2]), id=lens)
    whole = tag("g", part, id=name, transform=_placed(left, scale))
    # The same drawing again under the glass: undone from its place, then laid out larger.
    away = f"translate({number(glass[0])} {number(glass[1])}) scale({strong / scale:.4f}) translate({-x:.2f} {-y:.2f})"
    near = tag(
        "g",
        tag("rect", x=0.0, y=0.0, width=width, height=high, class_="bench"),
        tag("use", href=f"#{name}", transform=away),
        clip_path=f"url(#{lens})",
    )
    toward = atan2(glass[1] - y, glass[0] - x)
    dx, dy = cos(toward), sin(toward)
    leader = (
        f"M{pair(x + small * dx, y + small * dy)}L{pair(glass[0] - glass[2] * dx, glass[1] - glass[2] * dy)}"
    )
    return "".join(
        (
            tag("defs", defs, clip),
            tag("rect", x=0.0, y=0.0, width=width, height=high, class_="bench"),
            whole,
            path(leader, "loupe-line"),
            tag("circle", cx=x, cy=y, r=small, class_="loupe"),
            near,
            tag("circle", cx=glass[0], cy=glass[1], r=glass[2], class_="loupe glass"),
        )
    )


def _placed(at: tuple[float, float], scale: float) -> str:
    return f"translate({number(at[0])} {number(at[1])}) scale({scale:.4f})"
