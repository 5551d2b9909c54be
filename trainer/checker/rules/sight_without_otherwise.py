"""An abnormal sight does not say what happens to whoever goes on.

A person who picked the wrong answer is told what would have happened; without `otherwise` there is nothing to tell.

Wrong:
    sights:
      alarm: {during: look, sight: The alarm sounds, do: stop, how: Get clear, condition: gas alarm}

Right:
    sights:
      alarm:
        during: look
        sight: The alarm sounds
        do: stop
        how: Get clear
        otherwise: The gas meets a spark
        condition: gas alarm
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Reaction

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "sight-without-otherwise"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such sight."""
    for sight in checked.module.sights.values():
        asks = checked.says("sights", sight.id, "do") and sight.do is not Reaction.GO_ON
        if asks and not checked.says("sights", sight.id, "otherwise"):
            what = f"`{sight.id}` does not say what happens to whoever goes on."
            yield Finding(CODE, SIGNAL, checked.module.place("sights", sight.id), what, "Add `otherwise:`.")
