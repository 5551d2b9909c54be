"""A deadly energy counts as safe, and no step proves it.

To vent is not to know that it is vented. One of the facts under `safe_when` should stand under `prove` of a step: a
gauge that is watched, a test, a look.

Wrong:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: danger, safe_when: body_vented, otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented, caution: gas_under_pressure}

Right:
    facts:
      body_open: The vent is open
      body_vented: The body reads zero and stays at zero
    energies:
      gas: {signal: danger, safe_when: [body_open, body_vented], otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_open, caution: gas_under_pressure}
      - {id: watch, do: Watch the gauge, needs: body_open, prove: body_vented, caution: gas_under_pressure}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt, quoted
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Hazard

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "safe-without-proof"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each danger whose safety nothing proves."""
    module = checked.module
    proven = {name for step in module.steps.values() for name in step.proves}
    proven |= misspelt(checked, "prove")
    for energy in module.energies.values():
        facts = [name for name in energy.safe_when if name in module.facts]
        if energy.signal is Hazard.DANGER and facts and not proven & set(facts):
            what = f"`{energy.id}` is a danger, and no step proves that it is safe: {quoted(facts)}."
            mend = f"Add a step with `prove: {facts[-1]}`: a gauge, a test, a look."
            place = module.place("energies", energy.id, "safe_when")
            yield Finding(CODE, SIGNAL, place, what, mend)
