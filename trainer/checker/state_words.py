"""States in words: what a step waits for, and what brings it about."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.states import Aspect

if TYPE_CHECKING:
    from trainer.procedure.states import Variable

_STATE: dict[tuple[Aspect, bool], str] = {
    (Aspect.FACT, True): "the fact `{}`",
    (Aspect.FACT, False): "the fact `{}` to have ended",
    (Aspect.IN_PLACE, True): "`{}` in place",
    (Aspect.IN_PLACE, False): "`{}` out",
    (Aspect.TIGHT, True): "`{}` tight",
    (Aspect.TIGHT, False): "`{}` undone",
    (Aspect.LOCKED, True): "`{}` locked",
    (Aspect.LOCKED, False): "`{}` unlocked",
    (Aspect.JOINED, True): "`{}` connected",
    (Aspect.JOINED, False): "`{}` disconnected",
    (Aspect.SOUND, True): "a new `{}`",
    (Aspect.SOUND, False): "the old `{}` out",
    (Aspect.CLEAN, True): "`{}` clean",
    (Aspect.CLEAN, False): "`{}` not cleaned yet",
    (Aspect.DONE, True): "`{}` done",
    (Aspect.DONE, False): "`{}` not done yet",
}
_BRINGS: dict[tuple[Aspect, bool], str] = {
    (Aspect.FACT, True): "makes: {}",
    (Aspect.FACT, False): "ends: {}",
    (Aspect.IN_PLACE, True): "install: {}",
    (Aspect.IN_PLACE, False): "remove: {}",
    (Aspect.TIGHT, True): "tighten: {}",
    (Aspect.TIGHT, False): "undo: {}",
    (Aspect.LOCKED, True): "lock: {}",
    (Aspect.LOCKED, False): "unlock: {}",
    (Aspect.JOINED, True): "connect: {}",
    (Aspect.JOINED, False): "disconnect: {}",
    (Aspect.SOUND, True): "renew: {}",
    (Aspect.SOUND, False): "remove: {}",
    (Aspect.CLEAN, True): "clean: {}",
    (Aspect.CLEAN, False): "clean: {}",
    (Aspect.DONE, True): "id: {}",
    (Aspect.DONE, False): "id: {}",
}


def state(variable: Variable, value: bool) -> str:
    """Return a state as what a step waits for: `cover_nuts` undone."""
    aspect, name = variable
    return _STATE[aspect, value].format(name)


def entry(variable: Variable, value: bool) -> str:
    """Return the entry of a step that brings a state about: `undo: cover_nuts`."""
    aspect, name = variable
    return f"`{_BRINGS[aspect, value].format(name)}`"
