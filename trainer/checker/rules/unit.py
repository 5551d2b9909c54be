"""A quantity without its unit, in an unknown unit, or of another dimension.

A bare number is the classic way to tighten a cover to 95 of something else. Every quantity carries its unit; gauge
and absolute pressure are told apart.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, torque: 95}

Right:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "unit"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
