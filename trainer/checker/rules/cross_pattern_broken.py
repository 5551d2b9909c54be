"""A tightening order is called a cross pattern and is none.

After each bolt comes the one opposite, and the second pair of each four stands square to the first. If the site
prescribes this very order, take `pattern: cross` off it.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, count: 4, torque: 95 N·m, pattern: cross, order: [1, 2, 3, 4]}

Right:
    fasteners:
      cover_nuts: {clamp: body, count: 4, torque: 95 N·m, pattern: cross, order: [1, 3, 2, 4]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.tightening import prescribed_orders
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Pattern
from trainer.trade.bolt_pattern import NoCrossPattern, first_fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.checker.tightening import PrescribedOrder
    from trainer.trade.bolt_pattern import Fault

CODE = "cross-pattern-broken"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener, at the first size where its order breaks the pattern."""
    for fastener in checked.module.fasteners.values():
        if fastener.pattern is not Pattern.CROSS:
            continue
        orders = prescribed_orders(fastener, checked.module)
        faults = [(order, fault) for order in orders if (fault := _fault(order))]
        if faults:
            order, fault = faults[0]
            what = f"The order of `{fastener.id}`{order.at} is no cross pattern at bolt {fault.position}: {fault.sentence}"
            mend = "Correct the order, or take `pattern: cross` off."
            yield Finding(CODE, SIGNAL, order.place, what, mend)


def _fault(order: PrescribedOrder) -> Fault | None:
    if sorted(order.bolts) != list(range(1, order.count + 1)):
        return None
    try:
        return first_fault(order.bolts, order.count)
    except NoCrossPattern:
        return None
