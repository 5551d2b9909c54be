"""Which steps set an energy free."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Energy, Module, Step


@dataclass(frozen=True)
class Freeing:
    """A step, an energy that it sets free, and by what: a thing that it takes off, or a fact that it makes."""

    step: Step
    energy: Energy
    by: str


def freeings(module: Module) -> Iterator[Freeing]:
    """Yield every step that sets an energy free, once an energy.

    Venting and backing off free an energy on purpose. Undoing, disconnecting and removing free what is left. Where
    fasteners clamp a part, undoing them is the moment; the part that then comes off frees nothing more.
    """
    for step in module.steps.values():
        for energy in module.energies.values():
            by = _by(step, energy, module)
            if by:
                yield Freeing(step, energy, by)


def _by(step: Step, energy: Energy, module: Module) -> str:
    ways = [
        *(fact for fact in step.makes if fact in energy.safe_when),
        *(name for name in step.on(Verb.UNDO) if energy.id in _held_by(name, module)),
        *(
            name
            for name in step.on(Verb.DISCONNECT)
            if name in module.lines and energy.id in module.lines[name].contains
        ),
        *(name for name in step.on(Verb.REMOVE) if _loose(name, energy, module)),
    ]
    return ways[0] if ways else ""


def _held_by(name: str, module: Module) -> set[str]:
    """Return the energies that a fastener holds in, by itself or with the parts that it clamps."""
    fastener = module.fasteners.get(name)
    if fastener is None:
        return set()
    clamped = (module.parts[part] for part in fastener.clamps if part in module.parts)
    return {*fastener.contains, *(energy for part in clamped for energy in part.contains)}


def _loose(name: str, energy: Energy, module: Module) -> bool:
    """Tell whether a part holds an energy in with no fastener over it."""
    part = module.parts.get(name)
    clamped = any(name in fastener.clamps for fastener in module.fasteners.values())
    return part is not None and energy.id in part.contains and not clamped
