"""Days counted by hand from 49 CFR 192.807(b); 29 February rounded up is a house rule."""

from __future__ import annotations

from datetime import date

import pytest

from trainer.records.keeping import keep_until


@pytest.mark.parametrize(
    ("current", "ended_on", "expected"),
    [
        (True, None, None),  # does the task: never
        (True, date(2026, 1, 5), None),
        (False, date(2026, 1, 5), date(2031, 1, 5)),  # superseded
        (False, date(2026, 3, 31), date(2031, 3, 31)),  # no longer does the task
        (False, date(2024, 2, 29), date(2029, 3, 1)),  # rounded up, never down
        (False, date(2023, 2, 28), date(2028, 2, 28)),
        (False, None, None),  # no end is known: the clock has not begun
    ],
)
def test_how_long_a_record_is_kept(current: bool, ended_on: date | None, expected: date | None) -> None:
    assert keep_until(current=current, ended_on=ended_on) == expected
