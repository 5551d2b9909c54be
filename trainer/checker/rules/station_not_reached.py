"""A piece of pipe does not reach an element that it is joined to.

A line of the piece has to begin or end where the element stands; a tube may end beside it, at most one step of the grid
away.

Wrong:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[3, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}

Right:
    station:
      pieces:
        inlet: {source: inlet, pipe: [[0, 0], [2, 0]]}
        outlet: {source: outlet, pipe: [[2, 0], [4, 0]]}
      elements:
        pr_1: {name: regulator, form: regulator, when_dead: closed, joins: [inlet, outlet], at: [2, 0]}
"""

from __future__ import annotations

from math import dist
from typing import TYPE_CHECKING

from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.station import Drawn, Spot

CODE = "station-not-reached"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such joint, in either drawing."""
    module = checked.module
    if module.station is None:
        return
    for element in module.station.whole:
        for name in element.joins:
            piece = module.station.pieces[name]
            for layout, drawn, spot in (
                ("wide", piece.wide, element.wide),
                ("upright", piece.upright, element.upright),
            ):
                if not _reaches(drawn, spot):
                    what = f"The piece `{name}` does not reach `{element.id}` in the {layout} drawing."
                    mend = f"Let one of its lines end at {list(spot)}."
                    yield Finding(CODE, SIGNAL, module.place("station", "pieces", name), what, mend)
                    break


def _reaches(drawn: Drawn, spot: Spot) -> bool:
    ends = [(run[0], run[-1]) for run in drawn.pipe]
    near = [(run[0], run[-1]) for run in drawn.tubes]
    return any(dist(end, spot) < 0.01 for pair in ends for end in pair) or any(
        dist(end, spot) <= 1 for pair in near for end in pair
    )
