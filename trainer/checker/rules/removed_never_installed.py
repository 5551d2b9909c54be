"""A part is taken out and never put in again.

What stays on the bench is missing in the valve. A new part goes in by the same key: `renew` it and `install` it.

Wrong:
    parts: {cover: {}, plug: {}}
    steps:
      - {id: open, do: Lift plug and cover, remove: [cover, plug]}
      - {id: close, do: Lower the cover, install: cover}

Right:
    parts: {cover: {}, plug: {}}
    steps:
      - {id: open, do: Lift plug and cover, remove: [cover, plug]}
      - {id: close, do: Lower cover and plug, install: [cover, plug]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import never_back
from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "removed-never-installed"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each of them, at the step that takes it."""
    meant = misspelt(checked, Verb.INSTALL)
    for thing, step in never_back(checked.module, Verb.REMOVE).items():
        if thing not in meant:
            what = f"`{step}` takes `{thing}` out, and no step puts it in again."
            place = checked.place_in_step(step, thing)
            yield Finding(CODE, SIGNAL, place, what, f"Add a step with `install: {thing}`.")
