"""The old one goes back in, although it is renewed whenever it is disturbed.

A gasket that was pressed has taken its set. A step must `renew` it, before it is installed or in the same step.

Wrong:
    parts:
      gasket: {renew: always_when_disturbed, kit: Cover gasket}
    steps:
      - {id: out, do: Peel the gasket off, remove: gasket}
      - {id: in, do: Lay the gasket on, install: gasket}

Right:
    parts:
      gasket: {renew: always_when_disturbed, kit: Cover gasket}
    steps:
      - {id: out, do: Peel the gasket off, remove: gasket}
      - {id: in, do: Lay a new gasket on, renew: gasket, install: gasket}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import never_renewed
from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "disturbed-never-renewed"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each thing that is put back unrenewed, at the step that does it."""
    meant = misspelt(checked, Verb.RENEW)
    for thing, step in never_renewed(checked.module).items():
        if thing not in meant:
            what = f"`{step}` puts the old `{thing}` back, but it is renewed whenever it is disturbed."
            mend = f"Add `renew: {thing}` to `{step}` or to an earlier step."
            yield Finding(CODE, SIGNAL, checked.place_in_step(step, thing), what, mend)
