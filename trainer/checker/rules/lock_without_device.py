"""A step locks or unlocks a fastener that has no locking device.

`locking` names what is bent, wired or pinned and stays with the fastener. A pin or a plate that comes out is a part of
its own, with `locks`.

Wrong:
    fasteners:
      stem_nut: {clamp: body, hand_tight: true}
    steps:
      - {id: wire, do: Wire the stem nut, lock: stem_nut}

Right:
    fasteners:
      stem_nut: {clamp: body, hand_tight: true, locking: lock wire}
    steps:
      - {id: cut, do: Cut the old wire, unlock: stem_nut}
      - {id: wire, do: Wire the stem nut, lock: stem_nut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import acted_on
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "lock-without-device"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each fastener that is locked without a device, at the first step that does it."""
    module = checked.module
    for name, step in acted_on(module, Verb.UNLOCK, Verb.LOCK).items():
        if name in module.fasteners and not checked.says("fasteners", name, "locking"):
            what = f"`{step}` works on the lock of `{name}`, which has no locking device."
            mend = f"Add `locking:` to `{name}`, or take it out of the step."
            yield Finding(CODE, SIGNAL, checked.place_in_step(step, name), what, mend)
