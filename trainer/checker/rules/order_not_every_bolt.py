"""The tightening order does not name each bolt exactly once.

A bolt left out is a loose bolt. Where the count differs by size the order is given by size as well.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, count: 4, torque: 95 N·m, order: [1, 3, 2]}

Right:
    fasteners:
      cover_nuts: {clamp: body, count: 4, torque: 95 N·m, order: [1, 3, 2, 4]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.tightening import prescribed_orders
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.wording import listed

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.checker.tightening import PrescribedOrder

CODE = "order-not-every-bolt"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener, at the first size where its order does not fit its count."""
    for fastener in checked.module.fasteners.values():
        faults = [
            (o, trouble) for o in prescribed_orders(fastener, checked.module) if (trouble := _trouble(o))
        ]
        if faults:
            order, trouble = faults[0]
            what = f"The tightening order of `{fastener.id}`{order.at} {trouble}."
            mend = f"Name each bolt from 1 to {order.count} once."
            yield Finding(CODE, SIGNAL, order.place, what, mend)


def _trouble(order: PrescribedOrder) -> str:
    bolts, everyone = order.bolts, range(1, order.count + 1)
    twice = [bolt for index, bolt in enumerate(bolts) if bolt in bolts[:index]]
    if twice:
        return f"names bolt {twice[0]} twice"
    strange = [bolt for bolt in bolts if bolt not in everyone]
    if strange:
        return f"names bolt {strange[0]}, but there are only {order.count}"
    left = [str(bolt) for bolt in everyone if bolt not in bolts]
    return f"leaves out bolt{'s' if len(left) > 1 else ''} {listed(left)} of {order.count}" if left else ""
