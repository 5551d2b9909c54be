"""Nobody knows how a regulator of a station stands without pressure.

On it depends whether a vent empties the pipe on its other side. Monitors and pilots count too.

Wrong:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, joins: [inlet, outlet], at: [2, 0]}

Right:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "station-when-dead"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each regulator, monitor or pilot that does not say it."""
    module = checked.module
    for element in module.station.elements.values() if module.station else ():
        if element.form.regulates and not checked.says("station", "elements", element.id, "when_dead"):
            what = f"`{element.id}` does not say whether it stands open or closed without pressure."
            mend = "Add `when_dead: open` or `when_dead: closed`, as the maker says."
            yield Finding(CODE, SIGNAL, module.place("station", "elements", element.id), what, mend)
