"""A key or an id that stands twice.

YAML readers keep one of two equal keys without a word. Here the first one counts and the second is told.

Wrong:
    parts:
      cover: {material: cast iron}
      cover: {material: steel}

Right:
    parts:
      cover: {material: cast iron}
      cap: {material: steel}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "duplicate-key"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
