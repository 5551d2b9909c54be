"""A part is too heavy for one person and nothing says how it is lifted.

23 kg is the load constant of the revised lifting equation: what one person may lift under the best conditions. With
the arms out over a valve it is less, so this is an upper bound. What comes along as one unit counts together.

Source: Waters, Putz-Anderson, Garg, Applications Manual for the Revised NIOSH Lifting Equation, DHHS (NIOSH) 94-110,
sec. 1.3, p. 7 (load constant 23 kg).

Wrong:
    parts:
      cover: {mass: 31 kg}
    steps:
      - {id: "off", do: Lift the cover, remove: cover}
      - {id: "on", do: Lower the cover, install: cover}

Right:
    parts:
      cover: {mass: 31 kg, lift: "Two slings, hoist straight up"}
    steps:
      - {id: "off", do: Lift the cover, remove: cover}
      - {id: "on", do: Lower the cover, install: cover}
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.checker.balance import acted_on
from trainer.checker.names import quoted
from trainer.procedure.findings import Finding, Signal
from trainer.procedure.model import Verb
from trainer.procedure.structure import Structure
from trainer.trade.units import Quantity

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.checker.checked import Checked
    from trainer.procedure.model import Module

CODE = "heavy-without-lift"
SIGNAL = Signal.ERROR

ONE_PERSON = Quantity.of(23, "kg")
_NOTHING = Quantity.of(0, "kg")


def check(checked: Checked) -> Iterator[Finding]:
    """Yield a finding for each part that is moved, too heavy and without a lift, at its heaviest size."""
    module, built = checked.module, Structure(checked.module)
    for name in acted_on(module, Verb.REMOVE, Verb.INSTALL):
        if name not in module.parts or checked.says("parts", name, "lift"):
            continue
        along = sorted(built.unit(name) - {name})
        masses = [_mass([name, *along], module, size) for size in module.sizes]
        heaviest = max(masses, key=lambda mass: mass.si, default=_NOTHING)
        if heaviest > ONE_PERSON:
            unit = f" with {quoted(along)}" if along else ""
            at = f" at {module.sizes[masses.index(heaviest)]}" if len(set(masses)) > 1 else ""
            what = (
                f"`{name}`{unit} weighs {heaviest}{at}, more than the {ONE_PERSON} that one person may lift."
            )
            place = module.place("parts", name, "mass")
            yield Finding(CODE, SIGNAL, place, what, "Add `lift:` with how it is lifted.")


def _mass(parts: list[str], module: Module, size: str) -> Quantity:
    masses = [by_size.at(size) for name in parts if (by_size := module.parts[name].mass)]
    given = [mass for mass in masses if mass is not None]
    return sum(given[1:], start=given[0]) if given else _NOTHING
