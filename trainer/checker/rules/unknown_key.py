"""A key that the language does not have.

A misspelt key would be read over in silence, and what it says would be missing from every drill and paper. The nearest
key is offered; `trainer/procedure/keys.py` and the reference of the language list them all.

Wrong:
    parts:
      body: {fixed: true}
      cover: {rest_on: body}

Right:
    parts:
      body: {fixed: true}
      cover: {rests_on: body}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "unknown-key"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
