"""The procedure takes things apart and puts nothing back.

That is right for a teardown whose rebuild is another procedure, and then there is nothing to mend. What is taken out,
undone and disconnected is not told one by one.

Wrong:
    parts: {cover: {}}
    steps:
      - {id: open, do: Lift the cover, remove: cover}

Right:
    parts: {cover: {}}
    steps:
      - {id: open, do: Lift the cover, remove: cover}
      - {id: close, do: Lower the cover, install: cover}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import PAIRS, acted_on, takes_apart_only
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "teardown-only"
SIGNAL = Signal.ADVICE


def check(checked: Checked) -> Iterator[Finding]:
    """Yield one finding for the whole procedure."""
    if takes_apart_only(checked.module):
        things = len(acted_on(checked.module, *PAIRS))
        what = f"The steps take {things} thing{'s' if things > 1 else ''} apart and put nothing back."
        mend = "Add the steps of the rebuild, or leave it so if the rebuild is another procedure."
        yield Finding(CODE, SIGNAL, checked.module.place("steps"), what, mend)
