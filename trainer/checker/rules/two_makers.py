"""Two steps bring about the same thing.

Then nobody can say which of them a later step has to wait for. If it is really done twice, each time is a fact of its
own; a thing is taken off, put on, cleaned or renewed by one step.

Wrong:
    facts:
      body_vented: The body reads zero
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}
      - {id: vent_again, do: Vent the body again, makes: body_vented}
      - {id: lift, do: Lift the cover, needs: body_vented}

Right:
    facts:
      body_vented: The body reads zero
      vented_twice: The body still reads zero
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}
      - {id: vent_again, do: Vent the body again, needs: body_vented, makes: vented_twice}
      - {id: lift, do: Lift the cover, needs: vented_twice}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.checker.state_words import entry
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.precedence import Fault
from trainer.procedure.states import Aspect

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "two-makers"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each state that several steps bring about, at the second of them."""
    undone_again = {variable for _, variable in checked.procedure.plan.self_undoing}
    for trouble in checked.troubles(Fault.TWO_MAKERS):
        if trouble.variable is None or trouble.variable in undone_again:
            continue
        doing = entry(trouble.variable, trouble.value)
        what = f"{quoted(trouble.steps)} {'both' if len(trouble.steps) == 2 else 'all'} say {doing}."
        if trouble.variable[0] is Aspect.FACT:
            mend = "Let one of them do it, or give each a fact of its own."
        else:
            mend = "Let one of them do it."
        place = checked.place_in_step(trouble.steps[1], trouble.variable[1])
        yield Finding(CODE, SIGNAL, place, what, mend)
