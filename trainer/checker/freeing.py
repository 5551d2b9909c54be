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

    Venting and backing off free an energy on purpose; looking at the gauge afterwards does not. Undoing,
    disconnecting and removing free what is left. Where fasteners clamp a part, undoing them is the moment; the part
    that then comes off frees nothing more.
    """
    for step in module.steps.values():
        for energy in module.energies.values():
            by = next(_ways(step, energy, module), "")
            if by:
                yield Freeing(step, energy, by)


def _ways(step: Step, energy: Energy, module: Module) -> Iterator[str]:
    """Yield the facts and things by which a step sets an energy free."""
    for fact in energy.safe_when:
        if fact in step.makes and not (fact in step.proves and _is_freed_before(energy, module)):
            yield fact
    for fastener in step.on(Verb.UNDO):
        if energy.id in _held_by(fastener, module):
            yield fastener
    for line in step.on(Verb.DISCONNECT):
        if line in module.lines and energy.id in module.lines[line].contains:
            yield line
    for part in step.on(Verb.REMOVE):
        if (
            part in module.parts
            and energy.id in module.parts[part].contains
            and not _is_clamped(part, module)
        ):
            yield part


def _is_freed_before(energy: Energy, module: Module) -> bool:
    """Tell whether a step frees the energy on purpose, so that a proof of it only looks."""
    return any(
        fact in step.makes and fact not in step.proves
        for step in module.steps.values()
        for fact in energy.safe_when
    )


def _held_by(name: str, module: Module) -> set[str]:
    """Return the energies that a fastener holds in, by itself or with the parts that it clamps."""
    fastener = module.fasteners.get(name)
    if fastener is None:
        return set()
    clamped = (module.parts[part] for part in fastener.clamps if part in module.parts)
    return {*fastener.contains, *(energy for part in clamped for energy in part.contains)}


def _is_clamped(part: str, module: Module) -> bool:
    return any(part in fastener.clamps for fastener in module.fasteners.values())
