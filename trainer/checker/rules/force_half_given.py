"""Half of what a force is worked out from is missing.

A gas pushes with its pressure on the diameter that it `acts_on`, a spring with its `rate` times its `compression`. With
both halves a trainee is told the force; with one the number is lost.

Wrong:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: warning, safe_when: body_vented, otherwise: The cover lifts, pressure: 8 bar}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented, caution: gas_under_pressure}

Right:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: warning, safe_when: body_vented, otherwise: The cover lifts, pressure: 8 bar, acts_on: 80 mm}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented, caution: gas_under_pressure}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "force-half-given"
SIGNAL = Signal.WARNING


_HALVES = (("pressure", "acts_on"), ("acts_on", "pressure"), ("rate", "compression"), ("compression", "rate"))


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each half without its other half."""
    for energy in checked.module.energies:
        for given, missing in _HALVES:
            says = checked.says("energies", energy, given)
            if says and not checked.says("energies", energy, missing):
                what = f"`{energy}` has `{given}` but no `{missing}`, so its force cannot be told."
                place = checked.module.place("energies", energy, given)
                yield Finding(CODE, SIGNAL, place, what, f"Add `{missing}:`, or remove `{given}`.")
