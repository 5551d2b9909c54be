"""A part has a way round, and nothing says what happens when it goes in turned.

Whoever puts it in the wrong way round in a drill should be told what the valve does then, not only that it is wrong.

Wrong:
    parts:
      seat: {faces: {conical face: up}}

Right:
    parts:
      seat: {faces: {conical face: up}, turned: The disc lands on a flat face and the valve passes gas}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "turned-without-words"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part with a way round and without a word on the wrong one."""
    for part in checked.module.parts.values():
        if part.way_round and not part.way_round.either and not checked.says("parts", part.id, "turned"):
            way = f"{part.way_round.feature} {part.way_round.direction}"
            what = f"`{part.id}` goes in with {way}, but nothing says what happens when it goes in turned."
            place = checked.module.place("parts", part.id, "faces")
            yield Finding(CODE, SIGNAL, place, what, "Add `turned:` with what happens then.")
