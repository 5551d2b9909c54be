"""Months by the calendar."""

from __future__ import annotations

from datetime import date

import pytest

from trainer.dates import add_months


@pytest.mark.parametrize(
    ("day", "months", "expected"),
    [
        (date(2026, 11, 25), 12, date(2027, 11, 25)),
        (date(2026, 8, 31), 6, date(2027, 2, 28)),
        (date(2027, 8, 31), 6, date(2028, 2, 29)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2026, 8, 31), 15, date(2027, 11, 30)),
        (date(2026, 1, 31), -2, date(2025, 11, 30)),
        (date(2026, 12, 31), 0, date(2026, 12, 31)),
    ],
)
def test_the_day_stays_or_becomes_the_last_of_the_month(day: date, months: int, expected: date) -> None:
    # Common practice, no source: the last day of the month where the day does not exist.
    assert add_months(day, months) == expected
