"""A fastener is undone and never tightened again.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m}
      plug: {clamp: body, hand_tight: true}
    steps:
      - {id: open, do: Undo plug and cover nuts, undo: [cover_nuts, plug]}
      - {id: close, do: Screw the plug in, tighten: plug}

Right:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m}
      plug: {clamp: body, hand_tight: true}
    steps:
      - {id: open, do: Undo plug and cover nuts, undo: [cover_nuts, plug]}
      - {id: close, do: Tighten cover nuts and plug, tighten: [cover_nuts, plug]}
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

CODE = "undone-never-tightened"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each of them, at the step that undoes it."""
    meant = misspelt(checked, Verb.TIGHTEN)
    for thing, step in never_back(checked.module, Verb.UNDO).items():
        if thing not in meant:
            what = f"`{step}` undoes `{thing}`, and no step tightens it again."
            place = checked.place_in_step(step, thing)
            yield Finding(CODE, SIGNAL, place, what, f"Add a step with `tighten: {thing}`.")
