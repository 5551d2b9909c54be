"""Printed qualification records, one or many in a file, each with its data inside.

The four things that 49 CFR 192.807(a)(1)-(4) asks of a record stand first, numbered as the paragraph is. The
law was read in stored public copies; compare with its current text before anything is relied on.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

from trainer.exports.code import code
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import Sheet, composed
from trainer.exports.record_files import CREDENTIAL, DATA, carried, code_of, file_name
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import NOTHING, day, listed, moment, pieces, short_revision
from trainer.procedure.wording import capital

if TYPE_CHECKING:
    from collections.abc import Sequence

    from trainer.exports.packets import RecordPacket
    from trainer.records.qualification import ClassShown, QualificationRecord, Signature, SkillShown

NAME = "qualification_record"
TITLE = "Qualification record"
PERMISSION = "record:read"
SUBJECT = (
    "the number of the record; or of a person, or the name of a crew, for all their records, "
    "with '/ in force' behind it for those that hold today"
)

_KEPT = (
    "Kept while the person does the task, then five years after it ends (49 CFR 192.807(b)). "
    "It is destroyed by a logged decision, never by a timer."
)
_TWO_PEOPLE = (
    "Two different people evaluated and signed. That is a house rule; 49 CFR 192 Subpart N, as read, "
    "does not ask for it."
)


def write(packet: Sequence[RecordPacket], *, paper: str) -> bytes:
    """Return the records as one PDF, dated by the newest supervisor's signature.

    They stand by person, then by task, the newest of a task first, in whichever order they come. Each begins on a sheet 1
    of its own; the outline lists people, and below each person the records that follow.

    Args:
        packet: the records of one company, at least one, each with what proves it.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    return composed(laid_out(packet, paper))


def laid_out(packet: Sequence[RecordPacket], paper: str) -> Sheet:
    """Return what the records are set from."""
    ordered = in_order(packet)
    codes = {f"code_{n}": found.text for n, one in enumerate(ordered) if (found := code_of(one))}
    before = ["", *(one.record.person_id for one in ordered)]
    papers = [
        _data(one, f"code_{n}", begins=one.record.person_id != before[n]) for n, one in enumerate(ordered)
    ]
    return Sheet(
        NAME,
        {"owner": ordered[0].record.company, "papers": papers},
        title=_title([one.record for one in ordered]),
        at=max(one.record.supervisor.at for one in ordered),
        paper=paper,
        attachments=[file for one in ordered for file in carried(one)],
        drawings={name: code(text) for name, text in codes.items()},
    )


def in_order(packet: Sequence[RecordPacket]) -> list[RecordPacket]:
    """Return the records as they stand in the file."""
    return sorted(packet, key=_place)


def _place(packet: RecordPacket) -> tuple[str, str, str, int, str]:
    record = packet.record
    return (record.person, record.person_id, record.task, -record.valid_from.toordinal(), record.number)


def _title(records: Sequence[QualificationRecord]) -> str:
    first = records[0]
    if len(records) == 1:
        return f"{TITLE} {first.number}, {first.person}, {first.task}"
    people = len({record.person_id for record in records})
    whose = f"of {first.person}, {first.person_id}" if people == 1 else f"of {people} people"
    return f"{TITLE}s {whose}: {len(records)} records"


def _data(packet: RecordPacket, code_name: str, *, begins: bool) -> dict[str, Any]:
    """Return what the template asks for; `begins` says that no record of this person stands before it."""
    record, digest = packet.record, hashlib.sha256(packet.data).hexdigest()
    return {
        **_block(record, begins=begins).as_data(),
        "code": code_name if packet.proof else "",
        "person": record.person,
        "person_id": record.person_id,
        "task": f"{record.task} {record.task_title}",
        "module": [
            ["Procedure", record.module_title],
            ["Document", record.document or NOTHING],
            ["Revision", short_revision(record.revision)],
            ["Sizes", listed(record.sizes)],
        ],
        "evaluated_on": day(record.evaluated_on),
        "valid_from": day(record.valid_from),
        "valid_until": day(record.valid_until),
        "methods": [{"words": method.words, "paragraph": method.paragraph} for method in record.methods],
        "conditions": list(record.abnormal_conditions),
        "conditions_passed": record.abnormal_passed,
        "facts": _facts(record),
        "keeping": _keeping(packet, digest),
        "statement": record.statement,
        "classes": [_class(item) for item in record.classes],
        "skills": [_skill(skill) for skill in record.skills],
        "signatures": [
            _signature("Evaluated by", record.evaluator),
            _signature("Qualified and issued by, supervisor", record.supervisor),
        ],
    }


def _block(record: QualificationRecord, *, begins: bool) -> TitleBlock:
    return TitleBlock(
        legal_owner=record.company,
        title=record.person,
        title_level=1 if begins else 0,
        subtitle=f"{record.task} {record.task_title}",
        subtitle_level=2,
        number=record.number,
        type=TITLE,
        issued_by=record.supervisor.name,
        approved_by=record.supervisor.name,
        subject_label="Qualified from, until",
        subject=f"{day(record.valid_from)} to {day(record.valid_until)}",
        extra_label="Supersedes",
        extra=record.supersedes or NOTHING,
        date=record.supervisor.at.date(),
    )


def _facts(record: QualificationRecord) -> list[list[str]]:
    """Return what stands below the law's four demands: label and text, long texts in several pieces."""
    facts = [
        ["Result", record.result or NOTHING],
        ["Evaluated again", f"within {record.interval_months} months of qualification"],
        ["Why this interval", record.interval_because or NOTHING],
        *_set_then(record),
        ["Supersedes", f"record {record.supersedes}" if record.supersedes else "no earlier record"],
        ["Procedure revision in full", record.revision or NOTHING],
    ]
    numbers = dict.fromkeys(item.policy for item in record.classes)
    if record.statement:
        facts += [
            ["Assessment", record.statement],
            *(["Numbers it was decided by", f"policy {_in_groups(sha256)}"] for sha256 in numbers),
        ]
    return [[label if i == 0 else "", piece] for label, text in facts for i, piece in enumerate(pieces(text))]


def _set_then(record: QualificationRecord) -> list[list[str]]:
    """Return what was set for the task when the record was signed; records from before there was anything say nothing."""
    if record.conditions is None:
        return []
    evaluators = record.conditions.evaluators
    return [
        ["Methods set for the task", " ".join(record.conditions.methods.sentences)],
        ["Who may evaluate it", " ".join((*evaluators.sentences, evaluators.because)).strip()],
        ["Unqualified at it", record.conditions.span.sentence],
    ]


def _keeping(packet: RecordPacket, digest: str) -> list[list[str]]:
    """Return how the record is kept and checked."""
    record = packet.record
    lines = [["Kept", _KEPT]]
    if record.evaluator.person != record.supervisor.person:
        lines.append(["Two people", _TWO_PEOPLE])
    signed = f" and, signed, as {file_name(record.number, CREDENTIAL)}" if packet.credential else ""
    inside = (
        f"This PDF carries the record as {file_name(record.number, DATA)}{signed}; "
        f"SHA-256 of the record {_in_groups(digest)}"
    )
    return [*lines, ["Data inside", inside], *_proof(packet)]


def _proof(packet: RecordPacket) -> list[list[str]]:
    """Return the entry of the log and the checkpoint over it, as the signed note has them: to be held against a copy."""
    if packet.proof is None:
        return []
    log, size, root, _, signed = packet.proof.checkpoint.splitlines()[:5]
    told = (
        f"Entry {packet.entry} of {log}. “trainer verify” checks this file, and what the code says, anywhere."
    )
    return [["In the log", told], ["Checkpoint", f"{size} entries, root {root}; {signed}"]]


def _in_groups(digest: str) -> str:
    return " ".join(digest[start : start + 8] for start in range(0, len(digest), 8))


def _class(item: ClassShown) -> dict[str, str]:
    decided = day(item.decided_on) if item.decided_on else NOTHING
    return {
        "title": item.title,
        "says": f"{item.sentence} Decided {decided} in series {item.series}.",
        "attempts": str(item.attempts),
        "failures": str(item.failures),
        "witnessed": str(item.witnessed),
    }


def _skill(skill: SkillShown) -> dict[str, str]:
    return {
        "title": capital(skill.title),
        "clean": str(skill.clean),
        "attempts": str(skill.attempts),
        "last": day(skill.last) if skill.last else NOTHING,
    }


def _signature(label: str, signature: Signature) -> dict[str, str]:
    return {
        "label": label,
        "name": signature.name,
        "person": signature.person,
        "at": moment(signature.at),
        "meaning": signature.meaning,
    }
