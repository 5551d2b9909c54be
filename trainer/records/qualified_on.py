"""Who was qualified on a day: by all that is known, or by what was known at a moment.

49 CFR 192.807 (records show that people are qualified), read through a State rule that repeats it. That both answers
are shown where they differ is our own choice: what is found out later must not change what could be known then.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from trainer.records.suspension import Suspension


@dataclass(frozen=True)
class HeldTerm:
    """One qualification as the question needs it; `ended_on` is the first day on which it held no more."""

    number: str
    valid_from: date
    valid_until: date
    signed_at: datetime
    ended_on: date | None = None
    end_known_at: datetime | None = None

    def holds_on(self, day: date, known: datetime | None) -> bool:
        """Return whether it ran on a day, suspensions left aside."""
        if known is not None and self.signed_at > known:
            return False
        ended = self.ended_on
        if known is not None and self.end_known_at is not None and self.end_known_at > known:
            ended = None
        return self.valid_from <= day <= self.valid_until and (ended is None or day < ended)


@dataclass(frozen=True)
class Answer:
    """Where one person stood: signed, lapsed, suspended, or without any qualification yet (not assigned)."""

    standing: Standing
    number: str = ""
    suspension: Suspension | None = None

    @property
    def qualified(self) -> bool:
        """The person could do the task alone."""
        return self.standing.may_work_alone


def answer(
    terms: Sequence[HeldTerm],
    suspensions: Sequence[Suspension],
    day: date,
    *,
    known: datetime | None = None,
) -> Answer:
    """Return where a person stood with a task on a day.

    Args:
        terms: all qualifications of the person for the task.
        suspensions: all suspensions of the person for the task.
        day: the day asked about.
        known: only what was written down up to this moment counts; None is all that is known.
    """
    told = [term for term in terms if known is None or term.signed_at <= known]
    begun = sorted((term for term in told if term.valid_from <= day), key=lambda term: term.signed_at)
    if not begun:
        return Answer(Standing.NOT_ASSIGNED)
    running = next((term for term in reversed(begun) if term.holds_on(day, known)), None)
    held_back = next((item for item in reversed(suspensions) if item.covers(day, known=known)), None)
    number = (running or begun[-1]).number
    if held_back is not None:
        return Answer(Standing.SUSPENDED, number, held_back)
    return Answer(Standing.SIGNED if running else Standing.LAPSED, number)
