"""A phase that no step belongs to.

It would be an empty heading on the job card and a window with nothing to practise.

Wrong:
    phases: {teardown: Teardown, rebuild: Rebuild}
    steps:
      - {id: look, do: Look at the valve, phase: teardown}

Right:
    phases: {teardown: Teardown}
    steps:
      - {id: look, do: Look at the valve, phase: teardown}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "phase-without-steps"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each phase without steps."""
    used = {step.phase for step in checked.module.steps.values()}
    used |= misspelt(checked, "phase")
    for phase in checked.module.phases.values():
        if phase.id not in used:
            place = checked.module.place("phases", phase.id)
            mend = f"Add `phase: {phase.id}` to its steps, or remove it."
            yield Finding(CODE, SIGNAL, place, f"No step belongs to the phase `{phase.id}`.", mend)
