"""Two causes of a fault show alike in every check.

Nobody can find out which of the two it is, and the drill ends at the likelier one. Often a check is missing.

Wrong:
    faults:
      climbs:
        symptom: The outlet climbs
        causes: {dirt: Dirt on the seat, cut: The disc is cut, nick: The seat is nicked}
        checks:
          flush: {do: Flush it, minutes: 5, finds: dirt, found: It stops, not_found: It climbs}

Right:
    faults:
      climbs:
        symptom: The outlet climbs
        causes: {dirt: Dirt on the seat, cut: The disc is cut, nick: The seat is nicked}
        checks:
          flush: {do: Flush it, minutes: 5, finds: dirt, found: It stops, not_found: It climbs}
          look: {do: Look at the disc, minutes: 90, finds: cut, found: A cut, not_found: No cut}
"""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "causes-not-told-apart"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such pair."""
    module = checked.module
    for name, fault in module.faults.items():
        # A misspelt cause is told by a finding of its own.
        if any(cause not in fault.causes for look in fault.checks.values() for cause in look.finds):
            continue
        for one, other in combinations(fault.causes, 2):
            if not any((one in look.finds) != (other in look.finds) for look in fault.checks.values()):
                what = f"No check of `{name}` tells `{one}` and `{other}` apart."
                mend = "Add a check that finds one of them, or make them one cause."
                yield Finding(CODE, SIGNAL, module.place("faults", name, "causes", other), what, mend)
