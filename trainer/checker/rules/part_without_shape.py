"""A part or fastener has no shape, although others have one.

It would be missing in every picture. A shape whose dimension is not given for a size is missing there, too.

Wrong:
    parts:
      body: {fixed: true}
      ring: {rests_on: body}
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
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
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "part-without-shape"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part and fastener that no picture shows."""
    module = checked.module
    sized = list(at_each_size(module))
    written = module.geometry.shapes if module.geometry else {}
    for table, things in (("parts", module.parts), ("fasteners", module.fasteners)):
        for name in things if sized else ():
            if name not in written:
                what = f"`{name}` has no shape, so it is missing in every picture."
                yield Finding(CODE, SIGNAL, module.place(table, name), what, f"Add `{name}` under `shapes`.")
                continue
            missing = [shapes.size for shapes in sized if name not in shapes.shapes]
            if missing:
                what = (
                    f"`{name}` has no shape at {', '.join(missing)}: a dimension or count is not given there."
                )
                mend = "Give it for every size."
                yield Finding(CODE, SIGNAL, module.place("shapes", name), what, mend)
