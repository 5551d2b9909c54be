"""The cover of a crew on a day: who may do what alone, and what falls short when one person is away."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Column, ListSheet, Part, State, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day
from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from trainer.exports.cover_packets import CoverPacket

NAME = "cover_sheet"
TITLE = "Cover sheet"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew"

_SPARE, _JUST, _SHORT, _NOBODY = Standing.SIGNED, Standing.ENDS_SOON, Standing.LAPSED, Standing.SUSPENDED
_KEY = (
    State(_SPARE, "3", "more than are needed"),
    State(_JUST, "2", "as many as are needed: nobody may be away"),
    State(_SHORT, "1", "fewer than are needed"),
    State(_NOBODY, "0", "nobody may do it alone"),
)
_TASKS = (Column("Task", 36), Column("Needed", 8, numeric=True), Column("There", 10), Column("Who", 46))
_HINGES = (Column("Away", 28, bold=True), Column("What falls short", 72))


def write(packet: CoverPacket, *, paper: str) -> bytes:
    """Return the cover sheet as PDF, dated by its day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    head = packet.head
    sheet = ListSheet(
        heading=f"Who may do what alone on {day(head.on)}",
        columns=_TASKS,
        rows=tuple(
            (task, str(needed), _state(len(names), needed), ", ".join(names) or "nobody")
            for task, needed, names in packet.tasks
        ),
        nothing="No covered task is on the crew sheet.",
        told=(f"Short with everybody there: {'; '.join(packet.short)}.",) if packet.short else (),
        more=(Part("If one person is away", _HINGES, packet.hinges, "Nothing more falls short."),),
        key=_KEY,
    )
    block = TitleBlock(
        legal_owner=head.company,
        title=f"{TITLE}, {head.crew}",
        number=head.number,
        type=TITLE,
        date=head.on,
        issued_by=head.issued_by,
        approved_by="",
    )
    return written(sheet, block, on=head.on, paper=paper)


def _state(have: int, needed: int) -> State:
    standing = _NOBODY if not have else _SHORT if have < needed else _JUST if have == needed else _SPARE
    if not have and not needed:
        standing = _JUST
    return State(standing, str(have), f"{have} of {needed}")
