"""Something moves an element of a station that nobody moves, or in a way in which it does not move.

Facts move valves, vents and nitrogen cocks with `other_when`; `unless` only puts back what that has moved. A filter is
opened to the air by what closes it, with `opened_by`.

Wrong:
    facts:
      shut: {text: PR-1 is shut, hand_back: true}
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0], other_when: shut}
    steps:
      - {id: shut, do: Shut it, makes: shut}
      - {id: back, do: Open it, ends: shut}

Right:
    facts:
      shut: {text: PR-1 is shut, hand_back: true}
    station:
      pieces:
        inlet: {source: inlet, pipe: [[[0, 0], [2, 0]], [[1, 0], [1, 2], [2, 2]]]}
        outlet: {source: outlet, pipe: [[[2, 0], [4, 0]], [[2, 2], [3, 2], [3, 0]]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
        fv_1: {name: hand valve, form: filling_valve, joins: [inlet, outlet], at: [2, 2], stands: closed, other_when: shut}
    steps:
      - {id: shut, do: Shut it, makes: shut}
      - {id: back, do: Open it, ends: shut}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal
from trainer.procedure.station import Form

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "station-cannot-move"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such key."""
    module = checked.module
    for element in module.station.elements.values() if module.station else ():
        by_facts = element.form.moves and element.form is not Form.FILTER
        form = element.form.replace("_", " ")
        for key, given, fits in (
            ("other_when", element.other_when, by_facts),
            ("unless", element.unless, by_facts and bool(element.other_when)),
            ("opened_by", element.opened_by, element.form is Form.FILTER),
        ):
            if given and not fits:
                what = f"`{key}` moves nothing at `{element.id}`, which is a {form}."
                if key == "unless" and by_facts:
                    what = f"`unless` puts `{element.id}` back, but nothing moves it."
                place = module.place("station", "elements", element.id, key)
                yield Finding(
                    CODE, SIGNAL, place, what, "Remove it, or give the element the form that moves so."
                )
