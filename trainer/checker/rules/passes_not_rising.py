"""The passes of a tightening do not rise to 100 %.

Each pass goes further than the one before, the last of them to 100 % of the target. `round` comes after that: round
and round at full torque until nothing turns.

Wrong:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m, passes: [30 %, 60 %, round]}

Right:
    fasteners:
      cover_nuts: {clamp: body, torque: 95 N·m, passes: [30 %, 60 %, 100 %, round]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "passes-not-rising"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each list of passes, with the first thing wrong in it."""
    for fastener in checked.module.fasteners.values():
        what = _trouble([each.percent for each in fastener.passes])
        if what:
            place = checked.module.place("fasteners", fastener.id, "passes")
            mend = "Let the percentages rise, the last to 100 %, and put `round` behind them."
            yield Finding(CODE, SIGNAL, place, f"The passes of `{fastener.id}` {what}.", mend)


def _trouble(passes: list[int | None]) -> str:
    reached = 0
    for before, percent in zip([0, *passes], passes, strict=False):
        if percent is None:
            if reached < 100:
                return f"go `round` at full torque when only {reached} % is reached"
        elif before is None:
            return f"go back to {percent} % after `round`"
        elif percent <= reached:
            return f"do not rise: {percent} % comes after {reached} %"
        else:
            reached = percent
    return f"end at {reached} %" if passes and reached < 100 else ""
