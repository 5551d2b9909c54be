"""Pocket cards: what each person may do alone, small enough to carry, with a code to look it up by.

Each is as large as a bank card (ISO/IEC 7810, ID-1: 85.60 × 53.98 mm), folded once: two faces side by side.
"""

from __future__ import annotations

from datetime import UTC, datetime, time
from typing import TYPE_CHECKING, Any

from trainer.exports.code import code
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import day
from trainer.records.paper_code import SHORT_BYTES, CardCode

if TYPE_CHECKING:
    from collections.abc import Iterator

    from trainer.exports.packets import Held, PocketCardPacket

NAME = "pocket_card"
TITLE = "Pocket card"
PERMISSION = "record:read"
SUBJECT = "the number of the person, or the name of the crew for a card each"

# As many lines as a face has room for; whoever holds more gets further cards.
_LINES = 6


def write(packet: PocketCardPacket, *, paper: str) -> bytes:
    """Return the pocket cards as PDF, to be cut out and folded, dated by their day.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    titled = TITLE if len(packet.cards) == 1 else f"{TITLE}s"
    block = TitleBlock(
        legal_owner=packet.company,
        title=titled,
        subtitle=packet.about,
        number=packet.number,
        type=TITLE,
        date=packet.on,
        issued_by=packet.issued_by,
        approved_by="",
    )
    drawings: dict[str, str] = {}
    cards = []
    for number, (card, told) in enumerate(_faces(packet)):
        drawings[f"code_{number}"] = code(card.text)
        cards.append({**told, "code": f"code_{number}"})
    data = {
        **block.as_data(),
        "company": packet.company,
        "on": day(packet.on),
        "cards": cards,
        "nothing": "No qualification holds on this day: works only where and while somebody qualified directs and observes.",
    }
    at = datetime.combine(packet.on, time(), UTC)
    return compose(NAME, data, title=f"{titled}, {packet.about}", at=at, paper=paper, drawings=drawings)


def _faces(packet: PocketCardPacket) -> Iterator[tuple[CardCode, dict[str, Any]]]:
    """Yield for each card to be cut out what its code says and what stands on it."""
    for card in packet.cards:
        parts = [card.held[n : n + _LINES] for n in range(0, len(card.held), _LINES)] or [()]
        for place, held in enumerate(parts, start=1):
            short = tuple((line.number, line.sha256[:SHORT_BYTES]) for line in held)
            told = {
                "person": card.person,
                "person_id": card.person_id,
                "crew": card.crew,
                "begins": place == 1,
                "part": f"card {place} of {len(parts)}" if len(parts) > 1 else "",
                "held": [_line(line) for line in held],
            }
            yield CardCode(packet.log, card.person_id, packet.on, short), told


def _line(held: Held) -> dict[str, str]:
    return {"task": held.task, "title": held.title, "until": day(held.until)}
