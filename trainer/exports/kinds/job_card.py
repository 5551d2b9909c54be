"""The job card: section or station, parts list and torques at the size, then each step with its cautions before it.

A procedure that does not say what its parts look like, nor how its station is piped, has the parts list alone.
"""

from __future__ import annotations

import re
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from trainer.exports import job
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.words import NOTHING, pieces
from trainer.procedure.wording import full_stop

if TYPE_CHECKING:
    from trainer.exports.job import Drawn
    from trainer.exports.packets import JobCardPacket
    from trainer.procedure.model import Step

NAME = "job_card"
TITLE = "Job card"
PERMISSION = "module:read"
SUBJECT = "a procedure and a size"

# In a step's `record`, a run of underscores is a blank to write on and `[ ]` a box to tick.
_BLANK = re.compile(r"(_{2,}|\[ ?\])")
_MM_AN_UNDERSCORE = 2.0
_MM_AT_LEAST, _MM_AT_MOST = 8, 30
_LONGEST_RECORD = 280


def write(packet: JobCardPacket, *, paper: str) -> bytes:
    """Return the job card as PDF, dated by its day of issue.

    Args:
        packet: the job.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    block = job.title_block(packet, TITLE)
    seen = job.seen(packet.module, packet.size)
    return compose(
        NAME,
        _data(packet, block.as_data(*job.told_of_values(packet.module), *_directed(packet)), seen),
        title=f"{TITLE} {block.number}, {block.title}",
        at=job.issued_at(packet),
        paper=paper,
        drawings={"seen": seen.svg} if seen else None,
    )


def _directed(packet: JobCardPacket) -> tuple[str, ...]:
    return (f"Unqualified at {packet.module.covered_task}: {packet.directed}",) if packet.directed else ()


def _data(packet: JobCardPacket, block: dict[str, Any], seen: Drawn | None) -> dict[str, Any]:
    return {
        **block,
        "seen": seen.as_data() if seen else None,
        "size": job.unbroken(packet.size),
        "parts": _parts(packet),
        "torques": _torques(packet),
        "rows": _rows(packet),
    }


def _parts(packet: JobCardPacket) -> list[dict[str, str]]:
    numbers = packet.module.item_numbers()
    return [
        {
            "item": str(numbers[name]),
            "name": thing.name,
            "quantity": job.quantity(thing.count, packet.size),
            "renew": thing.renew.value,
        }
        for name, thing in job.things(packet.module).items()
    ]


def _torques(packet: JobCardPacket) -> list[dict[str, Any]]:
    numbers = packet.module.item_numbers()
    rows = []
    for name, fastener in packet.module.fasteners.items():
        newton_metres, pound_feet = job.torque_words(fastener, packet.size)
        rows.append(
            {
                "item": str(numbers[name]),
                "name": fastener.name,
                "quantity": job.quantity(fastener.count, packet.size),
                "thread": (fastener.thread.at(packet.size) if fastener.thread else None) or NOTHING,
                "newton_metres": newton_metres,
                "pound_feet": pound_feet,
                "how": job.tightening_words(fastener, packet.size),
            }
        )
    return rows


def _rows(packet: JobCardPacket) -> list[dict[str, Any]]:
    """Return the rows of the card: a phase where it changes, a step's cautions, the step."""
    module, rows, phase = packet.module, list[dict[str, Any]](), ""
    for number, step in enumerate(packet.steps, start=1):
        if step.phase != phase and step.phase in module.phases:
            rows.append({"kind": "phase", "title": module.phases[step.phase].title})
        phase = step.phase
        rows += job.caution_rows(module, step)
        rows += _step(packet, step, number)
    return rows


def _step(packet: JobCardPacket, step: Step, number: int) -> list[dict[str, Any]]:
    """Return the row of a step; a step of many words takes further rows without a number."""
    numbers = packet.module.item_numbers()
    hint = f"{full_stop(step.note)} " if step.note else ""
    note = hint + " ".join(job.handling(packet.module, step, packet.size))
    touched = (*step.targets, *step.along)
    items = job.item_ranges(numbers[name] for name in touched if name in numbers)
    columns = zip_longest(
        pieces(step.do), pieces(note.strip()), pieces(step.record, _LONGEST_RECORD), fillvalue=""
    )
    return [
        {
            "kind": "step",
            "number": "" if further else str(number),
            "items": "" if further else items,
            "text": text,
            "note": piece,
            "record": record_blanks(record),
        }
        for further, (text, piece, record) in enumerate(columns)
    ]


def record_blanks(record: str) -> list[dict[str, Any]]:
    """Return what stands in the record column: words, blanks (mm wide) and boxes, in order.

    Words alone get a blank behind them, because a record is there to be written.
    """
    if not record.strip():
        return []
    parts = [_record_part(part) for part in _BLANK.split(record) if part.strip()]
    return parts if any("text" not in part for part in parts) else [*parts, {"blank": _MM_AT_LEAST * 2}]


def _record_part(part: str) -> dict[str, Any]:
    if part.startswith("__"):
        return {"blank": min(max(len(part) * _MM_AN_UNDERSCORE, _MM_AT_LEAST), _MM_AT_MOST)}
    if part.startswith("["):
        return {"box": True}
    return {"text": part.strip()}
