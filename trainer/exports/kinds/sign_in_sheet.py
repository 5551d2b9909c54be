"""The sign-in sheet of a day at the bench: who was there, with their signature, and what was gone through."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.exports.list_sheet import Column, ListSheet, written
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.title_block import TitleBlock

if TYPE_CHECKING:
    from trainer.exports.packets import BenchDayPacket

NAME = "sign_in_sheet"
TITLE = "Sign-in sheet"
PERMISSION = "crew:read"
SUBJECT = "the name of the crew / the procedure / the day, today unless given / who approved it, if anybody"

_COLUMNS = (
    Column("Number", 10),
    Column("Name", 26, bold=True),
    Column("Grade", 14),
    Column("In", 9),
    Column("Out", 9),
    Column("Signature", 32),
)
# Lines for those whom nobody expected.
_SPARE = 4


def write(packet: BenchDayPacket, *, paper: str) -> bytes:
    """Return the sign-in sheet as PDF, dated by its day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    sheet = ListSheet(
        heading=f"Who is here, {packet.crew}",
        columns=_COLUMNS,
        rows=(
            *((number, name, grade, "", "", "") for number, name, grade in packet.people),
            *[("",) * len(_COLUMNS)] * _SPARE,
        ),
        nothing="Nobody stands on the crew.",
        told=(
            f"Gone through on this day: {packet.module_title}, {packet.document or packet.module}, covered task "
            f"{packet.task}.",
            *((f"Unqualified at {packet.task}: {packet.directed}",) if packet.directed else ()),
            "Being here is practice, not an evaluation: nobody is qualified by this sheet (49 CFR 192.803).",
        ),
        signs=("Held by", "Counted, first and last"),
        least_height=9.5,
    )
    block = TitleBlock(
        legal_owner=packet.company,
        title=f"{TITLE}, {packet.crew}",
        subtitle=packet.module_title,
        number=packet.number,
        type=TITLE,
        date=packet.on,
        issued_by=packet.issued_by,
        approved_by=packet.approved_by,
    )
    return written(sheet, block, on=packet.on, paper=paper)
