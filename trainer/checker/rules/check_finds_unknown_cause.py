"""A check on a fault finds a cause that the fault does not have.

Wrong:
    faults:
      climbs:
        symptom: The outlet climbs
        causes: {dirt: Dirt on the seat, cut: The disc is cut}
        checks:
          flush: {do: Flush it, minutes: 5, finds: durt, found: It stops, not_found: It climbs}
          look: {do: Look at the disc, minutes: 90, finds: cut, found: A cut, not_found: No cut}

Right:
    faults:
      climbs:
        symptom: The outlet climbs
        causes: {dirt: Dirt on the seat, cut: The disc is cut}
        checks:
          flush: {do: Flush it, minutes: 5, finds: dirt, found: It stops, not_found: It climbs}
          look: {do: Look at the disc, minutes: 90, finds: cut, found: A cut, not_found: No cut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "check-finds-unknown-cause"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such cause."""
    module = checked.module
    for name, fault in module.faults.items():
        for called, look in fault.checks.items():
            for cause in look.finds:
                if cause not in fault.causes:
                    what = f"`{called}` finds `{cause}`, which is no cause of `{name}`.{nearest(cause, fault.causes)}"
                    place = module.place("faults", name, "checks", called, "finds")
                    yield Finding(CODE, SIGNAL, place, what, "Correct the name, or add the cause.")
