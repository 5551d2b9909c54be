"""The proof of the log: signing where it stands, proving an entry, going through all of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.records import canonical, credential, key_file, merkle, signed_note
from trainer.records.audit import Audit, Kept, Trouble
from trainer.records.proof import EntryProof
from trainer.records.signed_note import Checkpoint
from trainer.store import ledger

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator
    from datetime import datetime
    from pathlib import Path

    from trainer.actions.actor import Actor
    from trainer.records.key_file import LogKey
    from trainer.records.qualification import QualificationRecord
    from trainer.records.signed_note import Verifier
    from trainer.store.session import Database, Unit

SIGNED = "qualification:sign"


class LogEmpty(TrainerError):
    """There is nothing to sign yet."""

    def __init__(self) -> None:
        super().__init__("The log has no entry yet; there is nothing to sign.")


class LogNotGrown(TrainerError):
    """The log does not begin with what was signed before, so nothing more is signed."""

    def __init__(self, size: int) -> None:
        super().__init__(
            f"The log does not begin with the {size} entries that were signed before; nothing is signed until that is "
            "explained. `trainer ledger check` names the entries."
        )


class EntryDestroyed(TrainerError):
    """An entry's payload was destroyed after its time, so that it cannot be proven as a whole."""

    def __init__(self, number: int) -> None:
        super().__init__(
            f"The content of entry {number} was destroyed after it had been kept long enough; its hash still stands in the log."
        )


@dataclass(frozen=True)
class LogCheck:
    """What going through the log came to: how many entries, their root, how many checkpoints, and what does not fit.

    `destroyed` entries have lost their payload by a decision that the log tells.
    """

    size: int
    root: bytes
    checkpoints: int
    troubles: tuple[Trouble, ...]
    destroyed: int = 0


@dataclass(frozen=True)
class LogStanding:
    """How many entries the log has, the newest checkpoint ("" before the first), and what others check with.

    `signed`: over how many of the entries the checkpoint stands.
    """

    size: int
    checkpoint: str
    signed: int
    keys: tuple[str, ...]


def stands(db: Database, actor: Actor) -> LogStanding:
    """Return where the log stands."""
    actor.must(Permission.LEDGER_READ)
    keys = key_file.verifiers(db.keys) if key_file.exists(db.keys) else ()
    with db.reading() as unit:
        note = ledger.newest_checkpoint(unit) or ""
        signed = signed_note.checkpoint_in(signed_note.text_of(note)).size if note else 0
        return LogStanding(ledger.size(unit), note, signed, tuple(str(key) for key in keys))


def checkpoint(db: Database, actor: Actor, *, now: datetime) -> str:
    """Return the signed checkpoint over all entries; where the log has not grown, the one that was signed.

    Raises:
        LogEmpty: there is no entry.
        LogNotGrown: the log does not begin with what was signed before.
        KeyFileUnusable: there is no key to sign with.
    """
    actor.must(Permission.LEDGER_SIGN)
    key = key_file.read(db.keys)
    with db.writing() as unit:
        return sign(unit, key, now=now)


def sign(unit: Unit, key: LogKey, *, now: datetime) -> str:
    """Return the checkpoint over the entries so far, those of this transaction included.

    Raises:
        LogEmpty, LogNotGrown: as for `checkpoint`.
    """
    size = ledger.size(unit)
    if not size:
        raise LogEmpty
    before = ledger.newest_checkpoint(unit)
    root = ledger.root(unit, size)
    if before is not None:
        signed = signed_note.checkpoint_in(signed_note.text_of(before))
        _must_have_grown(unit, signed, size, root)
        if signed.size == size:
            return before
    note = signed_note.signed(Checkpoint(key.name, size, root).text, key.name, key.key)
    ledger.add_checkpoint(unit, size, note, now)
    return note


def _must_have_grown(unit: Unit, before: Checkpoint, size: int, root: bytes) -> None:
    if before.size <= size:
        path = merkle.consistency_path(before.size, size, ledger.tree(unit))
        if merkle.has_grown(before.size, size, before.root, root, path):
            return
    raise LogNotGrown(before.size)


def sign_when_possible(unit: Unit, keys: Path, *, now: datetime) -> None:
    """Sign the entries so far where there is a key; without one the log goes on unsigned until there is.

    Raises:
        LogNotGrown: the log does not begin with what was signed before.
        KeyFileUnusable: the key cannot be read.
    """
    if key_file.exists(keys):
        sign(unit, key_file.read(keys), now=now)


def proof_of_record(unit: Unit, record: QualificationRecord) -> EntryProof | None:
    """Return the log entry that holds a signed record, proven by the first checkpoint over it; None without one."""
    signer, at = record.supervisor.person, record.supervisor.at
    for number, payload in ledger.entry_at(unit, signer, SIGNED, at):
        if canonical.read(payload)["record"]["number"] == record.number:
            return _proven(unit, number, ledger.checkpoint_over(unit, number))
    return None


def _proven(unit: Unit, number: int, note: str) -> EntryProof | None:
    written = ledger.written(unit, number)
    if not note or written is None:
        return None
    size = signed_note.checkpoint_in(signed_note.text_of(note)).size
    path = merkle.inclusion_path(number - 1, size, ledger.tree(unit))
    return EntryProof(number, written.decode(), path, note)


def credential_of(keys: Path, record: QualificationRecord) -> bytes:
    """Return the signed credential of a record as canonical JSON; empty where there is no key to sign with."""
    if not key_file.exists(keys):
        return b""
    return canonical.written(credential.issued(record, key_file.read(keys))).encode()


def proof(db: Database, actor: Actor, number: int, *, now: datetime) -> EntryProof:
    """Return an entry with the proof that it stands under the newest checkpoint, which is signed now when needed.

    Raises:
        NotFound: there is no entry of this number.
        EntryDestroyed: its payload was destroyed.
        LogEmpty, LogNotGrown, KeyFileUnusable: as for `checkpoint`.
    """
    actor.must(Permission.LEDGER_READ)
    key = key_file.read(db.keys)
    with db.writing() as unit:
        written = ledger.written(unit, number)
        if written is None:
            raise (
                EntryDestroyed(number) if ledger.is_destroyed(unit, number) else NotFound("log entry", number)
            )
        note = sign(unit, key, now=now)
        path = merkle.inclusion_path(number - 1, ledger.size(unit), ledger.tree(unit))
    return EntryProof(number, written.decode(), path, note)


def proofs(unit: Unit, numbers: Iterable[int], note: str) -> Iterator[EntryProof]:
    """Yield entries with the proof that they stand under a signed checkpoint; what is not there is passed over.

    Args:
        unit: the transaction.
        numbers: the entries.
        note: the checkpoint; all of them were written before it.
    """
    node = ledger.tree(unit)
    size = signed_note.checkpoint_in(signed_note.text_of(note)).size
    for number in numbers:
        written = ledger.written(unit, number)
        if written is not None:
            yield EntryProof(number, written.decode(), merkle.inclusion_path(number - 1, size, node), note)


def check(db: Database, actor: Actor, *, seen: Callable[[int], None] | None = None) -> LogCheck:
    """Go through the whole log: every entry against its hash, every hash against those below, every checkpoint.

    Args:
        db: the database.
        actor: who asks.
        seen: is told how many entries are done, now and then.

    Raises:
        KeyFileUnusable: the keys that signed cannot be read.
    """
    actor.must(Permission.LEDGER_READ)
    with db.reading() as unit:
        verifiers = key_file.verifiers(db.keys) if ledger.newest_checkpoint(unit) else ()
        return gone_through(unit, verifiers, seen=seen)


def gone_through(
    unit: Unit, verifiers: tuple[Verifier, ...], *, seen: Callable[[int], None] | None = None
) -> LogCheck:
    """Do what `check` does in an open transaction, with the keys that may have signed."""
    notes = ledger.every_checkpoint(unit)
    roots, troubles = _promised(notes, verifiers)
    audit = Audit(roots)
    entries = ledger.every(unit)
    troubles += audit.troubles(entries if seen is None else _watched(entries, seen))
    return LogCheck(audit.size, audit.root, len(notes), tuple(troubles), audit.destroyed)


def _promised(
    notes: tuple[str, ...], verifiers: tuple[Verifier, ...]
) -> tuple[dict[int, bytes], list[Trouble]]:
    """Return the roots by size that signed checkpoints promise, and the checkpoints that promise nothing."""
    roots: dict[int, bytes] = {}
    troubles = []
    for place, note in enumerate(notes, start=1):
        try:
            texts = [signed_note.checked(note, verifier) for verifier in verifiers]
            text = next(text for text in texts if text is not None)
            signed = signed_note.checkpoint_in(text)
        except (signed_note.NoteUnreadable, StopIteration):
            troubles.append(
                Trouble(0, f"Checkpoint {place} of {len(notes)} is not signed by a key of this log.")
            )
        else:
            roots[signed.size] = signed.root
    return roots, troubles


def _watched(entries: Iterator[Kept], seen: Callable[[int], None]) -> Iterator[Kept]:
    for kept in entries:
        if kept.number % 10_000 == 0:
            seen(kept.number)
        yield kept
