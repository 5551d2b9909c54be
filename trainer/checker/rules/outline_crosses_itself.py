"""An outline crosses itself.

Its corners are out of order, or one is mistyped: the hatch falls outside, and areas come out wrong.

Wrong:
    shapes:
      body: {profile: [[10, 0], [20, 10], [20, 0], [10, 10]]}

Right:
    shapes:
      body: {profile: [[10, 0], [20, 0], [20, 10], [10, 10]]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.shapes import at_each_size
from trainer.drawing.soundness import crosses_itself
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.shapes import Outline, Shapes
    from trainer.procedure.values import Path

CODE = "outline-crosses-itself"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each outline that crosses itself, at the first size where it does."""
    told: set[Path] = set()
    for shapes in at_each_size(checked.module):
        for path, outline in _outlines(shapes):
            if path not in told and crosses_itself(outline):
                told.add(path)
                what = f"The outline of `{path[1] if path[0] == 'shapes' else path[2]}` crosses itself."
                mend = "Write its corners in the order in which a pencil would go round."
                yield Finding(CODE, SIGNAL, checked.module.place(*path), what, mend)


def _outlines(shapes: Shapes) -> Iterator[tuple[Path, Outline]]:
    for name, shape in shapes.shapes.items():
        yield ("shapes", name, "profile"), shape.profile
        yield ("shapes", name, "left"), shape.left
        for number, loop in enumerate(shape.body.loops if shape.body else ()):
            yield ("shapes", name, "body", "loops", number), loop
    for name, space in shapes.spaces.items():
        yield ("drawing", "spaces", name, "profile"), space.profile
