"""A step needs something that no step brings about.

A fact that nothing makes, a cover held by nuts that nothing undoes, a part put in that was never taken out: the step
could never be done.

Wrong:
    facts:
      body_vented: The body reads zero
    steps:
      - {id: lift, do: Lift the cover, needs: body_vented}

Right:
    facts:
      body_vented: The body reads zero
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}
      - {id: lift, do: Lift the cover, needs: body_vented}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.checker.state_words import entry, state
from trainer.checker.told_once import told_elsewhere
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.precedence import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.precedence import Trouble
    from trainer.procedure.states import Variable

CODE = "nobody-makes"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each state that is missing, at the first step that needs it."""
    told = told_elsewhere(checked)
    waiting: dict[tuple[Variable, bool], list[Trouble]] = {}
    for trouble in checked.troubles(Fault.NOBODY_MAKES):
        if trouble.variable is not None and trouble.variable not in told:
            waiting.setdefault((trouble.variable, trouble.value), []).append(trouble)
    for (variable, value), troubles in waiting.items():
        steps = list(dict.fromkeys(step for trouble in troubles for step in trouble.steps))
        place = checked.place_in_step(steps[0], variable[1])
        yield Finding(CODE, SIGNAL, place, *_told(checked, steps, variable, value))


def _told(checked: Checked, steps: list[str], variable: Variable, value: bool) -> tuple[str, str]:
    wanted = f"{quoted(steps)} {'needs' if len(steps) == 1 else 'need'} {state(variable, value)}"
    operations = checked.procedure.plan.operations
    if any(operations[step].changes.get(variable) is value for step in steps):
        what = f"{wanted}, and only the same step brings that about."
        return what, f"Let an earlier step do it, with {entry(variable, value)}."
    return f"{wanted}, and no step brings that about.", f"Add {entry(variable, value)} to an earlier step."
