"""A procedure without sizes, parts or steps.

The key is there, but nothing stands under it: there is nothing to do, or no size to do it for.

Wrong:
    sizes: []

Right:
    sizes: [DN 50]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "nothing-in-it"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each of the three that is empty."""
    module = checked.module
    for key, held in (("sizes", module.sizes), ("parts", module.parts), ("steps", module.steps)):
        if not held and checked.says(key) and not _is_told(key, checked):
            what = f"Nothing stands under `{key}`."
            yield Finding(CODE, SIGNAL, module.place(key), what, f"Add the {key}.")


def _is_told(key: str, checked: Checked) -> bool:
    """Tell whether reading has found something between this key and the next."""
    start = checked.module.place(key)
    later = [place for path, place in checked.module.places.items() if len(path) == 1 and place > start]
    end = min(later, default=None)
    problems = (finding.place for finding in checked.module.problems)
    return any(place >= start and (end is None or place < end) for place in problems)
