"""A block that lacks a key which it cannot do without.

The keys marked with a star in the reference of the language must be there: a line that joins nothing orders
nothing, and an energy without `safe_when` is never safe.

Wrong:
    lines:
      loading_line: {name: Loading line}

Right:
    lines:
      loading_line: {name: Loading line, joins: body}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "missing-key"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
