"""A group of skills names a skill that the procedure does not give.

What is not there cannot be assessed; the group would be smaller than its author believes.

Wrong:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, grit]}
    competency:
      reasons: {title: Reasons, skills: [say-it, tell-it]}

Right:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, grit]}
    competency:
      reasons: {title: Reasons, skills: [say-it]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer import drills
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.values import nearest

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "skill-unknown"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such name; without an order the skills are not known, and other rules tell why."""
    module = checked.module
    if not module.competency or not checked.has_order:
        return
    known = [skill.id for skill in drills.skills(module)]
    for group in module.competency.values():
        for number, name in enumerate(group.skills):
            if name not in known:
                what = f"`{group.id}` names the skill `{name}`, which this procedure does not give."
                mend = f"Remove it, or name one of its skills.{nearest(name, known)}"
                yield Finding(
                    CODE, SIGNAL, module.place("competency", group.id, "skills", number), what, mend
                )
