"""A deadly energy is set free under a weak signal word.

Where the energy is a danger, a caution of the step should say danger or warning; people read a notice as a notice.

Wrong:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: danger, safe_when: body_vented, otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    cautions:
      noise: {signal: notice, text: Venting is loud}
    steps:
      - {id: vent, do: Vent the body, prove: body_vented, caution: noise}

Right:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: danger, safe_when: body_vented, otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    cautions:
      noise: {signal: notice, text: Venting is loud}
      trapped_gas: {signal: danger, text: Gas may still stand under the cover}
    steps:
      - {id: vent, do: Vent the body, prove: body_vented, caution: [noise, trapped_gas]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.freeing import freeings
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "weak-signal"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step that sets a danger free under nothing stronger than a caution."""
    module = checked.module
    for freeing in freeings(module):
        signals = [module.cautions[name].signal for name in freeing.step.cautions if name in module.cautions]
        if freeing.energy.signal is not Hazard.DANGER or not signals:
            continue
        strongest = min(signals, key=lambda signal: signal.rank)
        if not strongest.is_critical:
            step, energy = freeing.step.id, freeing.energy.id
            what = f"`{step}` sets `{energy}` free, a danger, under nothing stronger than a {strongest}."
            mend = "Add a caution with the signal `warning` or `danger`."
            yield Finding(CODE, SIGNAL, module.place("steps", step, "caution"), what, mend)
