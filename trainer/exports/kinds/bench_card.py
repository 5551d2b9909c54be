"""The bench card: the steps of a job with four boxes each, for who watches the work without a screen."""

from __future__ import annotations

from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from trainer.drills.observed import critical_steps
from trainer.exports import job
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import compose
from trainer.exports.words import pieces
from trainer.procedure.window import prepare
from trainer.records.observation import MEANING_OBSERVED, StepMark

if TYPE_CHECKING:
    from trainer.exports.packets import JobCardPacket
    from trainer.procedure.model import Step

NAME = "bench_card"
TITLE = "Bench card"
PERMISSION = "module:read"
SUBJECT = "a procedure and a size"


def write(packet: JobCardPacket, *, paper: str) -> bytes:
    """Return the bench card as PDF, dated by its day of issue.

    Args:
        packet: the job.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
        NoOrder: the procedure has faults, so that nothing says which steps are critical.
    """
    block = job.title_block(packet, TITLE)
    seen = job.seen(packet.module, packet.size)
    return compose(
        NAME,
        {
            **block.as_data(*job.told_of_values(packet.module)),
            "seen": seen.as_data() if seen else None,
            "size": job.unbroken(packet.size),
            "marks": [mark.short for mark in StepMark],
            "meaning": MEANING_OBSERVED,
            "rows": _rows(packet),
        },
        title=f"{TITLE} {block.number}, {block.title}",
        at=job.issued_at(packet),
        paper=paper,
        drawings={"seen": seen.svg} if seen else None,
    )


def _rows(packet: JobCardPacket) -> list[dict[str, Any]]:
    """Return the rows of the card: a phase where it changes, a step's cautions, the step."""
    module = packet.module
    critical = critical_steps(prepare(module, packet.size or None))
    rows: list[dict[str, Any]] = []
    phase = ""
    for number, step in enumerate(packet.steps, start=1):
        if step.phase != phase and step.phase in module.phases:
            rows.append({"kind": "phase", "title": module.phases[step.phase].title})
        phase = step.phase
        rows += job.caution_rows(module, step)
        rows += _step(packet, step, number, critical.get(step.id, ""))
    return rows


def _step(packet: JobCardPacket, step: Step, number: int, critical: str) -> list[dict[str, Any]]:
    """Return the row of a step; a step of many words takes further rows without a number."""
    module = packet.module
    numbers = module.item_numbers()
    items = job.item_ranges(numbers[name] for name in (*step.targets, *step.along) if name in numbers)
    note = " ".join(job.handling(module, step, packet.size))
    columns = zip_longest(pieces(step.do), pieces(note), fillvalue="")
    return [
        {
            "kind": "step",
            "number": "" if further else str(number),
            "items": "" if further else items,
            "text": text,
            "note": piece,
            "critical": "" if further else critical,
        }
        for further, (text, piece) in enumerate(columns)
    ]
