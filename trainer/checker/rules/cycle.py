"""The steps cannot be put in any order: each waits for the next in a circle.

The relations follow from what rests on what, what clamps what, which energy is safe when, and what steps need and make.
The circle is told with the reason of each relation; one of them says what is not so.

Wrong:
    facts:
      run_shut: The run is shut
      body_vented: The body reads zero
    steps:
      - {id: shut, do: Close both run valves, needs: body_vented, makes: run_shut}
      - {id: vent, do: Vent the body, needs: run_shut, makes: body_vented}

Right:
    facts:
      run_shut: The run is shut
      body_vented: The body reads zero
    steps:
      - {id: shut, do: Close both run valves, makes: run_shut}
      - {id: vent, do: Vent the body, needs: run_shut, makes: body_vented}
      - {id: lift, do: Lift the cover, needs: body_vented}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.circles import circles
from trainer.checker.told_once import told_elsewhere
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.precedence import Fault
from trainer.procedure.wording import in_sentence

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.precedence import Reason

CODE = "cycle"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each knot of steps, with a shortest way round it."""
    if not any(checked.troubles(Fault.CYCLE)):
        return
    relations = _relations_to_tell(checked)
    follows: dict[str, list[str]] = {step: [] for step in checked.module.steps}
    for before, after in relations:
        follows[before].append(after)
    for circle in circles(follows):
        pairs = zip(circle, (*circle[1:], circle[0]), strict=True)
        way = "; ".join(f"`{a}` before `{b}` ({_because(relations[a, b])})" for a, b in pairs)
        what = f"{len(circle)} steps wait for each other in a circle: {way}."
        mend = "Take out or turn round the one of these relations that is not so."
        yield Finding(CODE, SIGNAL, checked.module.place("steps", circle[0]), what, mend)


def _because(reason: Reason) -> str:
    return in_sentence(reason.text.rstrip("."))


def _relations_to_tell(checked: Checked) -> dict[tuple[str, str], Reason]:
    """Return each relation with its first reason, but for reasons that follow from what another rule tells."""
    told = _reasons_told_elsewhere(checked)
    relations = {}
    for pair, reasons in checked.procedure.precedence.relations.items():
        left = [reason for reason in reasons if (pair, reason.text) not in told]
        if left:
            relations[pair] = left[0]
    return relations


def _reasons_told_elsewhere(checked: Checked) -> set[tuple[tuple[str, str], str]]:
    states = told_elsewhere(checked)
    operations = checked.procedure.plan.operations.values()
    changing = {state: [o.step for o in operations if state in o.changes] for state in states}
    told = set()
    for operation in operations:
        for need in operation.needs:
            for other in changing.get(need.variable, ()):
                told |= {((other, operation.step), need.why), ((operation.step, other), need.late)}
    return told
