"""A value given by size leaves out a size that the module claims.

Whoever works on that size would find a blank on the sheet and never be asked for the value. A value that is the same
for every size is written once, without sizes.

Wrong:
    sizes: [DN 50, DN 80]
    parts:
      body: {mass: {DN 50: 6 kg}}

Right:
    sizes: [DN 50, DN 80]
    parts:
      body: {mass: {DN 50: 6 kg, DN 80: 9 kg}}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import quoted
from trainer.checker.sized import by_size_values
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "size-without-value"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each value that lacks a size."""
    for value in by_size_values(checked.module):
        if value.lacking:
            what = f"{value.words} has no value for {quoted(value.lacking)}."
            mend = f"Add {quoted(value.lacking)}, or write one value for all sizes."
            yield Finding(CODE, SIGNAL, checked.module.place(*value.path), what, mend)
