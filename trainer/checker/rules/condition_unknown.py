"""A sight names an abnormal condition that the covered task does not list.

The condition is copied word for word from the shared table of covered tasks, so that what was practised can be set
against what the programme asks for.

Wrong:
    sights:
      smoke:
        {during: look, sight: Smoke, do: stop, how: Get clear, otherwise: You burn, condition: Smoke is seen}

Right:
    sights:
      alarm:
        {during: look, sight: The alarm sounds, do: stop, how: Get clear, otherwise: You burn, condition: gas alarm}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "condition-unknown"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each condition that is not in the table; none when the task itself is unknown."""
    task = checked.shared.tasks.get(checked.module.covered_task)
    if task is None:
        return
    for sight in checked.module.sights.values():
        if sight.condition and sight.condition not in task.abnormal_conditions:
            offer = nearest(sight.condition, task.abnormal_conditions)
            what = f"Task {task.id} lists no abnormal condition `{sight.condition}`.{offer}"
            mend = "Copy the condition from the table of covered tasks, or leave `condition` out."
            place = checked.module.place("sights", sight.id, "condition")
            yield Finding(CODE, SIGNAL, place, what, mend)
