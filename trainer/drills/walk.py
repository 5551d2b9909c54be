"""Walking through a procedure: what can be done at a moment, and what happens when something is done too early."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from trainer.procedure.model import Hazard
from trainer.procedure.simulate import Bench

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from trainer.procedure.draw import Draw
    from trainer.procedure.window import Procedure


@dataclass(frozen=True)
class Haste:
    """A step done too early: what happens, how bad it is, and an open step that comes directly before it."""

    happens: str
    signal: Hazard
    first: str


def has_order(procedure: Procedure) -> bool:
    """Tell whether the procedure has an order, and one that leaves something to be got wrong."""
    order = procedure.precedence.order
    return order is not None and not procedure.precedence.troubles and any(order.before)


def lacking(procedure: Procedure, done: Iterable[str], step: str) -> list[str]:
    """Return the steps that have to come before a step and are not done."""
    before = procedure.order.before[procedure.precedence.index[step]] & ~_mask(procedure, done)
    return [name for number, name in enumerate(procedure.precedence.steps) if before >> number & 1]


def lacking_directly(procedure: Procedure, done: Iterable[str], step: str) -> list[str]:
    """Return those of them that come before it for a reason of their own, not only through others."""
    open_steps = set(lacking(procedure, done, step))
    return [before for before in _directly_before(procedure).get(step, ()) if before in open_steps]


@lru_cache(maxsize=64)
def _directly_before(procedure: Procedure) -> dict[str, list[str]]:
    """Return for each step those that come before it for a reason of their own."""
    found: dict[str, list[str]] = {}
    for before, after in procedure.precedence.relations:
        found.setdefault(after, []).append(before)
    return found


def possible(procedure: Procedure, done: Iterable[str]) -> list[str]:
    """Return the steps that can be done now."""
    mask = _mask(procedure, done)
    return [
        step
        for number, step in enumerate(procedure.precedence.steps)
        if not mask >> number & 1 and not procedure.order.before[number] & ~mask
    ]


def too_early(procedure: Procedure, done: Iterable[str]) -> list[str]:
    """Return the steps that cannot be done yet, the nearest first."""
    mask = _mask(procedure, done)
    far = {
        step: (procedure.order.before[number] & ~mask).bit_count()
        for number, step in enumerate(procedure.precedence.steps)
        if not mask >> number & 1 and procedure.order.before[number] & ~mask
    }
    return sorted(far, key=lambda step: far[step])


def walked(procedure: Procedure, draw: Draw, steps: int) -> tuple[str, ...]:
    """Return so many steps, one after the other as they can be done, drawn at each moment."""
    done: list[str] = []
    while len(done) < steps:
        done.append(draw.choice(possible(procedure, done)))
    return tuple(done)


def haste(procedure: Procedure, done: Sequence[str], step: str) -> Haste:
    """Return what happens when a step is done now that cannot be done yet."""
    need = _bench(procedure, tuple(done)).unmet(step)
    first = lacking_directly(procedure, done, step)[0]
    if need is not None:
        return Haste(need.happens, need.signal or Hazard.NOTICE, first)
    # It could be done, but a step that is still open cannot be done after it.
    reason = procedure.precedence.relations[first, step][0]
    return Haste(reason.text, reason.signal or Hazard.NOTICE, first)


@lru_cache(maxsize=64)
def _bench(procedure: Procedure, done: tuple[str, ...]) -> Bench:
    """Return the machine after steps; several that come too early are asked about at one moment."""
    bench = Bench(procedure.plan)
    for step in done:
        bench.do(step)
    return bench


def _mask(procedure: Procedure, steps: Iterable[str]) -> int:
    return sum(1 << procedure.precedence.index[step] for step in steps)
