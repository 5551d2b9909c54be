"""The question of a figure does not name a value that is drawn, or names one that is not given.

What is drawn among several values, or differs by size, must stand in the question, or nobody can answer it.

Wrong:
    figures:
      push: {ask: "How hard?", by: gas-force, given: {pressure: [4 bar, 8 bar], diameter: 92 mm}, units: [kN]}

Right:
    figures:
      push:
        ask: At {pressure} on 92 mm, how hard?
        by: gas-force
        given: {pressure: [4 bar, 8 bar], diameter: 92 mm}
        units: [kN]
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "figure-without-its-values"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such value."""
    module = checked.module
    for figure in module.figures.values():
        named = set(re.findall(r"\{([^{}]*)\}", figure.ask))
        drawn = {
            name for name, value in figure.given.items() if value.common is None or len(value.common) > 1
        }
        for name in sorted((drawn - named) | (named - set(figure.given))):
            what = f"The question of `{figure.id}` "
            what += (
                f"names `{{{name}}}`, which is not given." if name in named else f"does not name `{name}`."
            )
            mend = f"Write `{{{name}}}` where the value stands." if name in drawn else "Correct the name."
            yield Finding(CODE, SIGNAL, module.place("figures", figure.id, "ask"), what, mend)
