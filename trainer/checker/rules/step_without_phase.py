"""A step without a phase in a procedure that has phases.

It stands under no heading of the job card and is in none of the windows to practise.

Wrong:
    phases: {teardown: Teardown}
    steps:
      - {id: look, do: Look at the valve, phase: teardown}
      - {id: note, do: Note the set point as found}

Right:
    phases: {teardown: Teardown}
    steps:
      - {id: look, do: Look at the valve, phase: teardown}
      - {id: note, do: Note the set point as found, phase: teardown}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "step-without-phase"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step without a phase."""
    phases = checked.module.phases
    for step in checked.module.steps.values():
        if phases and not checked.says("steps", step.id, "phase"):
            place = checked.module.place("steps", step.id)
            mend = f"Add `phase:` with one of: {', '.join(phases)}."
            yield Finding(CODE, SIGNAL, place, f"`{step.id}` belongs to no phase.", mend)
