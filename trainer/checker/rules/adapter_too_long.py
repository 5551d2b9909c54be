"""An adapter leaves the torque wrench no lever.

With an adapter folded back the lever is the wrench less the adapter; it must stay longer than nothing, or no setting of
the wrench gives the torque.

Wrong:
    fasteners:
      cover_nuts:
        clamp: body
        torque: 95 N·m
        adapter: {wrench: 400 mm, offset: 450 mm, angle: 180 °}

Right:
    fasteners:
      cover_nuts:
        clamp: body
        torque: 95 N·m
        adapter: {wrench: 400 mm, offset: 50 mm, angle: 180 °}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.wording import in_sentence
from trainer.trade.torque import effective_length

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "adapter-too-long"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener whose adapter cannot be used."""
    for fastener in checked.module.fasteners.values():
        adapter = fastener.adapter
        if adapter is None:
            continue
        angle = float(adapter.angle.to("°").value) if adapter.angle else 0.0
        try:
            effective_length(adapter.wrench, adapter.offset, angle)
        except TrainerError as problem:
            what = f"The adapter on `{fastener.id}` cannot be used: {in_sentence(str(problem))}"
            mend = "Correct the lengths and the angle: 0 ° in line, 180 ° folded back."
            place = checked.module.place("fasteners", fastener.id, "adapter")
            yield Finding(CODE, SIGNAL, place, what, mend)
