"""A step names itself under `after` or `before`.

No step comes before itself; another one was meant.

Wrong:
    steps:
      - {id: note, do: Note the set point as found}
      - {id: shut, do: Close both run valves, after: shut, because: The value is lost once the run is shut}

Right:
    steps:
      - {id: note, do: Note the set point as found}
      - {id: shut, do: Close both run valves, after: note, because: The value is lost once the run is shut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "after-itself"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step that names itself."""
    for step in checked.module.steps.values():
        for key, names in (("after", step.after), ("before", step.before)):
            if step.id in names:
                what = f"`{step.id}` is to come {key} itself."
                yield Finding(
                    CODE, SIGNAL, checked.place_in_step(step.id, step.id), what, "Name the other step."
                )
