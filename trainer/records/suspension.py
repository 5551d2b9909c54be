"""A suspension: from a day a person counts as not qualified for a task, until evaluated again or lifted as unfounded.

49 CFR 192.805(d) and (e), read through their twins 195.505(d) and (e): evaluate again whoever may have contributed to an
incident by the work, and whoever there is reason to think is no longer qualified. That the days of a suspension count
as not qualified even when it was unfounded, and that it takes another supervisor to lift one, are house rules
(common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

_DAY = timedelta(days=1)


class Cause(StrEnum):
    """Why somebody is suspended."""

    INCIDENT = "incident"
    REASONABLE_CAUSE = "reasonable_cause"
    CHANGE = "change"

    @property
    def words(self) -> str:
        """The cause in words, with its paragraph."""
        return _CAUSES[self]


_CAUSES = {
    Cause.INCIDENT: "work may have contributed to an incident (192.805(d))",
    Cause.REASONABLE_CAUSE: "reason to think no longer qualified (192.805(e))",
    Cause.CHANGE: "a change of the task that has to be learned first (192.805(f))",
}
LIFTED_BY_ANOTHER = "Only another supervisor lifts a suspension (house rule: two people)."


@dataclass(frozen=True)
class Suspension:
    """A suspension with its end, if it has one; `ended_on` is the first day on which it holds no more.

    `demand` is the number of the change that was not shown in time, or with `failed` was found not shown; 0 for what a
    supervisor suspended. Nobody lifts those of a change: showing it or being evaluated anew ends them.
    """

    id: int
    person_id: str
    task_id: str
    cause: Cause
    from_day: date
    reason: str
    number: str
    by: str
    by_name: str
    at: datetime
    ended_on: date | None = None
    ended_how: str = ""
    ended_reason: str = ""
    ended_by_name: str = ""
    ended_at: datetime | None = None
    demand: int = 0
    failed: bool = False

    @property
    def is_open(self) -> bool:
        """Nothing has ended it yet."""
        return self.ended_on is None

    def covers(self, day: date, *, known: datetime | None = None) -> bool:
        """Return whether it holds on a day, by all that is known or by what was known at a moment."""
        if known is not None and self.at > known:
            return False
        ended = self.ended_on
        if known is not None and self.ended_at is not None and self.ended_at > known:
            ended = None
        return self.from_day <= day and (ended is None or day < ended)


def on(suspensions: Iterable[Suspension], day: date) -> Suspension | None:
    """Return the suspension that holds on a day, the newest of several, or None."""
    found = [item for item in suspensions if item.covers(day)]
    return max(found, key=lambda item: item.at, default=None)


def spans_without(
    first: date, last: date, suspensions: Iterable[Suspension]
) -> tuple[tuple[date, date], ...]:
    """Return the stretches, both days included, of a term that no suspension covers, in their order."""
    stretches = [(first, last)] if first <= last else []
    for item in suspensions:
        # The last day of all when nothing has ended it; a suspension that ended on its first day covers none.
        until = item.ended_on - _DAY if item.ended_on else date.max
        if until < item.from_day:
            continue
        cut: list[tuple[date, date]] = []
        for begin, end in stretches:
            if until < begin or end < item.from_day:
                cut.append((begin, end))
                continue
            if begin < item.from_day:
                cut.append((begin, item.from_day - _DAY))
            if until < end:
                cut.append((until + _DAY, end))
        stretches = cut
    return tuple(sorted(stretches))
