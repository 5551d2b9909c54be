"""The calendar, read back by a parser that did not write it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

import icalendar
import pytest

from trainer.exports.calendar_feed import DayEvent, feed

STAMP = datetime(2027, 3, 18, 8, 41, tzinfo=UTC)


def _read(data: bytes) -> Any:
    return icalendar.Calendar.from_ical(data)


TEXTS = [
    "My last day: T-31 Overhaul a pilot-loaded main valve",
    "Commas, semicolons; back\\slashes and\nlines",
    "\\n is no line",
    "Überdruck – " * 20,
    "€" * 75,
    "x" * 74 + "é",
    "",
    "a:b",
    'with "marks"',
]


def _event(text: str = "T-31", **changes: object) -> DayEvent:
    values: dict[str, object] = {
        "uid": "QR-2027-0001@records.example",
        "day": date(2030, 3, 17),
        "stamp": STAMP,
        "summary": text,
        "description": text,
    }
    return DayEvent(**{**values, **changes})  # type: ignore[arg-type]  # tests change any field


@pytest.mark.parametrize("text", TEXTS)
def test_another_program_reads_what_was_written(text: str) -> None:
    found = _read(feed("Qualifications", "Quillmarsh (invented)", [_event(text)]))
    assert found["VERSION"] == "2.0"
    assert str(found["X-WR-CALNAME"]) == "Qualifications"
    [event] = found.walk("VEVENT")
    assert (str(event["SUMMARY"]), str(event["DESCRIPTION"])) == (text, text)
    assert event["DTSTART"].dt == date(2030, 3, 17)
    assert event["DTEND"].dt == date(2030, 3, 18)
    assert event["DTSTAMP"].dt == STAMP
    assert event.errors == []


@pytest.mark.parametrize("text", TEXTS)
def test_no_line_is_longer_than_75_octets_and_each_ends_as_it_must(text: str) -> None:
    # RFC 5545, 3.1.
    data = feed("Q", "C", [_event(text)])
    assert data.endswith(b"END:VCALENDAR\r\n")
    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    assert b"\n" not in b"".join(lines)
    for line in lines:
        line.decode()  # no letter is cut


def test_texts_are_marked_as_the_standard_has_it() -> None:
    # RFC 5545, 3.3.11: its own example of a description.
    wanted = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    data = feed("Q", "C", [_event("x", description=wanted)])
    unfolded = data.replace(b"\r\n ", b"")
    assert b"DESCRIPTION:Project XYZ Final Review\\nConference Room - 3B\\nCome Prepared.\r\n" in unfolded


def test_a_folded_line_is_that_of_the_standard() -> None:
    # RFC 5545, 3.1: a long line is cut by a line end and one space, which reading takes out again.
    data = feed("Q", "C", [_event("x", summary="y" * 200)])
    assert b"SUMMARY:" + b"y" * 67 + b"\r\n " + b"y" * 74 + b"\r\n " + b"y" * 59 + b"\r\n" in data


def test_control_signs_are_left_out_and_events_are_told_in_order() -> None:
    data = feed("Q\x07", "C", [_event("a\x00b"), _event("c", uid="other", sequence=1)])
    events = _read(data).walk("VEVENT")
    assert [str(event["SUMMARY"]) for event in events] == ["ab", "c"]
    assert [int(event["SEQUENCE"]) for event in events] == [0, 1]
    assert b"\x07" not in data


def test_the_same_state_gives_the_same_bytes() -> None:
    assert feed("Q", "C", [_event()]) == feed("Q", "C", [_event()])
    assert _read(feed("Q", "C", [])).walk("VEVENT") == []
