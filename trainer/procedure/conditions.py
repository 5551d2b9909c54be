"""The states that a procedure moves through, and what a step needs of them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from trainer.procedure.wording import capital, full_stop

if TYPE_CHECKING:
    from trainer.procedure.model import Hazard


class Aspect(StrEnum):
    """What a two-valued variable is about."""

    FACT = "fact"
    IN_PLACE = "in place"
    TIGHT = "tight"
    LOCKED = "locked"
    JOINED = "connected"
    SOUND = "sound"
    CLEAN = "clean"
    DONE = "done"


Variable = tuple[Aspect, str]


@dataclass(frozen=True)
class Need:
    """A state that must hold when a step is done.

    `why` is the reason for coming after the step that brings the state about, `late` the reason for coming
    before the step that ends it, `happens` what goes wrong otherwise; `signal` is None for what simply cannot be
    done.
    """

    variable: Variable
    value: bool
    why: str
    late: str
    happens: str
    signal: Hazard | None = None


def need(
    aspect: Aspect,
    name: str,
    value: bool,
    why: str,
    *,
    late: str = "",
    happens: str = "",
    signal: Hazard | None = None,
) -> Need:
    """Return a need whose texts are whole sentences; `late` and `happens` are as `why` unless given."""
    reason = capital(full_stop(why))
    return Need(
        (aspect, name),
        value,
        reason,
        capital(full_stop(late)) if late else reason,
        capital(full_stop(happens)) if happens else reason,
        signal,
    )
