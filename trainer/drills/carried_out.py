"""What stands on a job card beside a step as it was carried out, and how that goes wrong."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.procedure.conditions import Aspect
from trainer.procedure.model import Hazard, Renewal, Verb
from trainer.procedure.way_round import other_way, right_way
from trainer.procedure.wording import capital, form, full_stop, in_sentence, the

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.procedure.model import Fastener, Part, Step
    from trainer.procedure.window import Procedure
    from trainer.trade.units import Quantity

_OTHER_UNIT = {"N·m": "lbf·ft", "lbf·ft": "N·m", "lbf·in": "lbf·ft"}


@dataclass(frozen=True)
class Entry:
    """What a line says was done: the right words, wrong ones, how such a slip is called and what comes of it."""

    slip: str
    good: str
    bad: str
    happens: str
    signal: Hazard


def entries(procedure: Procedure, step: Step, size: str) -> tuple[Entry, ...]:
    """Return everything that can stand beside a step and go wrong."""
    module = procedure.module
    found: list[Entry] = []
    for part in (module.parts[name] for name in step.on(Verb.INSTALL) if name in module.parts):
        found += _fitted(procedure, part)
    for name in step.on(Verb.TIGHTEN):
        if name in module.fasteners:
            found += _tightened(module.sizes, module.fasteners[name], size)
    return tuple(found)


def _fitted(procedure: Procedure, part: Part) -> Iterator[Entry]:
    way, name = part.way_round, part.name
    if way is not None and not way.either:
        happens = way.turned or f"{capital(the(name))} {form(name, 'does', 'do')} not seat"
        right, wrong = right_way(procedure.module, way), other_way(procedure.module, way)
        yield Entry(
            "Wrong way round",
            f"{name}: {right}",
            f"{name}: {wrong}",
            full_stop(happens),
            Hazard.WARNING,
        )
    if part.renew is Renewal.ALWAYS:
        happens = _spent(procedure, part)
        yield Entry(
            "Old part used again",
            f"{name}: new from the kit",
            f"{name}: the old one, wiped clean",
            happens,
            Hazard.CAUTION,
        )


def _spent(procedure: Procedure, part: Part) -> str:
    needs = (need for operation in procedure.plan.operations.values() for need in operation.needs)
    told = (need.happens for need in needs if need.variable == (Aspect.SOUND, part.id) and need.value)
    return next(told, f"The old {in_sentence(part.name)} leaks.")


def _tightened(sizes: tuple[str, ...], fastener: Fastener, size: str) -> Iterator[Entry]:
    torque = fastener.torque.at(size) if fastener.torque else None
    own = fastener.name
    if len(fastener.passes) > 2:
        words = ["round" if p.is_round else f"{p.percent} %" for p in fastener.passes]
        skipped = [*words[:1], *words[2:]]
        happens = f"{capital(the(own))} pull the joint down on one side, and it leaks under pressure."
        yield Entry(
            "A pass is skipped",
            f"{own}: {', '.join(words)}",
            f"{own}: {', '.join(skipped)}",
            happens,
            Hazard.WARNING,
        )
    if torque is not None:
        for bad, happens in _wrong_torques(sizes, fastener, size, torque):
            yield Entry(
                "Torque wrong", f"{own}: {torque.printed()}", f"{own}: {bad}", happens, Hazard.WARNING
            )


def _wrong_torques(
    sizes: tuple[str, ...], fastener: Fastener, size: str, torque: Quantity
) -> Iterator[tuple[str, str]]:
    """Yield the same number in another unit and the number of another size, each with what it comes to."""
    unit = _OTHER_UNIT.get(torque.unit)
    right = f"{torque.printed()} at {size}"
    if unit is not None:
        swapped = type(torque)(torque.value, unit)
        it_is = f"{swapped.printed()} is {swapped.to(torque.unit).printed(3)}"
        yield swapped.printed(), f"The unit is swapped: {it_is}, and it wants {right}."
    for other in sizes:
        value = fastener.torque.at(other) if fastener.torque else None
        if value is not None and value != torque:
            yield value.printed(), f"That is the torque for {other}; it wants {right}."
