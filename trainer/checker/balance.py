"""What a procedure takes apart and never puts back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.model import Verb
from trainer.procedure.states import Aspect
from trainer.procedure.structure import Structure

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Module
    from trainer.procedure.states import Variable

PAIRS: dict[Verb, tuple[Verb, Aspect]] = {
    Verb.REMOVE: (Verb.INSTALL, Aspect.IN_PLACE),
    Verb.UNDO: (Verb.TIGHTEN, Aspect.TIGHT),
    Verb.DISCONNECT: (Verb.CONNECT, Aspect.JOINED),
    Verb.UNLOCK: (Verb.LOCK, Aspect.LOCKED),
}
"""Each verb that takes apart, the verb that puts back, and the state that both are about."""


def acted_on(module: Module, *verbs: Verb) -> dict[str, str]:
    """Return thing → the first step that does one of the verbs to it; only things that the file defines."""
    things: dict[str, str] = {}
    for step in module.steps.values():
        for verb in verbs:
            for name in step.on(verb):
                if name in module.parts or name in module.fasteners or name in module.lines:
                    things.setdefault(name, step.id)
    return things


def takes_apart_only(module: Module) -> bool:
    """Tell whether a procedure takes things apart and puts nothing at all back."""
    back = [verb for verb, _ in PAIRS.values()]
    return bool(acted_on(module, *PAIRS)) and not acted_on(module, *back)


def never_back(module: Module, away: Verb) -> dict[str, str]:
    """Return thing → the step that takes it away, for everything that no step puts back.

    Empty for a procedure that takes things apart only: there the other half is another procedure.
    """
    if takes_apart_only(module):
        return {}
    back = acted_on(module, PAIRS[away][0])
    return {thing: step for thing, step in acted_on(module, away).items() if thing not in back}


def never_renewed(module: Module) -> dict[str, str]:
    """Return thing → the step that puts the old one back, for what is always renewed when disturbed."""
    away, renewed = acted_on(module, Verb.REMOVE, Verb.UNDO), acted_on(module, Verb.RENEW)
    back = acted_on(module, Verb.INSTALL, Verb.TIGHTEN)
    built = Structure(module)
    return {
        thing: step
        for thing, step in back.items()
        if built.is_always_renewed(thing) and thing in away and thing not in renewed
    }


def out_of_balance(module: Module) -> Iterator[Variable]:
    """Yield the states that stay changed, or worn, for good."""
    for away, (_, aspect) in PAIRS.items():
        yield from ((aspect, thing) for thing in never_back(module, away))
    yield from ((Aspect.SOUND, thing) for thing in never_renewed(module))
