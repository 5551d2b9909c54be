"""The register of named computations: everything this room can reckon, by name."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

from trainer.errors import TrainerError
from trainer.trade.reckonings import bolting, gas, handling, stations

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.trade.reckoning import Reckoned, Reckoning

RECKONINGS: dict[str, Reckoning] = {
    reckoning.name: reckoning
    for topic in (bolting, handling, gas, stations)
    for reckoning in topic.RECKONINGS
}
"""Every named computation, in the order in which a list shows them."""


class ReckoningUnknown(TrainerError):
    """No computation of this name; the nearest is offered."""

    def __init__(self, name: str) -> None:
        near = difflib.get_close_matches(name, RECKONINGS, n=1)
        hint = f"; did you mean '{near[0]}'?" if near else "."
        super().__init__(f"'{name}' is not a computation{hint}")


def reckoning_named(name: str) -> Reckoning:
    """Return a computation.

    Raises:
        ReckoningUnknown: with the nearest name offered.
    """
    if name not in RECKONINGS:
        raise ReckoningUnknown(name)
    return RECKONINGS[name]


def reckon(name: str, values: Mapping[str, str]) -> Reckoned:
    """Return a named computation done.

    Raises:
        TrainerError: the name or an input is unknown, missing, unreadable or impossible, told in one sentence.
    """
    return reckoning_named(name).run(values)
