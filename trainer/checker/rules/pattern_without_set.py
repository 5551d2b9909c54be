"""A pattern is given for fewer than four fasteners.

With one, two or three there is nothing to cross; tighten them evenly. The number of fasteners is their `count`, 1 unless
said.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m, pattern: cross}

Right:
    fasteners:
      cover_nuts: {clamp: body, count: 8, torque: 95 N·m, pattern: cross}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.trade.bolt_pattern import FEWEST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "pattern-without-set"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener with a pattern and too small a count."""
    module = checked.module
    for fastener in module.fasteners.values():
        few = [count for count in fastener.count.values() if count < FEWEST]
        if fastener.pattern and few:
            what = f"`{fastener.id}` has the pattern `{fastener.pattern}`, but counts {min(few)}."
            place = module.place("fasteners", fastener.id, "pattern")
            yield Finding(CODE, SIGNAL, place, what, "Give its `count`, or take the pattern off.")
