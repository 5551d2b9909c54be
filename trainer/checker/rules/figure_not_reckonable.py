"""A figure cannot be reckoned from what is given.

The computation must exist, take every value given at every size, and answer with a number in each of the units.

Wrong:
    figures:
      push: {ask: "How hard?", by: gas-force, given: {pressure: 8 bar, diameter: 8 kg}, units: [kN]}

Right:
    figures:
      push:
        {ask: "At {pressure} on {diameter}, how hard?", by: gas-force, given: {pressure: 8 bar, diameter: 92 mm}, units: kN}
"""

from __future__ import annotations

from functools import lru_cache
from itertools import product
from typing import TYPE_CHECKING

from trainer.drills.kinds import reckon_it
from trainer.errors import TrainerError
from trainer.procedure.findings import Finding, Signal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.model import Figure, Module

CODE = "figure-not-reckonable"
SIGNAL = Signal.ERROR


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each such figure, with the first thing that is refused."""
    for figure in checked.module.figures.values():
        # What could not be read has a finding of its own.
        if any(f.place == checked.module.place("figures", figure.id) for f in checked.module.problems):
            continue
        why = _refused(checked.module, figure)
        if why:
            mend = "Correct `by`, `given` or `units`; `trainer reckon --list` tells what a computation takes."
            place = checked.module.place("figures", figure.id)
            yield Finding(CODE, SIGNAL, place, f"`{figure.id}` cannot be reckoned: {why}", mend)


def _refused(module: Module, figure: Figure) -> str:
    if not (figure.units and figure.given and figure.by):
        return ""
    for size in module.sizes:
        values = reckon_it.values(figure, size)
        for drawn in product(*values.values()):
            why = _refusal(figure.by, figure.units, tuple(zip(values, drawn, strict=True)))
            if why:
                return why
    return ""


@lru_cache(maxsize=4096)
def _refusal(by: str, units: tuple[str, ...], given: tuple[tuple[str, str], ...]) -> str:
    # A file is checked again after each change of it, and hardly ever a figure is what has changed.
    try:
        right = reckon_it.worked_out(by, units[0], dict(given))
        for unit in units:
            right.to(unit)
    except TrainerError as problem:
        return f"{str(problem).rstrip('.')}."
    return ""
