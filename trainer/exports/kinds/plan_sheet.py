"""A kept plan of cover: who is to become able to do what, who sees to it, by when, and how far it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Cell, Column, ListSheet, State, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day
from trainer.records.qualification import Standing

if TYPE_CHECKING:
    from trainer.exports.cover_packets import PlannedLine, PlanPacket

NAME = "plan_sheet"
TITLE = "Plan of cover"
PERMISSION = "crew:read"
SUBJECT = "the number of the plan, with '/ 2' behind it for an earlier version"

_DONE = State(Standing.SIGNED, "D", "done: may do it alone on the day of the plan, as far as is signed")
_ASSIGNED = State(Standing.IN_PRACTICE, "A", "assigned")
_OPEN = State(Standing.NOT_ASSIGNED, "", "not begun")
_COLUMNS = (
    Column("Person", 18, bold=True),
    Column("Task", 26),
    Column("How", 13),
    Column("Weeks", 7, numeric=True),
    Column("Sees to it", 18),
    Column("Due", 10),
    Column("Stands", 8),
)


def write(packet: PlanPacket, *, paper: str) -> bytes:
    """Return the plan as PDF, dated by the day it was printed.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    head, by = packet.head, day(packet.for_day)
    short = f"still short on {by}: {'; '.join(packet.then_short)}" if packet.then_short else ""
    sheet = ListSheet(
        heading="What is to be done",
        columns=_COLUMNS,
        rows=tuple(_row(line) for line in packet.lines),
        nothing="The plan has no line.",
        told=(
            f"For {packet.wanted}, from {day(packet.made_on)} to {by}.",
            f"With all lines done: {short or f'every task has its cover on {by}'}.",
        ),
        signs=("Agreed", "Looked at again on"),
        key=(_DONE, _ASSIGNED, _OPEN),
    )
    block = TitleBlock(
        legal_owner=head.company,
        title=f"{TITLE}, {head.crew}",
        subtitle=f"Cover on {by}",
        number=head.number,
        revision=str(packet.version),
        type=TITLE,
        date=head.on,
        issued_by=head.issued_by,
        approved_by="",
    )
    return written(sheet, block, on=head.on, paper=paper)


def _row(line: PlannedLine) -> tuple[Cell, ...]:
    stands = _DONE if line.done else _ASSIGNED if line.assigned else _OPEN
    told = (line.person, line.task, line.means, str(line.weeks), line.responsible, day(line.due))
    return (*told, stands)
