"""Something is said about a part put in turned, but not which way round is right.

`turned` tells what happens the wrong way round; `faces` says which feature points where. A part that may go in either
way cannot be turned.

Wrong:
    parts:
      seat: {turned: The valve passes gas}

Right:
    parts:
      seat: {faces: {conical face: up}, turned: The valve passes gas}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "turned-without-faces"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part with `turned` and without a way round."""
    for part in checked.module.parts.values():
        if not checked.says("parts", part.id, "turned"):
            continue
        place = checked.module.place("parts", part.id, "turned")
        if not checked.says("parts", part.id, "faces"):
            what = f"`{part.id}` says what happens when it goes in turned, but not which way round is right."
            yield Finding(CODE, SIGNAL, place, what, "Add `faces:` with a feature and where it points.")
        elif part.way_round and part.way_round.either:
            what = f"`{part.id}` may go in either way, and yet it says what happens when it goes in turned."
            yield Finding(
                CODE, SIGNAL, place, what, "Remove `turned`, or say under `faces` what points where."
            )
