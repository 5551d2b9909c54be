"""An energy that nothing contains.

It is never set free, so no step has to wait until it is safe. Say under `contains` which part, fastener or line holds
it in.

Wrong:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: warning, safe_when: body_vented, otherwise: The cover lifts}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented, caution: gas_under_pressure}

Right:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: warning, safe_when: body_vented, otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented, caution: gas_under_pressure}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "energy-nobody-contains"
SIGNAL = Signal.WARNING


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each energy that no part, fastener or line contains."""
    module = checked.module
    contained = {name for part in module.parts.values() for name in part.contains}
    contained |= {name for fastener in module.fasteners.values() for name in fastener.contains}
    contained |= {name for line in module.lines.values() for name in line.contains}
    contained |= misspelt(checked, "contains")
    for energy in module.energies.values():
        if energy.id not in contained:
            what = f"No part, fastener or line contains `{energy.id}`."
            mend = f"Add `contains: {energy.id}` to what holds it in, or remove it."
            yield Finding(CODE, SIGNAL, module.place("energies", energy.id), what, mend)
