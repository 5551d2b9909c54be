"""The printed qualification record, with its data inside it.

The four things that 49 CFR 192.807(a)(1)-(4) asks of a record stand first, numbered as the paragraph is. The
law was read in stored public copies; compare with its current text before anything is relied on.
"""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import rfc8785

from trainer.exports.code import code
from trainer.exports.pdf import ENDING as ENDING
from trainer.exports.pdf import MEDIA_TYPE as MEDIA_TYPE
from trainer.exports.pdf import Attachment, compose
from trainer.exports.title_block import TitleBlock
from trainer.exports.words import NOTHING, day, listed, moment, pieces, short_revision
from trainer.procedure.wording import capital

if TYPE_CHECKING:
    from trainer.exports.packets import RecordPacket
    from trainer.records.qualification import ClassShown, QualificationRecord, Signature, SkillShown

NAME = "qualification_record"
TITLE = "Qualification record"
PERMISSION = "record:read"
SUBJECT = "the number of the record"

ATTACHED = "qualification-record.json"
_KEPT = (
    "Kept while the person does the task, then five years after it ends (49 CFR 192.807(b)). "
    "It is destroyed by a logged decision, never by a timer."
)
_TWO_PEOPLE = (
    "Two different people evaluated and signed. That is a house rule; 49 CFR 192 Subpart N, as read, "
    "does not ask for it."
)


CREDENTIAL = "credential.json"


def attached(record: QualificationRecord) -> bytes:
    """Return the record's data as canonical JSON (RFC 8785): what the PDF carries inside it."""
    return rfc8785.dumps(record.as_data())


def write(packet: RecordPacket, *, paper: str) -> bytes:
    """Return the record as PDF, dated by its supervisor's signature.

    Args:
        packet: the record, with what proves it.
        paper: `a4` or `us-letter`.

    Raises:
        PdfRefused: the compiler would not write it.
        PaperUnknown: there is no such paper.
    """
    record = packet.record
    inside = [Attachment(ATTACHED, f"Data of qualification record {record.number}", attached(record))]
    if packet.credential:
        words = f"Qualification record {record.number} as a signed credential (Open Badges 3.0)"
        inside.append(Attachment(CREDENTIAL, words, packet.credential))
    digest = hashlib.sha256(inside[0].data).hexdigest()
    return compose(
        NAME,
        _data(packet, digest),
        title=f"{TITLE} {record.number}, {record.person}, {record.task}",
        at=record.supervisor.at,
        paper=paper,
        attachments=inside,
        drawings={"code": code(_found_by(packet, digest))} if packet.entry else {},
    )


def _found_by(packet: RecordPacket, digest: str) -> str:
    """Return what the code says: enough to find the record and its entry, and to see that it is the same one."""
    return f"{packet.record.number} sha256 {digest} {_log(packet)} entry {packet.entry}"


def _log(packet: RecordPacket) -> str:
    return packet.checkpoint.partition("\n")[0]


def _data(packet: RecordPacket, digest: str) -> dict[str, Any]:
    record = packet.record
    return {
        **_block(record).as_data(),
        "coded": bool(packet.entry),
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


def _block(record: QualificationRecord) -> TitleBlock:
    return TitleBlock(
        legal_owner=record.company,
        title=TITLE,
        subtitle=f"{record.person}, task {record.task}",
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


def _keeping(packet: RecordPacket, digest: str) -> list[list[str]]:
    """Return how the record is kept and checked."""
    record = packet.record
    lines = [["Kept", _KEPT]]
    if record.evaluator.person != record.supervisor.person:
        lines.append(["Two people", _TWO_PEOPLE])
    signed = f", and signed as {CREDENTIAL}" if packet.credential else ""
    inside = f"This PDF carries the record as {ATTACHED}{signed}; SHA-256 of the record {_in_groups(digest)}"
    return [*lines, ["Data inside", inside], *_proof(packet)]


def _proof(packet: RecordPacket) -> list[list[str]]:
    """Return the entry of the log and the checkpoint over it, as the signed note has them: to be held against a copy."""
    if not packet.entry:
        return []
    log, size, root, _, signed = packet.checkpoint.splitlines()[:5]
    return [
        [
            "In the log",
            f"Entry {packet.entry} of {log}. `trainer verify` checks entry and credential anywhere.",
        ],
        ["Checkpoint", f"{size} entries, root {root}; {signed}"],
    ]


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
