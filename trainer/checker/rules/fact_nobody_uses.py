"""A fact that no step needs and that makes no energy safe.

It orders nothing, so the step that makes it may come anywhere. Either a step lacks its `needs`, or the fact can go.
A fact that is handed back or proven is used by that.

Wrong:
    facts:
      body_vented: The body reads zero
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}
      - {id: lift, do: Lift the cover}

Right:
    facts:
      body_vented: The body reads zero
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}
      - {id: lift, do: Lift the cover, needs: body_vented}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "fact-nobody-uses"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fact that nothing depends on."""
    module = checked.module
    used = {name for step in module.steps.values() for name in (*step.needs, *step.proves)}
    used |= {name for energy in module.energies.values() for name in energy.safe_when}
    used |= misspelt(checked, "needs", "prove", "safe_when")
    for fact in module.facts.values():
        if fact.id not in used and not fact.hand_back:
            what = f"No step needs `{fact.id}`, and no energy is safe by it."
            mend = "Add it to the `needs` of the step that waits for it, or remove it."
            yield Finding(CODE, SIGNAL, module.place("facts", fact.id), what, mend)
