"""A value is given for a size that the module does not claim.

Nobody will ever be asked for it, and nobody will miss the size that was meant. The nearest claimed size is offered.

Wrong:
    sizes: [DN 50, DN 80]
    parts:
      body: {mass: {DN 50: 6 kg, DN 8O: 9 kg}}

Right:
    sizes: [DN 50, DN 80]
    parts:
      body: {mass: {DN 50: 6 kg, DN 80: 9 kg}}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.sized import by_size_values
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "value-for-unknown-size"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each size that the module does not claim."""
    claimed = ", ".join(checked.module.sizes)
    for value in by_size_values(checked.module):
        for size, meant in value.unknown.items():
            offer = f" Did you mean `{meant}`?" if meant else ""
            what = f"{value.words} has a value for `{size}`, which is none of the sizes {claimed}.{offer}"
            mend = f"Correct the size, or add `{size}` to `sizes`."
            yield Finding(CODE, SIGNAL, checked.module.place(*value.path, size), what, mend)
