"""What is marked while work is watched at the bench: four marks a step, and how entries come to a state."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

MEANING_OBSERVED = "I watched the steps marked here being done, and each went as it is marked."


class StepMark(StrEnum):
    """How a step was done (common practice of bench checks, no source; the words are ours)."""

    UNAIDED = "unaided"
    WORD = "word"
    MENTOR = "mentor"
    WRONG = "wrong"

    @property
    def words(self) -> str:
        """The mark in words."""
        return _WORDS[self]

    @property
    def short(self) -> str:
        """The mark in one word, for a button and a box on paper."""
        return _SHORT[self]


_WORDS = {
    StepMark.UNAIDED: "done unaided",
    StepMark.WORD: "done with a word",
    StepMark.MENTOR: "done by the mentor",
    StepMark.WRONG: "done wrong",
}
_SHORT = {
    StepMark.UNAIDED: "Unaided",
    StepMark.WORD: "With a word",
    StepMark.MENTOR: "By mentor",
    StepMark.WRONG: "Wrong",
}


@dataclass(frozen=True)
class StepSeen:
    """A step, how it was done and when it was marked (UTC); without a mark it was not seen, or the mark was taken back."""

    step: str
    mark: StepMark | None
    note: str
    at: datetime


def replayed(entries: Iterable[StepSeen]) -> tuple[StepSeen, ...]:
    """Return the last word on each step: those marked in the order in which they were first marked, then the others.

    A mark that is changed keeps its place; one that is taken back and made again goes to the end.

    Args:
        entries: everything entered; of equal times the one entered later comes later.
    """
    last: dict[str, StepSeen] = {}
    order: list[str] = []
    for entry in sorted(entries, key=lambda item: item.at):
        last[entry.step] = entry
        if entry.mark is None and entry.step in order:
            order.remove(entry.step)
        elif entry.mark is not None and entry.step not in order:
            order.append(entry.step)
    return tuple(last[step] for step in order) + tuple(item for item in last.values() if item.mark is None)
