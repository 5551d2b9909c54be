"""A locking device is released and never set again.

Without its tab washer or wire a nut works loose in service.

Wrong:
    fasteners:
      stem_nut: {clamp: body, hand_tight: true, locking: tab washer}
    steps:
      - {id: free, do: Bend the tab back, unlock: stem_nut}
      - {id: slack, do: Undo the stem nut, undo: stem_nut}
      - {id: tight, do: Tighten the stem nut, tighten: stem_nut}

Right:
    fasteners:
      stem_nut: {clamp: body, hand_tight: true, locking: tab washer}
    steps:
      - {id: free, do: Bend the tab back, unlock: stem_nut}
      - {id: slack, do: Undo the stem nut, undo: stem_nut}
      - {id: tight, do: Tighten the stem nut, tighten: stem_nut}
      - {id: bend, do: Bend the tab up against the nut, lock: stem_nut}
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

CODE = "unlocked-never-locked"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each of them, at the step that releases it."""
    meant = misspelt(checked, Verb.LOCK)
    for thing, step in never_back(checked.module, Verb.UNLOCK).items():
        if thing not in meant:
            what = f"`{step}` releases the lock of `{thing}`, and no step sets it again."
            place = checked.place_in_step(step, thing)
            yield Finding(CODE, SIGNAL, place, what, f"Add a step with `lock: {thing}`.")
