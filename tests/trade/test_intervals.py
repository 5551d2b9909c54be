"""Due dates: the calendar year, the corresponding day, and a history with a gap."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.dates import add_months
from trainer.trade.intervals import (
    INTERVALS,
    Interval,
    IntervalUnknown,
    NoVisits,
    first_gap,
    interval,
    next_due,
)
from trainer.trade.refusals import NotPositive

STATIONS = (
    "49 CFR 192.739(a) wording 'at intervals not exceeding 15 months, but at least once each calendar year' (same text "
    "in 16 NYCRR 255.739(a), Haw. Code R. 6-77-192 and 49 CFR 192.731(c))"
)


@pytest.mark.parametrize(
    ("rule", "last", "expected"),
    [
        pytest.param("regulator-station", "2024-03-15", "2025-06-15", id="due-15mo-mid"),
        pytest.param("regulator-station", "2024-01-01", "2025-04-01", id="due-15mo-jan1"),
        # 15 months alone, still inside the year.
        pytest.param("regulator-station", "2024-09-30", "2025-12-30", id="due-15mo-sep30"),
        # 15 months alone would allow 2026-01-01: the calendar year bites.
        pytest.param("regulator-station", "2024-10-01", "2025-12-31", id="due-15mo-oct1"),
        pytest.param("regulator-station", "2024-12-31", "2025-12-31", id="last day of the year"),
        pytest.param("regulator-station", "2024-02-29", "2025-05-29", id="due-15mo-leap"),
        # 31 November does not exist: 30 November, the careful reading.
        pytest.param("regulator-station", "2023-08-31", "2024-11-30", id="due-15mo-aug31"),
        # 49 CFR 192.740(b): once every 3 calendar years, not over 39 months.
        pytest.param("service-regulator", "2022-06-10", "2025-09-10", id="due-39mo-a"),
        pytest.param("service-regulator", "2022-11-10", "2025-12-31", id="39 months, year bites"),
        # PHMSA interpretation PI-92-052 (Oct 1, 1992) on 192.723(b)(2): on or before the corresponding day.
        pytest.param("five-years", "2020-05-14", "2025-05-14", id="due-5yr"),
        # FAA AC 43.13-1B para 7-40 (torque wrench calibration), as quoted: at least once a year.
        pytest.param("torque-wrench", "2025-02-28", "2026-02-28", id="calib-torque-wrench"),
        pytest.param("relief-capacity", "2024-03-15", "2025-06-15", id="49 CFR 192.743"),
        pytest.param("compressor-shutdown", "2024-10-02", "2025-12-31", id="49 CFR 192.731(c)"),
        pytest.param("new-york-station", "2024-01-31", "2024-02-29", id="16 NYCRR 255.739(d)"),
    ],
)
def test_next_due(rule: str, last: str, expected: str) -> None:
    # Source: STATIONS unless another stands above.
    chosen = interval(rule)
    due = next_due(date.fromisoformat(last), chosen.months, chosen.calendar_years)
    assert due == date.fromisoformat(expected)
    assert chosen.source


def test_the_default_is_the_station_rule() -> None:
    assert next_due(date(2024, 10, 1)) == date(2025, 12, 31)


@given(st.dates(date(1990, 1, 1), date(2090, 12, 31)))
def test_due_is_in_the_next_calendar_year_and_not_over_fifteen_months(last: date) -> None:
    due = next_due(last)
    assert due.year == last.year + 1
    assert due <= add_months(last, 15)
    assert due in (add_months(last, 15), date(last.year + 1, 12, 31))


def test_an_early_second_visit_does_not_stand_for_the_year_after() -> None:
    # Two visits in 2024 and none in 2025: the second counts from its own day.
    visits = [date(2024, 3, 15), date(2024, 11, 20), date(2026, 1, 10)]
    gap = first_gap(visits, INTERVALS["regulator-station"])
    assert gap is not None
    assert (gap.before, gap.due) == (date(2024, 11, 20), date(2025, 12, 31))
    assert gap.sentence == (
        "After 2024-11-20 the next visit was due by 2025-12-31; it took place on 2026-01-10."
    )


def test_a_history_without_gap_in_any_order() -> None:
    visits = [date(2026, 5, 1), date(2024, 3, 15), date(2025, 6, 15)]
    assert first_gap(visits, INTERVALS["regulator-station"]) is None


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(
        IntervalUnknown, match="'weekly' is not a known interval; known are regulator-station"
    ):
        interval("weekly")
    with pytest.raises(NotPositive, match="number of months"):
        next_due(date(2024, 1, 1), 0)
    with pytest.raises(NotPositive, match="calendar years"):
        next_due(date(2024, 1, 1), 15, 0)
    with pytest.raises(NoVisits):
        first_gap([], Interval("x", 15, 1, "test"))
