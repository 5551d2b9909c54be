"""A step undoes its own work.

One step takes a part out and puts it back, or makes a fact and ends it: after the step everything is as before, and
no other step can come in between. Two actions are two steps.

Wrong:
    parts:
      plug: {}
    steps:
      - {id: plug, do: Take the plug out and put it back, remove: plug, install: plug}

Right:
    parts:
      plug: {}
    steps:
      - {id: plug_out, do: Take the plug out, remove: plug}
      - {id: plug_in, do: Put the plug back, install: plug}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.state_words import entry
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "undoes-itself"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each state that a step changes forth and back."""
    for step, variable in checked.procedure.plan.self_undoing:
        what = f"`{step}` says both {entry(variable, True)} and {entry(variable, False)}."
        yield Finding(CODE, SIGNAL, checked.place_in_step(step, variable[1]), what, "Make two steps of it.")
