"""A skill stands in two groups.

Each skill is decided once, in the first group that names it; the other would wait for it in vain.

Wrong:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, grit]}
    competency:
      reasons: {title: Reasons, skills: [say-it]}
      values: {title: Values, skills: [say-it]}

Right:
    sayings:
      dry: {ask: Why does the disc go in dry?, say: Grease picks up grit, terms: [grease, grit]}
    competency:
      reasons: {title: Reasons and values, skills: [say-it]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "skill-grouped-twice"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each name after the first."""
    module = checked.module
    owner: dict[str, str] = {}
    for group in module.competency.values():
        for number, name in enumerate(group.skills):
            if name in owner:
                what = f"`{group.id}` names the skill `{name}`, which `{owner[name]}` has already."
                place = module.place("competency", group.id, "skills", number)
                yield Finding(CODE, SIGNAL, place, what, "Name it in one group.")
            owner.setdefault(name, group.id)
