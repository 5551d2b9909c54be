"""How long a qualification record is kept (49 CFR 192.807(b), read through a State rule that repeats it).

Records of the current qualification are kept while the person does the task; those of prior qualifications, and of
people who no longer do the task, for five years. That the five years begin when the qualification was superseded,
ended or given up is our reading; that 29 February becomes 1 March, never a day earlier, is a house rule.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

YEARS = 5
CONFIRMED = "keeping:confirm"


def keep_until(*, current: bool, ended_on: date | None) -> date | None:
    """Return the first day on which a record might be destroyed, None while nobody may think of it.

    Args:
        current: it is the newest qualification of a person who still does the task, in date or lapsed.
        ended_on: the day it was superseded, withdrawn, or the person stopped doing the task.
    """
    if current or ended_on is None:
        return None
    return _years_later(ended_on, YEARS)


class Word(StrEnum):
    """What somebody said about the end of keeping."""

    PROPOSED = "proposed"
    CONFIRMED = "confirmed"
    HELD = "held"
    LIFTED = "lifted"


@dataclass(frozen=True)
class TaskKept:
    """What is kept of one person at one covered task, as far as its keeping is concerned.

    `ends` are the days on which its qualifications ended, one that nothing ended on the day after its last; `runs_until` is
    the last day of one that holds today; `done_on` the day from which the person does the task no more, None while they
    do; `held_because` the reason of an open hold, "" without one.
    """

    ends: tuple[date, ...]
    runs_until: date | None
    done_on: date | None
    held_because: str = ""

    @property
    def earliest(self) -> date | None:
        """The first day on which all of it might be destroyed: the latest end and five years; None while there is none."""
        if self.done_on is None:
            return None
        return keep_until(current=False, ended_on=max((self.done_on, *self.ends)))

    def why_kept(self, today: date) -> str | None:
        """Return in one sentence why none of it is destroyed today, None when it may be."""
        if self.runs_until is not None:
            return f"A qualification runs until {self.runs_until.isoformat()}; what it stands on is kept."
        if self.earliest is None:
            return "This person still does the task; what is kept about it stays (49 CFR 192.807(b))."
        if self.held_because:
            return f"It is held: {self.held_because}"
        if today < self.earliest:
            return f"It is kept until {self.earliest.isoformat()} at least: five years from its end (49 CFR 192.807(b))."
        return None


def end_of(last_day: date, ended_on: date | None) -> date:
    """Return the first day on which a qualification held no more."""
    return ended_on or last_day + timedelta(days=1)


def _years_later(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return date(day.year + years, 3, 1)
