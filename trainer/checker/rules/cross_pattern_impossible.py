"""A cross pattern is asked for on an odd number of fasteners, or on very many.

Opposite each bolt there must be another one, and printed lists end at 24 bolts. Otherwise the site's own list goes
under `order`, or the pattern is `round`.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, count: 5, torque: 95 N·m, pattern: cross}

Right:
    fasteners:
      cover_nuts: {clamp: body, count: 5, torque: 95 N·m, pattern: round}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Pattern
from trainer.trade.bolt_pattern import FEWEST, MOST

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "cross-pattern-impossible"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener with a cross pattern that cannot be."""
    module = checked.module
    for fastener in module.fasteners.values():
        listed = checked.says("fasteners", fastener.id, "order")
        if fastener.pattern is not Pattern.CROSS or listed:
            continue
        bad = [count for count in fastener.count.values() if count >= FEWEST and (count % 2 or count > MOST)]
        if bad:
            what = f"`{fastener.id}` counts {bad[0]}; a cross pattern wants an even number from {FEWEST} to {MOST}."
            mend = "Correct the count, write `pattern: round`, or give the exact `order`."
            place = module.place("fasteners", fastener.id, "pattern")
            yield Finding(CODE, SIGNAL, place, what, mend)
