"""Who was qualified on a day, by all that is known and by what was known then; every day counted on paper."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.records import suspension
from trainer.records.qualification import Standing
from trainer.records.qualified_on import Answer, HeldTerm, answer
from trainer.records.suspension import Cause, Suspension


def _at(day: date, hour: int = 12) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=UTC)


def _end_of(day: date) -> datetime:
    return _at(day, 0) + timedelta(days=1) - timedelta(microseconds=1)


FIRST = HeldTerm("QR-1", date(2026, 1, 5), date(2029, 1, 5), _at(date(2026, 1, 5)))
RENEWED_ON = date(2028, 12, 20)
FIRST_ENDED = replace(FIRST, ended_on=RENEWED_ON, end_known_at=_at(RENEWED_ON))
SECOND = HeldTerm("QR-2", RENEWED_ON, date(2031, 12, 1), _at(RENEWED_ON))
# Found out on the tenth that the work of the third may have contributed.
SUSPENDED = Suspension(
    1,
    "P-1",
    "T-1",
    Cause.INCIDENT,
    date(2027, 6, 3),
    "Gas was let into an open body.",
    "QR-1",
    "P-9",
    "Ruth Example",
    _at(date(2027, 6, 10)),
)
LIFTED = replace(SUSPENDED, ended_on=date(2027, 7, 1), ended_how="lifted", ended_at=_at(date(2027, 7, 1)))


@pytest.mark.parametrize(
    ("day", "standing", "number"),
    [
        (date(2026, 1, 4), Standing.NOT_ASSIGNED, ""),
        (date(2026, 1, 5), Standing.SIGNED, "QR-1"),
        (date(2028, 12, 19), Standing.SIGNED, "QR-1"),
        (date(2028, 12, 20), Standing.SIGNED, "QR-2"),
        (date(2031, 12, 1), Standing.SIGNED, "QR-2"),
        (date(2031, 12, 2), Standing.LAPSED, "QR-2"),
    ],
)
def test_each_day_has_its_record(day: date, standing: Standing, number: str) -> None:
    assert answer([SECOND, FIRST_ENDED], [], day) == Answer(standing, number)


@pytest.mark.parametrize(
    ("day", "now_known", "known_that_day"),
    [
        (date(2027, 6, 2), Standing.SIGNED, Standing.SIGNED),
        (date(2027, 6, 3), Standing.SUSPENDED, Standing.SIGNED),
        (date(2027, 6, 9), Standing.SUSPENDED, Standing.SIGNED),
        (date(2027, 6, 10), Standing.SUSPENDED, Standing.SUSPENDED),
        (date(2027, 6, 30), Standing.SUSPENDED, Standing.SUSPENDED),
        (date(2027, 7, 1), Standing.SIGNED, Standing.SIGNED),
    ],
)
def test_what_was_found_out_later_does_not_change_what_was_known(
    day: date, now_known: Standing, known_that_day: Standing
) -> None:
    assert answer([FIRST], [LIFTED], day).standing is now_known
    assert answer([FIRST], [LIFTED], day, known=_end_of(day)).standing is known_that_day


def test_an_open_suspension_goes_on_and_goes_before_a_lapse() -> None:
    assert answer([FIRST], [SUSPENDED], date(2028, 1, 1)).suspension == SUSPENDED
    assert answer([FIRST], [SUSPENDED], date(2030, 1, 1)).standing is Standing.SUSPENDED


def test_the_end_of_a_term_counts_from_when_it_was_written_down() -> None:
    withdrawn = replace(FIRST, ended_on=date(2027, 2, 1), end_known_at=_at(date(2027, 2, 1)))
    assert not answer([withdrawn], [], date(2027, 2, 1)).qualified
    assert answer([withdrawn], [], date(2027, 2, 1), known=_at(date(2027, 2, 1), 11)).qualified


def test_a_record_signed_later_was_not_known() -> None:
    day = date(2028, 12, 20)
    before = _at(day, 8)
    assert answer([SECOND, FIRST_ENDED], [], day, known=before) == Answer(Standing.SIGNED, "QR-1")


def test_the_newest_of_several_suspensions_is_told() -> None:
    other = replace(SUSPENDED, id=2, at=_at(date(2027, 6, 20)), from_day=date(2027, 6, 15))
    assert suspension.on([other, SUSPENDED], date(2027, 6, 25)) == other
    assert suspension.on([other, SUSPENDED], date(2027, 6, 4)) == SUSPENDED
    assert suspension.on([other, SUSPENDED], date(2027, 6, 2)) is None


@given(
    st.lists(
        st.tuples(st.integers(0, 40), st.one_of(st.none(), st.integers(0, 20))),
        max_size=4,
    )
)
def test_the_stretches_are_the_days_that_no_suspension_covers(told: list[tuple[int, int | None]]) -> None:
    """Judged day by day."""
    first, last = date(2027, 1, 10), date(2027, 2, 10)
    cuts = [
        replace(
            SUSPENDED,
            from_day=date(2027, 1, 1) + timedelta(days=start),
            ended_on=None if long is None else date(2027, 1, 1) + timedelta(days=start + long),
        )
        for start, long in told
    ]
    days = {first + timedelta(days=n) for n in range((last - first).days + 1)}
    expected = {day for day in days if not any(cut.covers(day) for cut in cuts)}
    spans = suspension.spans_without(first, last, cuts)
    found = [start + timedelta(days=n) for start, end in spans for n in range((end - start).days + 1)]
    assert len(found) == len(set(found))
    assert set(found) == expected
