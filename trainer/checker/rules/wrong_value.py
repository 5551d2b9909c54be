"""A value that is not of the kind its key wants.

Words stay words here: `yes` and `on` are texts and no flags, `012` is no count. Write `true` or `false`, whole
numbers from 1, and the words of a fixed list exactly as the reference has them.

Wrong:
    parts:
      body: {fixed: yes}

Right:
    parts:
      body: {fixed: true}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "wrong-value"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
