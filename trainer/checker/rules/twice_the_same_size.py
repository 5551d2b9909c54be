"""A size stands twice in the list of sizes.

It counts once; the second was probably meant to be another size.

Wrong:
    sizes: [DN 50, DN 50]

Right:
    sizes: [DN 50, DN 80]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.sized import sizes_written
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "twice-the-same-size"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each repetition."""
    first: dict[str, int] = {}
    for index, size in enumerate(sizes_written(checked.module)):
        if size and size in first:
            what = f"The size `{size}` stands twice in `sizes`: as number {first[size] + 1} and number {index + 1}."
            place = checked.module.place("sizes", index)
            yield Finding(CODE, SIGNAL, place, what, "Remove it, or write the size that was meant.")
        first.setdefault(size, index)
