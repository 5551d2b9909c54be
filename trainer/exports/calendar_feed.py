"""A calendar that other programs read by themselves: all-day events as RFC 5545 has them.

The writer is our own: it is these lines, and a library would be far more. Every moment in it comes from the data, so
that the same state gives the same bytes and a program that asks again sees that nothing changed.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import UTC, timedelta
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import date, datetime

MEDIA_TYPE = "text/calendar; charset=utf-8"
ENDING = "ics"
# 3.1: a line has 75 octets at most, without its end.
_LONGEST = 75


@dataclass(frozen=True)
class DayEvent:
    """Something that is on a day.

    `uid` is its name for ever; `stamp` the moment it was last told anew, `sequence` how often that was.
    """

    uid: str
    day: date
    stamp: datetime
    summary: str
    description: str
    sequence: int = 0


def feed(name: str, publisher: str, events: Iterable[DayEvent]) -> bytes:
    """Return the calendar.

    Args:
        name: what calendar programs call it.
        publisher: whose it is.
        events: in the order in which they are to stand.
    """
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:-//{_text(publisher)}//Qualification records//EN",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        # RFC 7986, 5.1 and 5.7; the X name is what programs read that are older than it.
        f"NAME:{_text(name)}",
        f"X-WR-CALNAME:{_text(name)}",
        "REFRESH-INTERVAL;VALUE=DURATION:P1D",
        *(line for event in events for line in _event(event)),
        "END:VCALENDAR",
    ]
    return "".join(f"{_folded(line)}\r\n" for line in lines).encode()


def _event(event: DayEvent) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{_text(event.uid)}"
    yield f"DTSTAMP:{event.stamp.astimezone(UTC):%Y%m%dT%H%M%SZ}"
    yield f"DTSTART;VALUE=DATE:{event.day:%Y%m%d}"
    # 3.6.1: the end is the first day that is no longer part of it.
    yield f"DTEND;VALUE=DATE:{event.day + timedelta(days=1):%Y%m%d}"
    yield f"SEQUENCE:{event.sequence}"
    yield f"SUMMARY:{_text(event.summary)}"
    yield f"DESCRIPTION:{_text(event.description)}"
    # The day is not taken by it.
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _text(text: str) -> str:
    """Return a text as a value (3.3.11): marks that part values are marked, control signs are left out."""
    one = unicodedata.normalize("NFC", text).replace("\r\n", "\n").replace("\r", "\n")
    kept = "".join(sign for sign in one if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cs"))
    marked = kept.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")
    return marked.replace("\n", "\\n")


def _folded(line: str) -> str:
    """Return a line cut into lines of 75 octets, never inside a letter; each further one begins with a space."""
    pieces, used = [""], 0
    for sign in line:
        wide = len(sign.encode())
        if used + wide > _LONGEST:
            pieces.append(" ")
            used = 1
        pieces[-1] += sign
        used += wide
    return "\r\n".join(pieces)
