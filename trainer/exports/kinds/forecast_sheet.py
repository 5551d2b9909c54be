"""The forecast of a crew: what falls short when, task by task over the weeks, and what ends."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Cell, Column, ListSheet, Part, State, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day
from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from datetime import date

    from trainer.exports.cover_packets import ForecastPacket, TaskOverTime

NAME = "forecast_sheet"
TITLE = "Forecast"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew, with '/ 26' behind it for so many weeks: 4, 13, 26 or 52; 13 without it"

_ENOUGH, _SHORT, _NOBODY = Standing.SIGNED, Standing.LAPSED, Standing.SUSPENDED
_KEY = (
    State(_ENOUGH, "3", "as many as are needed, or more"),
    State(_SHORT, "1", "fewer than are needed"),
    State(_NOBODY, "0", "nobody may do it alone"),
)
_FALLS = (Column("From", 13, bold=True), Column("Short then", 52), Column("What ended the day before", 35))
_ENDS = (Column("Last day", 13, bold=True), Column("Name", 35), Column("Task", 52))
# So many days of the weeks ahead have a column each.
_DAYS = 13


def write(packet: ForecastPacket, *, paper: str) -> bytes:
    """Return the forecast as PDF, dated by its day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    head = packet.head
    days = [head.on + timedelta(days=packet.weeks * 7 * n // (_DAYS - 1)) for n in range(_DAYS)]
    until = days[-1]
    rows = [("Today", words, "") for words in packet.already]
    rows += [(day(on), short, ended) for on, short, ended in packet.falls]
    sheet = ListSheet(
        heading="Below what is needed",
        columns=_FALLS,
        rows=tuple(rows),
        nothing=f"Nothing falls short until {day(until)}.",
        more=(
            Part(
                "How many may do each task alone",
                _columns(days),
                tuple(_row(track, days) for track in packet.tracks),
                "No covered task is on the crew sheet.",
            ),
            Part(
                f"What ends until {day(until)}",
                _ENDS,
                tuple((day(last), name, task) for last, name, task in packet.endings),
                "Nothing that anybody holds today.",
            ),
        ),
        key=_KEY,
    )
    block = TitleBlock(
        legal_owner=head.company,
        title=f"{TITLE}, {head.crew}",
        subtitle=f"{packet.weeks} weeks, {day(head.on)} to {day(until)}",
        number=head.number,
        type=TITLE,
        date=head.on,
        issued_by=head.issued_by,
        approved_by="",
    )
    return written(sheet, block, on=head.on, paper=paper)


def _columns(days: list[date]) -> tuple[Column, ...]:
    named = (Column("Task", 28), Column("Needed", 7, numeric=True))
    return (*named, *(Column(f"{on:%m-%d}", 65 / _DAYS) for on in days))


def _row(track: TaskOverTime, days: list[date]) -> tuple[Cell, ...]:
    return (track.task, str(track.needed), *(_state(track, on) for on in days))


def _state(track: TaskOverTime, on: date) -> State:
    have = track.on(on)
    standing = _ENOUGH if have >= track.needed else _SHORT if have else _NOBODY
    return State(standing, str(have), f"{have} of {track.needed} on {day(on)}")
