"""The ceiling of a castle nut lies below its torque.

The nut is tightened to the torque first; the search for a slot goes on from there, up to `torque_max`.

Wrong:
    fasteners:
      stem_nut:
        clamp: body
        torque: 40 N·m
        castle: {slots: 6, rule: tighten_to_next_slot, torque_max: 35 N·m}

Right:
    fasteners:
      stem_nut:
        clamp: body
        torque: 40 N·m
        castle: {slots: 6, rule: tighten_to_next_slot, torque_max: 55 N·m}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.model import BySize
    from trainer.trade.units import Quantity

CODE = "ceiling-below-target"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener, at the first size where the ceiling is too low."""
    module = checked.module
    for fastener in module.fasteners.values():
        ceiling = fastener.castle.torque_max if fastener.castle else None
        for size in module.sizes:
            most = ceiling.at(size) if ceiling else None
            target = fastener.torque.at(size) if fastener.torque else None
            if most is not None and target is not None and most < target:
                where = f" at {size}" if size in (*_each(ceiling), *_each(fastener.torque)) else ""
                what = f"The ceiling of `{fastener.id}`{where} is {most}, below its torque of {target}."
                mend = "Raise `torque_max` to at least the torque, or lower the torque."
                place = module.place("fasteners", fastener.id, "castle", "torque_max", size)
                yield Finding(CODE, SIGNAL, place, what, mend)
                break


def _each(value: BySize[Quantity] | None) -> tuple[str, ...]:
    return tuple(value.each) if value else ()
