"""Two parts take up the same room.

In the section their cut faces lie over one another. Rubber may be squeezed, and what is drawn whole is not looked at,
because a thread lies in its hole.

Wrong:
    parts:
      body: {fixed: true}
      ring: {rests_on: body}
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
      ring: {at: 8, profile: [[10, 0], [20, 0], [20, 5], [10, 5]]}
    steps:
      - {id: out, do: Lift the ring out, remove: ring}
      - {id: in, do: Set the ring in, install: ring}

Right:
    parts:
      body: {fixed: true}
      ring: {rests_on: body}
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
      ring: {at: 10, profile: [[10, 0], [20, 0], [20, 5], [10, 5]]}
    steps:
      - {id: out, do: Lift the ring out, remove: ring}
      - {id: in, do: Set the ring in, install: ring}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.shapes import at_each_size
from trainer.drawing.soundness import overlaps
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "shapes-overlap"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each pair of parts that overlap, at the first size where they do."""
    told: set[tuple[str, str]] = set()
    for shapes in at_each_size(checked.module):
        for one, other, area in overlaps(shapes):
            if (one, other) not in told:
                told.add((one, other))
                what = f"At {shapes.size} `{one}` and `{other}` share {area:.1f} mm² of the section."
                mend = "Move one with `at`, or change an outline; `trainer draw` shows where."
                yield Finding(CODE, SIGNAL, checked.module.place("shapes", other), what, mend)
