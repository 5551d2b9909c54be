"""How values are printed."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from trainer.web import filters


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("Gas at 8 bar pushes with 7 kN", "Gas at 8\xa0bar pushes with 7\xa0kN"),
        ("60\u202fN·m", "60\xa0N·m"),
        ("passes 30 %, 60 %", "passes 30\xa0%, 60\xa0%"),
        ("DN 80 and NPS 3", "DN\xa080 and NPS\xa03"),
        ("8 barrels, 3 nuts, 2 minutes", "8 barrels, 3 nuts, 2 minutes"),
    ],
)
def test_number_and_unit_stay_together(text: str, shown: str) -> None:
    assert filters.units_close(text) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("The cover lifts. Gas stands over it.", "<b>The cover lifts.</b> Gas stands over it."),
        ("One sentence", "<b>One sentence</b>"),
        ("Wait 1.5 min. Then open.", "<b>Wait 1.5\xa0min.</b> Then open."),
        ("<i>No markup. None.", "<b>&lt;i&gt;No markup.</b> None."),
    ],
)
def test_the_first_sentence_stands_out(text: str, shown: str) -> None:
    assert filters.first_sentence_bold(text) == shown


def test_days_and_times() -> None:
    assert filters.day(date(2027, 3, 22)) == "2027-03-22"
    assert filters.day(datetime(2027, 3, 22, 14, 32, tzinfo=UTC)) == "2027-03-22"
    assert filters.month_day(date(2027, 3, 22)) == "03-22"
    assert filters.moment(datetime(2027, 3, 22, 14, 32, tzinfo=UTC)) == "2027-03-22 14:32"
    assert (filters.day(None), filters.month_day(None), filters.moment(None)) == ("", "", "")


def test_counts_and_line_breaks() -> None:
    assert filters.count(1, "module") == "1 module"
    assert filters.count(2, "module") == "2 modules"
    assert filters.count(0, "person", "people") == "0 people"
    assert filters.with_breaks("a <b>\nb") == "a &lt;b&gt;<br>b"
