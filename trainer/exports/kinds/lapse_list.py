"""The lapse list: whose qualification for what has run out or runs out soon, the earliest first."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Column, ListSheet, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day

if TYPE_CHECKING:
    from collections.abc import Iterable

    from trainer.exports.packets import Lapse, LapseListPacket

NAME = "lapse_list"
TITLE = "Lapse list"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew, or * for all"

_COLUMNS = (
    Column("Holds until", 13, bold=True),
    Column("Days", 7, numeric=True),
    Column("Name", 24),
    Column("Task", 36),
    Column("Record", 20),
)


def write(packet: LapseListPacket, *, paper: str) -> bytes:
    """Return the lapse list as PDF, dated by its day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    over = sum(line.days < 0 for line in packet.lines)
    several = len({line.crew for line in packet.lines}) > 1
    sheet = ListSheet(
        heading=f"{packet.crew}: over, or over within {packet.ahead_days} days",
        columns=_COLUMNS,
        rows=tuple(
            (day(line.until), _days(line.days), _person(line, several), line.task, line.number)
            for line in packet.lines
        ),
        nothing=f"Nothing is over, and nothing ends within {packet.ahead_days} days.",
        told=(
            f"{over} of {len(packet.lines)} are over. How these people work until they are renewed (49 CFR 192.805(c)):",
            *_directed(packet.lines),
        )
        if over
        else (),
        signs=("Read by",),
    )
    block = TitleBlock(
        legal_owner=packet.company,
        title=f"{TITLE}, {packet.crew}",
        number=packet.document,
        type=TITLE,
        date=packet.on,
        issued_by=packet.issued_by,
        approved_by="",
    )
    return written(sheet, block, on=packet.on, paper=paper)


def _directed(lines: Iterable[Lapse]) -> tuple[str, ...]:
    """Return for each task of which something is over how somebody works at it who is not qualified."""
    return tuple(
        dict.fromkeys(f"{line.task}: {line.directed}" for line in lines if line.days < 0 and line.directed)
    )


def _person(line: Lapse, several: bool) -> str:
    return f"{line.person}, {line.crew}" if several and line.crew else line.person


def _days(days: int) -> str:
    # A true minus sign, and tabular figures beside it.
    return str(days).replace("-", "\N{MINUS SIGN}")
