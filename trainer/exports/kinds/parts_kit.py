"""The parts kit: what this job renews at this size, to be packed before anybody drives out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.exports import job
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.words import NOTHING
from trainer.procedure.model import Renewal

if TYPE_CHECKING:
    from trainer.exports.packets import JobCardPacket

NAME = "parts_kit"
TITLE = "Parts kit"
PERMISSION = "module:read"
SUBJECT = "a procedure and a size"


def write(packet: JobCardPacket, *, paper: str) -> bytes:
    """Return the parts kit as PDF, dated by its day of issue.

    Args:
        packet: the job; only what its steps disturb is listed.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    block = job.title_block(packet, TITLE)
    return compose(
        NAME,
        {
            **block.as_data(*job.told_of_values(packet.module)),
            "size": job.unbroken(packet.size),
            "always": _lines(packet, Renewal.ALWAYS),
            "on_condition": _lines(packet, Renewal.ON_CONDITION),
        },
        title=f"{TITLE} {block.number}, {block.title}",
        at=job.issued_at(packet),
        paper=paper,
    )


def _lines(packet: JobCardPacket, renewal: Renewal) -> list[dict[str, Any]]:
    numbers, things = packet.module.item_numbers(), job.things(packet.module)
    return [
        {
            "item": str(numbers[name]),
            "name": things[name].name,
            "quantity": job.quantity(things[name].count, packet.size),
            "kit": things[name].kit or NOTHING,
        }
        for name in job.renewed(packet, renewal)
    ]
