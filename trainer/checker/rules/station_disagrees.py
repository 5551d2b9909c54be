"""After a step the station stands as no job leaves it.

The steps are walked in the order of the file. Gas must not blow to the air, the outlet must be fed, inlet and outlet must
not stand together, no gas may come to an open nitrogen cock, and where a filter is open its whole run must be empty.
Either a fact moves the wrong element, or the step does what it should not.

Wrong:
    facts:
      ready: {text: The vent is rigged, hand_back: true}
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
        vv_1: {name: vent, form: vent, joins: outlet, at: [4, 0], stands: closed, other_when: ready}
    steps:
      - {id: rig, do: Rig the hose, makes: ready}
      - {id: off, do: Take the hose off, ends: ready}

Right:
    facts:
      ready: {text: The vent is rigged, hand_back: true}
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
        vv_1: {name: vent, form: vent, joins: outlet, at: [4, 0], stands: closed}
    steps:
      - {id: rig, do: Rig the hose, makes: ready}
      - {id: off, do: Take the hose off, ends: ready}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.line_up_dangers import troubles
from trainer.procedure.line_ups import line_up_in
from trainer.procedure.simulate import Bench

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "station-disagrees"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each trouble, at the first step after which it is there."""
    module = checked.module
    if not module.station:
        return
    told: set[str] = set()
    bench = Bench(checked.procedure.plan)
    for step in (None, *module.steps):
        if step is not None:
            bench.do(step)
        for trouble in troubles(line_up_in(module, bench.states)):
            if trouble.what not in told:
                told.add(trouble.what)
                place = module.place("station") if step is None else module.place("steps", step)
                when = "Before the first step" if step is None else f"After `{step}`"
                mend = "Correct `stands`, `other_when` or `unless` of the element, or the facts of the step."
                yield Finding(CODE, SIGNAL, place, f"{when} {trouble.what}.", mend)
