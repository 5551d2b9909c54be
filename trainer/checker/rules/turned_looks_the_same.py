"""A part has a wrong way round that looks like the right one.

Whoever is asked with a picture could not tell. Draw the feature that `faces` names, larger than it is if need be.

Wrong:
    parts:
      body: {fixed: true}
      ring:
        rests_on: body
        faces: {marked face: up}
        turned: The mark cannot be read
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
      ring: {at: 10, profile: [[10, 0], [20, 0], [20, 5], [10, 5]]}
    steps:
      - {id: out, do: Lift the ring out, remove: ring}
      - {id: in, do: Set the ring in, install: ring}

Right:
    parts:
      body: {fixed: true}
      ring:
        rests_on: body
        faces: {sloping face: up}
        turned: The ring rocks
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
      ring: {at: 10, profile: [[10, 0], [20, 0], [20, 5], [10, 3]]}
    steps:
      - {id: out, do: Lift the ring out, remove: ring}
      - {id: in, do: Set the ring in, install: ring}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.shapes import at_each_size
from trainer.drawing.soundness import looks_the_same_turned
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "turned-looks-the-same"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part whose two ways round cannot be told apart in a picture."""
    module = checked.module
    ways = {name: part.way_round for name, part in module.parts.items()}
    sided = [name for name, way in ways.items() if way is not None and not way.either]
    told: set[str] = set()
    for shapes in at_each_size(module):
        for name in sided:
            if name in shapes.shapes and name not in told and looks_the_same_turned(shapes.shapes[name]):
                told.add(name)
                what = f"`{name}` has a wrong way round, but its shape looks the same turned about."
                mend = "Draw the feature that tells its sides apart, or write `faces: either`."
                yield Finding(CODE, SIGNAL, module.place("shapes", name), what, mend)
