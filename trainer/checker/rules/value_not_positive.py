"""A quantity that must be more than nothing is zero or negative.

A torque, a mass, a bore and a spring rate are more than zero; a gauge pressure, a compression and a drag are at least
zero.

Wrong:
    parts:
      body: {mass: 0 kg}

Right:
    parts:
      body: {mass: 9 kg}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.model import BySize, Module
    from trainer.trade.units import Quantity

CODE = "value-not-positive"
SIGNAL = Signal.ERROR


_MAY_BE_ZERO = ("pressure", "compression", "drag")


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such value."""
    for path, value in _quantities(checked.module):
        for size, quantity in (("", value.common), *value.each.items()):
            key = path[-1]
            if quantity is None or quantity.value > 0 or (quantity.value == 0 and key in _MAY_BE_ZERO):
                continue
            least = "at least zero" if key in _MAY_BE_ZERO else "more than zero"
            what = f"`{key}` of `{path[1]}` is {quantity}, but must be {least}."
            yield Finding(CODE, SIGNAL, checked.module.place(*path, size), what, "Correct the number.")


def _quantities(module: Module) -> Iterator[tuple[tuple[str, ...], BySize[Quantity]]]:
    """Yield path and value of each quantity; the lengths of adapters are judged together, by a rule of their own."""
    for energy in module.energies.values():
        for key in ("pressure", "acts_on", "rate", "compression"):
            yield from _given(("energies", energy.id, key), getattr(energy, key))
    for part in module.parts.values():
        yield from _given(("parts", part.id, "mass"), part.mass)
    for fastener in module.fasteners.values():
        yield from _given(("fasteners", fastener.id, "torque"), fastener.torque)
        if fastener.castle:
            yield from _given(("fasteners", fastener.id, "castle", "torque_max"), fastener.castle.torque_max)
            yield from _given(("fasteners", fastener.id, "castle", "drag"), fastener.castle.drag)


def _given(
    path: tuple[str, ...], value: BySize[Quantity] | None
) -> Iterator[tuple[tuple[str, ...], BySize[Quantity]]]:
    if value is not None:
        yield path, value
