"""What the code on a paper names, and whether the register or a file has the same."""

from __future__ import annotations

from dataclasses import dataclass, field
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from trainer.actions import read_back
from trainer.actions.kept_record import restored
from trainer.actions.ledger import proof_of_record
from trainer.actions.permissions import Permission
from trainer.actions.signed_records import may_read_record
from trainer.errors import TrainerError
from trainer.exports.record_files import DATA, ENTRY
from trainer.records import canonical, credential, packet_file, paper_code, signed_note
from trainer.records.paper_code import SHORT_BYTES, CardCode, RecordCode
from trainer.records.proof import EntryProof
from trainer.store import earlier, ledger, people, qualifications

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.records.signed_note import Checkpoint
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit


class NoRecordInside(TrainerError):
    """A file holds no qualification record to hold a code against."""

    def __init__(self) -> None:
        super().__init__(
            "The file holds no qualification record; give the PDF, the packet, or a record, credential or log entry as JSON."
        )


@dataclass
class CodeTold:
    """What a code names, in sentences, and each thing in which the register or a file differs from it."""

    names: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    @property
    def holds(self) -> bool:
        """Nothing differs."""
        return not self.faults


def in_register(db: Database, actor: Actor, text: str, *, today: date) -> CodeTold:
    """Hold the code of a record or of a pocket card against the register and its log.

    Args:
        db: the database.
        actor: who asks; what they may not read is not there for them.
        text: what the code says, as a reader shows it.
        today: the day for which it is told what holds.

    Raises:
        CodeUnreadable: the text is no such code.
        NotAllowed: this actor may not read the log.
    """
    actor.must(Permission.LEDGER_READ)
    code = paper_code.read(text)
    with db.reading() as unit:
        if isinstance(code, RecordCode):
            return _record_in_register(unit, actor, code, today)
        return _card_in_register(unit, actor, code, today)


def in_file(data: bytes, text: str) -> CodeTold:
    """Hold the code of a record or of a pocket card against a file: PDF, packet, record, credential or log entry.

    Raises:
        CodeUnreadable: the text is no such code.
        NoRecordInside, PaperUnreadable, PacketUnreadable, NotCanonical: the file is none of these, or holds no record.
    """
    code = paper_code.read(text)
    kept = _Kept.read(data)
    told = CodeTold([_named(code)])
    if isinstance(code, CardCode):
        for number, begins in code.records:
            found = kept.hashes.get(number)
            if found is None:
                told.faults.append(f"The file holds no record {number}.")
            elif found[:SHORT_BYTES] != begins:
                told.faults.append(f"Record {number} in the file is another than the one on the card.")
        return told
    if code.number not in kept.hashes:
        told.faults.append(f"The file holds no record {code.number}.")
    elif kept.hashes[code.number] != code.sha256:
        told.faults.append(f"Record {code.number} in the file is another than the one on the paper.")
    entry = kept.entries.get(code.number)
    if entry is not None and entry != code.entry:
        told.faults.append(
            f"In the file record {code.number} is entry {entry} of the log, on the paper {code.entry}."
        )
    told.faults += _other_log(code, kept.checkpoints)
    return told


def _named(code: RecordCode | CardCode) -> str:
    if isinstance(code, CardCode):
        log = f", log {code.log}" if code.log else ""
        return f"Pocket card of person {code.person}, printed on {code.day.isoformat()}, {len(code.records)} records{log}."
    return (
        f"Qualification record {code.number}, entry {code.entry} of the log {code.log}, under its checkpoint of "
        f"{code.size} entries."
    )


def _other_log(code: RecordCode, checkpoints: list[Checkpoint]) -> Iterator[str]:
    for one in checkpoints:
        if one.log != code.log:
            yield f"The paper names the log {code.log}; this is {one.log}."
        elif one.size == code.size and one.root != code.root:
            yield f"The first {code.size} entries of the log are others than those the paper was printed under."


def _record_in_register(unit: Unit, actor: Actor, code: RecordCode, today: date) -> CodeTold:
    told = CodeTold([_named(code)])
    kept = qualifications.by_number(unit, code.number)
    person = people.by_id(unit, kept.person_id) if kept else None
    if kept is None or person is None or not may_read_record(actor, person):
        told.faults.append(f"The register has no record {code.number}.")
        return told
    told.names.append(_of_person(person, kept.record, kept.valid_from, kept.last_day))
    told.names.append("It holds today." if kept.holds_on(today) else "It does not hold today.")
    if _digest(kept.record) != code.sha256:
        told.faults.append(f"Record {code.number} in the register is another than the one on the paper.")
    proof = proof_of_record(unit, restored(kept.record))
    if proof is None or proof.number != code.entry:
        told.faults.append(f"Entry {code.entry} of the log is not the one that holds this record.")
    else:
        log = _checkpoint(proof.checkpoint).log
        size = ledger.size(unit)
        if code.size > size:
            told.faults.append(f"The log has {size} entries; the paper was printed under {code.size}.")
        else:
            signed = signed_note.Checkpoint(log, code.size, ledger.root(unit, code.size))
            told.faults += _other_log(code, [signed])
    return told


def _card_in_register(unit: Unit, actor: Actor, code: CardCode, today: date) -> CodeTold:
    told = CodeTold([_named(code)])
    person = people.by_id(unit, code.person)
    if person is None or not may_read_record(actor, person):
        told.faults.append(f"The register has no person {code.person}.")
        return told
    told.names.append(f"{person.display_name}, {person.crew or 'no crew'}.")
    for number, begins in code.records:
        found = _kept(unit, number)
        if found is None or found[0] != person.id:
            told.faults.append(f"The register has no record {number} of this person.")
            continue
        _, data, begin, end, holds = found
        told.names.append(
            f"{number}: {_of_task(data, begin, end)} {'Holds' if holds(today) else 'Does not hold'} today."
        )
        if _digest(data)[:SHORT_BYTES] != begins:
            told.faults.append(f"Record {number} in the register is another than the one on the card.")
    return told


def _kept(unit: Unit, number: str) -> tuple[str, Any, date, date, Any] | None:
    """Return of our own record or a transcribed one: whose, its data, its first and last day, and on which days it holds."""
    own = qualifications.by_number(unit, number)
    if own is not None:
        return own.person_id, own.record, own.valid_from, own.last_day, own.holds_on
    paper = earlier.by_number(unit, number)
    if paper is None:
        return None
    term = paper.term
    return paper.record.person_id, paper.record.as_data(), term.valid_from, term.last_day, term.holds_on


def _of_person(person: Person, data: Any, begin: date, end: date) -> str:
    return f"{person.display_name}, {person.id}: {_of_task(data, begin, end)}"


def _of_task(data: Any, begin: date, end: date) -> str:
    return f"{data['task']} {data['task_title']}, {begin.isoformat()} to {end.isoformat()}."


def _digest(data: Any) -> bytes:
    return sha256(canonical.written(data).encode()).digest()


def _checkpoint(note: str) -> Checkpoint:
    return signed_note.checkpoint_in(signed_note.text_of(note))


@dataclass
class _Kept:
    """What a file holds: hashes of records and their entries by number, and checkpoints."""

    hashes: dict[str, bytes] = field(default_factory=dict)
    entries: dict[str, int] = field(default_factory=dict)
    checkpoints: list[Checkpoint] = field(default_factory=list)

    @classmethod
    def read(cls, data: bytes) -> _Kept:
        """Return what a file holds, by what it begins with."""
        kept = cls()
        if data.startswith(b"%PDF"):
            for inside in read_back.files(data).values():
                for what in (DATA, ENTRY):
                    if what in inside:
                        kept._add(inside[what])
        elif data.startswith(b"PK"):
            for path, file in sorted(packet_file.read(data).items()):
                if path.startswith(("records/", "log/", "growth/")) and path.endswith(".json"):
                    kept._add(file)
        else:
            kept._add(data)
        if not kept.hashes:
            raise NoRecordInside
        return kept

    def _add(self, file: bytes) -> None:
        read = canonical.read(file.decode(errors="replace"))
        if not isinstance(read, dict):
            return
        if "proof" in read and "entry" in read:
            proof = EntryProof.read(read)
            self.checkpoints.append(_checkpoint(proof.checkpoint))
            record = canonical.read(proof.entry).get("payload", {}).get("record")
            if isinstance(record, dict) and "number" in record:
                self.hashes.setdefault(str(record["number"]), _digest(record))
                self.entries[str(record["number"])] = proof.number
        elif {"older", "newer"} <= set(read):
            self.checkpoints += [_checkpoint(str(read["older"])), _checkpoint(str(read["newer"]))]
        elif "credentialSubject" in read:
            number = str(read.get("name", "")).removeprefix("Qualification record ").partition(":")[0]
            self.hashes[number] = bytes.fromhex(credential.record_hash(read))
        elif {"number", "person_id"} <= set(read):
            self.hashes[str(read["number"])] = _digest(read)
