"""A step sets an energy free and has no caution.

Venting and backing off set it free on purpose; undoing, disconnecting and taking off what holds it in set free what is
left. The caution is read before the step, and printed on the job card.

Wrong:
    facts:
      body_vented: The body reads zero
    energies:
      gas: {signal: warning, safe_when: body_vented, otherwise: The cover lifts}
    parts:
      cover: {contains: gas}
    steps:
      - {id: vent, do: Vent the body, makes: body_vented}

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

from trainer.checker.freeing import freeings
from trainer.checker.names import quoted
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.checker.freeing import Freeing

CODE = "energy-freed-without-caution"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each step, naming the energies that it sets free."""
    freed: dict[str, list[Freeing]] = {}
    for freeing in freeings(checked.module):
        if not checked.says("steps", freeing.step.id, "caution"):
            freed.setdefault(freeing.step.id, []).append(freeing)
    for step, several in freed.items():
        energies = quoted([freeing.energy.id for freeing in several])
        what = f"`{step}` sets {energies} free by `{several[0].by}` and has no caution."
        mend = "Add `caution:` with one of this file's or of the shared cautions."
        yield Finding(CODE, SIGNAL, checked.place_in_step(step, several[0].by), what, mend)
