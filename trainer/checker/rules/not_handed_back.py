"""A lock, tag or blind that is set and never taken off.

A fact with `hand_back: true` is made by one step and ended by another, so that nobody goes home with the key.

Wrong:
    facts:
      run_locked: {text: The run is locked, hand_back: true}
    steps:
      - {id: lock, do: Lock both run valves, makes: run_locked}

Right:
    facts:
      run_locked: {text: The run is locked, hand_back: true}
    steps:
      - {id: lock, do: Lock both run valves, makes: run_locked}
      - {id: free, do: Take the locks off, ends: run_locked}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "not-handed-back"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such fact that is made and not ended."""
    module = checked.module
    ended = {name for step in module.steps.values() for name in step.ends}
    ended |= misspelt(checked, "ends")
    made: dict[str, str] = {}
    for step in module.steps.values():
        for name in step.makes:
            made.setdefault(name, step.id)
    for name, step_id in made.items():
        if name in module.facts and module.facts[name].hand_back and name not in ended:
            what = f"`{step_id}` makes `{name}`, which must be handed back, and no step ends it."
            mend = f"Add a step with `ends: {name}`."
            yield Finding(CODE, SIGNAL, checked.place_in_step(step_id, name), what, mend)
