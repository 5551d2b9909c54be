"""An element or a piece of a station hangs in the air.

A valve, a filter and a regulator join two pieces, in the way of the gas; a gauge, a vent, a relief valve and a nitrogen
cock stand at one. Every piece has an element somewhere.

Wrong:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: inlet, at: [2, 0]}

Right:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.names import misspelt, quoted
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked

CODE = "station-joins-nothing"
SIGNAL = Signal.ERROR
_COUNT = {1: "one piece", 2: "two pieces"}


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each element that joins too few or too many pieces, and each piece that nothing joins."""
    module = checked.module
    if module.station is None:
        return
    joined = {name for element in module.station.elements.values() for name in element.joins}
    for element in module.station.elements.values():
        wanted = element.form.ends
        if len(set(element.joins)) != wanted:
            has = "nothing" if not element.joins else quoted(element.joins)
            what = (
                f"`{element.id}` joins {has}, but a {element.form.replace('_', ' ')} joins {_COUNT[wanted]}."
            )
            place = module.place("station", "elements", element.id, "joins")
            yield Finding(
                CODE, SIGNAL, place, what, f"Name {_COUNT[wanted]} under `joins`, in the way of the gas."
            )
    for piece in module.station.pieces:
        if piece not in joined and piece not in misspelt(checked, "joins"):
            what = f"No element joins the piece `{piece}`."
            yield Finding(
                CODE, SIGNAL, module.place("station", "pieces", piece), what, "Join it, or remove it."
            )
