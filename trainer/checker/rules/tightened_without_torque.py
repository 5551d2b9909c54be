"""A fastener is tightened, and nothing says how far.

Give it a `torque`, or say `hand_tight: true` where no wrench is put to it.

Wrong:
    fasteners:
      cover_nuts: {clamp: body}
    steps:
      - {id: open, do: Undo the cover nuts, undo: cover_nuts}
      - {id: close, do: Tighten the cover nuts, tighten: cover_nuts}

Right:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m}
    steps:
      - {id: open, do: Undo the cover nuts, undo: cover_nuts}
      - {id: close, do: Tighten the cover nuts, tighten: cover_nuts}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import acted_on
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "tightened-without-torque"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener that is tightened without a torque."""
    module = checked.module
    for name, step in acted_on(module, Verb.TIGHTEN).items():
        fastener = module.fasteners.get(name)
        if fastener and not fastener.hand_tight and not checked.says("fasteners", name, "torque"):
            what = f"`{step}` tightens `{name}`, which has no torque."
            mend = "Add `torque:`, or `hand_tight: true` when it is done up by hand."
            yield Finding(CODE, SIGNAL, module.place("fasteners", name), what, mend)
