"""A choice of tool offers nothing but the right one.

Name a tool that looks right and is not, with what it does, or give right ones that differ by size.

Wrong:
    tooling:
      look: {step: look, right: Lamp, because: The bore is dark}

Right:
    tooling:
      look: {step: look, right: Lamp, because: The bore is dark, wrong: {Match: It lights more than the bore}}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "tool-without-choice"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such choice."""
    module = checked.module
    for name, tooling in module.tooling.items():
        if not tooling.wrong and len(set(tooling.right.values())) == 1:
            what = f"`{name}` offers nothing but the right tool."
            mend = "Add `wrong:` with tools that look right, each with what it does."
            yield Finding(CODE, SIGNAL, module.place("tooling", name), what, mend)
