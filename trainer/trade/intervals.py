"""When an inspection falls due again: months by the calendar, and the calendar year that must not be skipped.

"Not exceeding 15 months, but at least once each calendar year" is two limits, and the earlier one counts:
15 months alone would let an October visit slip into the year after next. The due day is the corresponding day,
not a count of days, and the last day of the month where that day does not exist.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from trainer.dates import add_months
from trainer.errors import TrainerError
from trainer.trade.refusals import NotPositive

if TYPE_CHECKING:
    from collections.abc import Iterable


@dataclass(frozen=True)
class Interval:
    """Most months between two visits, and the calendar years of which each needs one (None: no such limit)."""

    name: str
    months: int
    calendar_years: int | None
    source: str


INTERVALS: dict[str, Interval] = {
    interval.name: interval
    for interval in (
        Interval(
            "regulator-station",
            15,
            1,
            "49 CFR 192.739(a), read in the same text of 16 NYCRR 255.739(a) and Haw. Code R. 6-77-192: "
            "pressure limiting and regulating stations, relief devices except rupture discs",
        ),
        Interval(
            "relief-capacity",
            15,
            1,
            "49 CFR 192.743, read as Haw. Code R. 6-77-194 (older wording): capacity of relief devices",
        ),
        Interval("compressor-shutdown", 15, 1, "49 CFR 192.731(c): remote control shutdown devices"),
        Interval(
            "service-regulator",
            39,
            3,
            "49 CFR 192.740(b): service-line regulators off transmission or regulated gathering lines",
        ),
        Interval(
            "five-years",
            60,
            None,
            "PHMSA interpretation PI-92-052 (Oct 1, 1992) on 192.723(b)(2): corresponding day",
        ),
        Interval(
            "torque-wrench",
            12,
            None,
            "FAA AC 43.13-1B para 7-40, as quoted: once a year, or at once after abuse or a drop",
        ),
        Interval(
            "new-york-station",
            1,
            None,
            "16 NYCRR 255.739(d): operating condition of regulator stations, once each month, New York only",
        ),
    )
}
"""Published intervals by name."""


class IntervalUnknown(TrainerError):
    """No interval of this name."""

    def __init__(self, name: str) -> None:
        super().__init__(f"'{name}' is not a known interval; known are {', '.join(INTERVALS)}.")


class NoVisits(TrainerError):
    """Nothing to judge."""

    def __init__(self) -> None:
        super().__init__("A history needs at least one visit.")


@dataclass(frozen=True)
class Gap:
    """Two visits too far apart: the due day between them that passed."""

    before: date
    after: date
    due: date

    @property
    def sentence(self) -> str:
        """The gap in words."""
        return f"After {self.before} the next visit was due by {self.due}; it took place on {self.after}."


def interval(name: str) -> Interval:
    """Return a published interval.

    Raises:
        IntervalUnknown: no interval of this name.
    """
    if name not in INTERVALS:
        raise IntervalUnknown(name)
    return INTERVALS[name]


def next_due(last: date, months: int = 15, calendar_years: int | None = 1) -> date:
    """Return the day by which the next visit has to take place.

    Args:
        last: the latest visit. A second visit in one year counts from its own day, it does not stand for the
            year after.
        months: most months between two visits.
        calendar_years: each so many calendar years need a visit: 1 for each year, 3 for once in three years.

    Source: 49 CFR 192.739(a), "at intervals not exceeding 15 months, but at least once each calendar year";
        49 CFR 192.740(b) with 39 months and 3 years.
    """
    if months < 1:
        raise NotPositive("number of months", months)
    by_months = add_months(last, months)
    if calendar_years is None:
        return by_months
    if calendar_years < 1:
        raise NotPositive("number of calendar years", calendar_years)
    return min(by_months, date(last.year + calendar_years, 12, 31))


def first_gap(visits: Iterable[date], rule: Interval) -> Gap | None:
    """Return the first two visits that lie too far apart for a rule, or None.

    Raises:
        NoVisits: the history is empty.

    Source: the rule's.
    """
    history = sorted(visits)
    if not history:
        raise NoVisits
    for before, after in itertools.pairwise(history):
        due = next_due(before, rule.months, rule.calendar_years)
        if after > due:
            return Gap(before, after, due)
    return None
