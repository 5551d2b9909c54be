"""Months added by the calendar, never as 30 days."""

from __future__ import annotations

import calendar
from datetime import date


def add_months(day: date, months: int) -> date:
    """Return the corresponding day `months` later, or the last of the month where it does not exist.

    Source: PHMSA interpretation PI-92-052 (on or before the corresponding day); the last of the month is the
        careful reading, common practice, no source.
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))
