"""A part shown as found, sound or damaged: whether it goes back, and what the eye has seen on it.

What is never used twice is shown too: its damage goes into the findings, and a sound one is renewed all the same.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drills import choices
from trainer.drills.choices import Verdict
from trainer.drills.lines import numbers_of
from trainer.drills.sketch import sketch
from trainer.procedure.damage import as_found, shown_with
from trainer.procedure.model import Hazard, Renewal, Verb
from trainer.procedure.wording import capital, full_stop

if TYPE_CHECKING:
    from trainer.drills.choices import Choice
    from trainer.drills.kind import Setting
    from trainer.procedure.damage import Damage
    from trainer.procedure.draw import Draw
    from trainer.procedure.model import Fastener, Module, Part

SMALL_PRINT = "Pictures train the first look alone: they never take the place of the inspection that your procedure asks for."
# In so many cases of ten it is sound; the others are shared out evenly among its damages.
_SOUND = 4
_SEEDS = 1_000_000_000


def shown(module: Module) -> list[Part | Fastener]:
    """Return what can be shown: it has a form, is not simply kept, and the job lays a hand or an eye on it."""
    handled = {name for step in module.steps.values() for verb in _HANDLED for name in step.on(verb)}
    things: list[Part | Fastener] = [*module.parts.values(), *module.fasteners.values()]
    return [t for t in things if t.seen_as is not None and t.renew is not Renewal.KEEP and t.id in handled]


_HANDLED = (Verb.REMOVE, Verb.UNDO, Verb.INSPECT)


def choice(setting: Setting, thing: Part | Fastener, letter: str, draw: Draw) -> Choice:
    """Return the row of a part that is shown."""
    assert thing.seen_as is not None  # noqa: S101  # only such are shown
    damages = shown_with(thing.seen_as, thing.damages)
    right = None if draw.below(10) < _SOUND else draw.choice(damages)
    seed = str(draw.below(_SEEDS))
    name = right.id if right else ""
    found = as_found(thing.seen_as, name, seed)
    always = thing.renew is Renewal.ALWAYS
    offered = [
        (_words(one, always=always), _verdict(thing, one, right, always=always)) for one in (None, *damages)
    ]
    if always:
        offered.append((_BACK, _goes_back(thing)))
    return choices.choice(
        letter,
        f"{thing.name}, as it lies on the bench",
        offered,
        numbers_of(setting.module, [thing.id]),
        picture=sketch("defect", part=thing.id, damage=name, seed=seed),
        seen=found.words,
    )


_BACK = "Use again: sound"


def _words(damage: Damage | None, *, always: bool) -> str:
    """Return the option that says that this is seen."""
    if always:
        return f"Renew in any case: {damage.name if damage else 'sound'}"
    if damage is None:
        return _BACK
    return f"Use again, cleaned: {damage.name}" if damage.goes_back else f"Renew: {damage.name}"


def _goes_back(thing: Part | Fastener) -> Verdict:
    return Verdict(
        f"{thing.name}: it is renewed each time it has been apart, sound or not; looks do not pass it.",
        signal=Hazard.CAUTION,
    )


def _verdict(thing: Part | Fastener, chosen: Damage | None, right: Damage | None, *, always: bool) -> Verdict:
    why = full_stop(right.why) if right else ""
    if chosen is right:
        praise = (
            f"{capital(right.name)}. {why}" if right else "Sound. Marks that wipe off or lie beside are none."
        )
        return Verdict(f"{thing.name}: {praise}", right=True)
    if right is None:
        assert chosen is not None  # noqa: S101  # it is not the right one, which is none
        told = f"this is not {chosen.name}; {_lacks(chosen)} It is sound, whatever marks lie on it."
    elif right.goes_back:
        again = "It goes back, but not before it is clean." if chosen is None else ""
        told = f"this is {right.name}. {why} {again or _capital_lacks(chosen)}"
    elif chosen is None:
        told = f"this is {right.name}. {why}"
    elif chosen.goes_back:
        told = f"this is {right.name}, and no brush takes that away. {why}"
    else:
        told = f"renewed, yes, but this is {right.name}, not {chosen.name}. {why} {_capital_lacks(chosen)}"
    used = right is not None and not right.goes_back and (chosen is None or chosen.goes_back) and not always
    return Verdict(f"{thing.name}: {told}", signal=Hazard.CAUTION if used else None)


def _capital_lacks(chosen: Damage | None) -> str:
    return capital(_lacks(chosen)) if chosen else ""


def _lacks(chosen: Damage) -> str:
    """Return what would be seen if the chosen damage were there."""
    side, count = chosen.sides[0], "some"
    told = chosen.seen[0].format(side=side, count=_COUNTED.get(chosen.id, count))
    return full_stop(f"with {chosen.name}, {told}")


_COUNTED = {"blister": "rounded swellings", "wire_drawn": "channels run"}
