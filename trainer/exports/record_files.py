"""The files that a printed qualification record carries inside it, under names that its number makes distinct."""

from __future__ import annotations

import hashlib
import re
from typing import TYPE_CHECKING

from trainer.exports.pdf import Attachment
from trainer.records import canonical, signed_note
from trainer.records.paper_code import RecordCode

if TYPE_CHECKING:
    from trainer.exports.packets import RecordPacket

DATA, ENTRY, CREDENTIAL = "record.json", "entry.json", "credential.json"


def file_name(number: str, what: str) -> str:
    """Return the name of one of a record's files: its number, a full stop, and which of them it is."""
    return f"{re.sub(r'[^A-Za-z0-9-]+', '-', number)}.{what}"


def carried(packet: RecordPacket) -> tuple[Attachment, ...]:
    """Return the files of a record: its data, the proof of its log entry and its credential, as far as there are such."""
    number = packet.record.number

    def file(what: str, words: str, data: bytes) -> Attachment:
        return Attachment(file_name(number, what), words, data)

    files = [file(DATA, f"Data of qualification record {number}", packet.data)]
    if packet.proof is not None:
        words = f"Entry {packet.entry} of the log, which holds record {number}, with its proof"
        files.append(file(ENTRY, words, canonical.written(packet.proof.as_data()).encode()))
    if packet.credential:
        words = f"Qualification record {number} as a signed credential (Open Badges 3.0)"
        files.append(file(CREDENTIAL, words, packet.credential))
    return tuple(files)


def code_of(packet: RecordPacket) -> RecordCode | None:
    """Return what the code on a record says; None where no log holds it, so that there is nothing to find it by."""
    if packet.proof is None:
        return None
    signed = signed_note.checkpoint_in(signed_note.text_of(packet.proof.checkpoint))
    return RecordCode(
        number=packet.record.number,
        sha256=hashlib.sha256(packet.data).digest(),
        log=signed.log,
        entry=packet.entry,
        size=signed.size,
        root=signed.root,
    )
