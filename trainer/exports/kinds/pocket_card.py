"""The pocket card: what one person may do alone, small enough to carry, with a code to look it up by.

It is as large as a bank card (ISO/IEC 7810, ID-1: 85.60 × 53.98 mm), folded once: two faces side by side.
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import TYPE_CHECKING

from trainer.exports.code import code
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day

if TYPE_CHECKING:
    from trainer.exports.packets import PocketCardPacket

NAME = "pocket_card"
TITLE = "Pocket card"
PERMISSION = "record:read"
SUBJECT = "the number of the person"


def write(packet: PocketCardPacket, *, paper: str) -> bytes:
    """Return the pocket card as PDF, to be cut out and folded, dated by its day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    block = TitleBlock(
        legal_owner=packet.company,
        title=TITLE,
        subtitle=packet.person,
        number=packet.person_id,
        type=TITLE,
        date=packet.on,
        issued_by=packet.issued_by,
        approved_by="",
    )
    data = {
        **block.as_data(),
        "company": packet.company,
        "person": packet.person,
        "person_id": packet.person_id,
        "crew": packet.crew,
        "on": day(packet.on),
        "held": [
            {"task": held.task, "title": held.title, "until": day(held.until), "number": held.number}
            for held in packet.held
        ],
        "nothing": "No qualification holds on this day: works only while directed and observed.",
    }
    at = datetime.combine(packet.on, time(), UTC)
    title = f"{TITLE} {packet.person_id}, {packet.person}"
    return compose(NAME, data, title=title, at=at, paper=paper, drawings={"code": code(packet.found_by)})
