"""A marked answer: right or not, how much of it, what would have happened on the bench, and why."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from trainer.drills.question import _plain

if TYPE_CHECKING:
    from trainer.procedure.model import Hazard


@dataclass(frozen=True)
class Remark:
    """One reason: about which line, row or field of the form (empty: the whole), with its signal word if it can hurt.

    What no program can mark honestly is not `marked`: the remark then shows what to compare with, and is neither.
    `relation` is for whoever looks at many marks: the step that had to come first, and the one that came before it.
    """

    about: str
    text: str
    signal: Hazard | None = None
    right: bool = False
    marked: bool = True
    relation: tuple[str, str] | None = None


@dataclass(frozen=True)
class PlacedLine:
    """A line of an arranged answer: where it stood, where it belongs in the nearest right order, whether it has to move.

    Positions count from 1. `moved` lines are the fewest that have to be taken out and put elsewhere;
    a line that is not moved but changes its number only makes room.
    """

    id: str
    text: str
    position: int
    place: int
    moved: bool


@dataclass(frozen=True)
class Incident:
    """What would have gone wrong first: at which line of the answer, with its signal word and what happens."""

    step: str
    position: int
    signal: Hazard
    text: str


@dataclass(frozen=True)
class Mark:
    """The mark of one answer.

    `credit` is 0 to 1; `critical` tells that the answer holds an error that no credit makes up for;
    `headline` is one sentence, `instead` what to do instead; `moves` and `lines` belong to arranged answers,
    `picked` to runs: what was picked at each moment, in words; its remarks are about "1", "2" and so on.
    """

    right: bool
    credit: float
    critical: bool
    headline: str
    remarks: tuple[Remark, ...] = ()
    incident: Incident | None = None
    instead: str = ""
    moves: int | None = None
    lines: tuple[PlacedLine, ...] = ()
    picked: tuple[str, ...] = ()

    def as_data(self) -> dict[str, Any]:
        """Return the mark as plain JSON values."""
        data: dict[str, Any] = _plain(asdict(self))
        return data
