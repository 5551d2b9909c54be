"""A part comes along with one part in one step, and with another in the next.

What is one unit is worked at the bench as one unit. A part that changes its unit is taken out of the first and put into
the second by steps of its own. In a unit within a unit the outer one names the inner base, and that one the rest.

Wrong:
    parts: {cover: {}, cage: {}, disc: {}}
    steps:
      - {id: cover_off, do: Lift the cover with the disc, remove: cover, with: disc}
      - {id: cage_out, do: Draw the cage, remove: cage}
      - {id: cage_in, do: Set the cage in with the disc, install: cage, with: disc}
      - {id: cover_on, do: Lower the cover, install: cover}

Right:
    parts: {cover: {}, cage: {}, disc: {}}
    steps:
      - {id: cover_off, do: Lift the cover, remove: cover}
      - {id: cage_out, do: Draw the cage with the disc, remove: cage, with: disc}
      - {id: cage_in, do: Set the cage in with the disc, install: cage, with: disc}
      - {id: cover_on, do: Lower the cover, install: cover}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "unit-with-two-bases"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step in which a part goes with another base than before."""
    first: dict[str, tuple[str, str]] = {}
    for step in checked.module.steps.values():
        bases = list(dict.fromkeys((*step.on(Verb.REMOVE), *step.on(Verb.INSTALL))))
        for part in step.along if len(bases) == 1 else ():
            base, earlier = first.setdefault(part, (bases[0], step.id))
            if base != bases[0]:
                what = f"`{part}` comes along with `{base}` in `{earlier}`, but with `{bases[0]}` in `{step.id}`."
                mend = f"Let `{part}` go with one of the two: in a unit within a unit, with the inner one."
                yield Finding(CODE, SIGNAL, checked.place_in_step(step.id, part), what, mend)
