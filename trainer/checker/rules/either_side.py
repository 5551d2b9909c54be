"""A step could be done before something is changed, or after it is changed back.

Both would work and nothing says which is meant. Where only one is good work, say it with `before` or `after`; where
both are, it does not need to be left open, either: say the one that your crew does.

Wrong:
    facts:
      gas_on: {text: Gas is on, at_start: true}
    steps:
      - {id: off, do: Turn the gas off, ends: gas_on}
      - {id: read, do: Read the gauge, needs: gas_on}
      - {id: on, do: Turn the gas on, makes: gas_on}

Right:
    facts:
      gas_on: {text: Gas is on, at_start: true}
    steps:
      - {id: off, do: Turn the gas off, ends: gas_on}
      - {id: read, do: Read the gauge, needs: gas_on, before: off, because: The value as found is wanted}
      - {id: on, do: Turn the gas on, makes: gas_on}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.state_words import state
from trainer.checker.told_once import told_elsewhere
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.precedence import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.states import Variable

CODE = "either-side"
SIGNAL = Signal.ERROR

_ADRIFT = (Fault.NOBODY_MAKES, Fault.TWO_MAKERS)


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step that has two places to go, once for each pair of them."""
    told = told_elsewhere(checked)
    # A step that waits in vain, or does what another does, has no place in the order yet, let alone two.
    adrift = {step for fault in _ADRIFT for trouble in checked.troubles(fault) for step in trouble.steps}
    sides: dict[tuple[str, ...], tuple[Variable, bool]] = {}
    for trouble in checked.troubles(Fault.EITHER_SIDE):
        if trouble.variable and trouble.variable not in told and trouble.steps[0] not in adrift:
            sides.setdefault(trouble.steps, (trouble.variable, trouble.value))
    for (step, away, back), (variable, value) in sides.items():
        what = (
            f"`{step}` needs {state(variable, value)}: that is so before `{away}` and again after `{back}`."
        )
        mend = f"Say which is meant: `before: {away}` or `after: {back}`, with `because:`."
        yield Finding(CODE, SIGNAL, checked.place_in_step(step, variable[1]), what, mend)
