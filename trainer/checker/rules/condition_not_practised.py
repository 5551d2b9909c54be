"""An abnormal condition of the covered task is met by no sight of the procedure.

The law asks that a person can recognise and react to abnormal operating conditions. What is never met in practice is
met for the first time on the job.

Wrong:
    sights:
      fine: {during: look, sight: The gauge stands at zero, do: go_on, how: That is the proof}

Right:
    sights:
      fine: {during: look, sight: The gauge stands at zero, do: go_on, how: That is the proof}
      alarm:
        {during: look, sight: The alarm sounds, do: stop, how: Get clear, otherwise: You burn, condition: gas alarm}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "condition-not-practised"
SIGNAL = Signal.ADVICE


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such condition; none for a procedure that tells no sights at all."""
    module = checked.module
    task = checked.shared.tasks.get(module.covered_task)
    if task is None or not module.sights:
        return
    met = {sight.condition for sight in module.sights.values()}
    # A slip in the wording is told by a finding of its own.
    if met - set(task.abnormal_conditions) - {""}:
        return
    for condition in task.abnormal_conditions:
        if condition not in met:
            what = f"No sight practises the abnormal condition `{condition}` of task {task.id}."
            mend = "Add a sight with this `condition`."
            yield Finding(CODE, SIGNAL, module.place("sights"), what, mend)
