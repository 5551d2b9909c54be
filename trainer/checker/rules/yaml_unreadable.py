"""A file that is not plain YAML.

The file must be UTF-8 text in YAML, start with keys, and do without anchors, aliases and tags: a procedure is read
by people, too, and each value stands where it is used. Nothing else can be told about a file that is not YAML.

Wrong:
    title: "Overhaul the main valve

Right:
    title: "Overhaul the main valve"
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "yaml"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield what reading has found."""
    return checked.read_as(CODE)
