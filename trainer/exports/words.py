"""How the sheets write days, moments, revisions and long texts."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

NOTHING = "–"
_REVISION_SHOWN = 12
# A text of this length takes a quarter of a sheet at most; a longer one is set in several pieces.
_PIECE = 1100


def day(value: date) -> str:
    """Return the date as every sheet writes it: year-month-day."""
    return value.isoformat()


def moment(value: datetime) -> str:
    """Return a moment to the minute, in UTC as it was kept."""
    return f"{value:%Y-%m-%d %H:%M} UTC"


def short_revision(revision: str) -> str:
    """Return the start of a revision's hash, long enough to tell revisions apart; a dash for none."""
    return revision[:_REVISION_SHOWN] or NOTHING


def listed(names: Iterable[str]) -> str:
    """Return the names parted by commas; a dash for none."""
    return ", ".join(names) or NOTHING


def document_number(kind: str, crew: str, on: date) -> str:
    """Return the number of a crew's paper: letters of its kind, the first letters of the crew's name, the day."""
    return f"{kind}-{''.join(word[0] for word in crew.split()).upper()}-{on:%Y%m%d}"


def pieces(text: str, longest: int = _PIECE) -> list[str]:
    """Return the text in pieces that each fit a sheet, cut between words; one empty piece for no text."""
    found = [""]
    for word in text.split(" "):
        if found[-1] and len(found[-1]) + len(word) > longest:
            found.append("")
        found[-1] = f"{found[-1]} {word}".strip()
    return found
