"""Dates of qualification: months added by the calendar, never as 30 days."""

from __future__ import annotations

import calendar
from datetime import date


def add_months(day: date, months: int) -> date:
    """Return the same day `months` later; the last day of the month where that day does not exist.

    31 August + 6 months is 28 or 29 February (common practice, no source).
    """
    count = day.year * 12 + day.month - 1 + months
    year, month = divmod(count, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(day.day, last))
