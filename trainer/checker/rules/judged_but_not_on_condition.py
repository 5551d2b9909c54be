"""A part or fastener says by what it is judged, but is not renewed on condition.

What is renewed each time is not judged, and what is kept has no kit line to renew it from. A limit that nobody acts on
is read as one that somebody does.

Wrong:
    parts:
      spring: {judged: {measure: free length, at_least: 96 mm}}

Right:
    parts:
      spring:
        renew: on_condition
        kit: Spring
        judged: {measure: free length, at_least: 96 mm}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Renewal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "judged-but-not-on-condition"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such part or fastener."""
    module = checked.module
    for table, things in (("parts", module.parts), ("fasteners", module.fasteners)):
        for name, thing in things.items():
            if thing.judged is not None and thing.renew is not Renewal.ON_CONDITION:
                what = f"`{name}` is judged, but not renewed on condition."
                mend = "Write `renew: on_condition` with a kit line, or take `judged` out."
                yield Finding(CODE, SIGNAL, module.place(table, name, "judged"), what, mend)
