"""A part says how it is reached when it is lifted, but not what it weighs.

Who or what lifts it is worked out from mass and reach; without the mass nothing is asked about it.

Wrong:
    parts:
      cover: {handled: {reach: 50 cm, height: 110 cm}}

Right:
    parts:
      cover: {handled: {reach: 50 cm, height: 110 cm}, mass: 4 kg}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "handled-without-mass"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such part."""
    for part in checked.module.parts.values():
        if part.handled is not None and not checked.says("parts", part.id, "mass"):
            what = f"`{part.id}` says how it is reached, but has no mass."
            place = checked.module.place("parts", part.id, "handled")
            yield Finding(CODE, SIGNAL, place, what, "Add its `mass`, by size if it differs.")
