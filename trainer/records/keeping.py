"""How long a qualification record is kept (49 CFR 192.807(b), read through a State rule that repeats it).

Records of the current qualification are kept while the person does the task; those of prior qualifications, and of
people who no longer do the task, for five years. That the five years begin when the qualification was superseded,
ended or given up is our reading; that 29 February becomes 1 March, never a day earlier, is a house rule.
"""

from __future__ import annotations

from datetime import date

YEARS = 5


def keep_until(*, current: bool, ended_on: date | None) -> date | None:
    """Return the first day on which a record might be destroyed, None while nobody may think of it.

    Args:
        current: it is the newest qualification of a person who still does the task, in date or lapsed.
        ended_on: the day it was superseded, withdrawn, or the person stopped doing the task.
    """
    if current or ended_on is None:
        return None
    return _years_later(ended_on, YEARS)


def _years_later(day: date, years: int) -> date:
    try:
        return day.replace(year=day.year + years)
    except ValueError:  # 29 February
        return date(day.year + years, 3, 1)
