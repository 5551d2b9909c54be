from __future__ import annotations

from datetime import UTC, date, datetime

from trainer.exports.words import day, listed, moment, pieces, short_revision


def test_days_and_moments() -> None:
    assert day(date(2027, 3, 8)) == "2027-03-08"
    assert moment(datetime(2027, 3, 8, 4, 5, 59, tzinfo=UTC)) == "2027-03-08 04:05 UTC"


def test_nothing_is_a_dash() -> None:
    assert short_revision("") == "–"
    assert listed([]) == "–"


def test_revisions_are_cut_and_lists_joined() -> None:
    assert short_revision("0123456789abcdef") == "0123456789ab"
    assert listed(["DN 50", "DN 80"]) == "DN 50, DN 80"


def test_pieces_keep_every_word_and_fit() -> None:
    text = " ".join(f"word{number}" for number in range(500))
    found = pieces(text, 100)
    assert " ".join(found) == text
    assert max(map(len, found)) <= 101
    assert pieces("") == [""]
    assert pieces("x" * 300, 100) == ["x" * 300]
