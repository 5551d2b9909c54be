"""Two elements of a station stand at one place.

Wrong:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
        pg_1: {name: gauge, form: gauge, joins: outlet, at: [2, 0]}

Right:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
        pg_1: {name: gauge, form: gauge, joins: outlet, at: [4, 0]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "station-same-place"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each element that stands where an earlier one stands, in either drawing."""
    module = checked.module
    told: set[tuple[str, str]] = set()
    for layout, key in (("wide", "at"), ("upright", "upright")):
        taken: dict[tuple[float, float], str] = {}
        for element in module.station.elements.values() if module.station else ():
            spot = element.wide if layout == "wide" else element.upright
            other = taken.setdefault(spot, element.id)
            # What lies together in the wide drawing mostly does so in the upright one: it is told once.
            if other != element.id and (other, element.id) not in told:
                told.add((other, element.id))
                what = f"`{element.id}` stands where `{other}` stands, in the {layout} drawing."
                place = module.place("station", "elements", element.id, key)
                yield Finding(CODE, SIGNAL, place, what, "Move one of them, and the pipes that end at it.")
