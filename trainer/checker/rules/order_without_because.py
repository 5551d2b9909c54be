"""An order is asked for, and nothing says why.

`after` and `before` are for orders that neither the build nor a fact explains. A trainee who breaks one is told the
sentence under `because`; without it there is nothing to tell.

Wrong:
    steps:
      - {id: note, do: Note the set point as found}
      - {id: shut, do: Close both run valves, after: note}

Right:
    steps:
      - {id: note, do: Note the set point as found}
      - {id: shut, do: Close both run valves, after: note, because: The value is lost once the run is shut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "order-without-because"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step with `after` or `before` and no `because`."""
    for step in checked.module.steps.values():
        orders = [("after", step.after), ("before", step.before)]
        given = [(key, names) for key, names in orders if names]
        if given and not checked.says("steps", step.id, "because"):
            asked = " and ".join(f"{key} {quoted(names)}" for key, names in given)
            what = f"`{step.id}` comes {asked}, but nothing says why."
            place = checked.module.place("steps", step.id, given[0][0])
            yield Finding(CODE, SIGNAL, place, what, "Add `because:` with the reason as a sentence.")
