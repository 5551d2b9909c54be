"""A block that lacks a key which it cannot do without.

The keys marked with a star in the reference of the language must be there: a fastener that clamps nothing orders
nothing, and an energy without `safe_when` is never safe.

Wrong:
    fasteners:
      cover_nuts: {count: 8}

Right:
    fasteners:
      cover_nuts: {clamp: body, count: 8}
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
