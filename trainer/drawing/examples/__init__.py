"""The reference of the drawing language: every construct with how it is written and what is drawn from it.

The pictures come from the code that draws the procedures, so the page cannot be out of date. A new construct is one
`Example` in one of the files beside this one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.drawing.examples.finer import FINER
from trainer.drawing.examples.forms import FORMS
from trainer.drawing.examples.whole import WHOLE

if TYPE_CHECKING:
    from trainer.drawing.examples.example import Example

GROUPS: tuple[tuple[str, tuple[Example, ...]], ...] = (
    ("Forms", FORMS),
    ("Beside the form", FINER),
    ("The drawing as a whole", WHOLE),
)
