"""Signing where the log stands, proving entries, and finding what was changed afterwards."""

from __future__ import annotations

import random
from dataclasses import replace
from hashlib import sha256
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import text

from tests import databases
from tests.actions import bench
from tests.people import AMA, BEN, INES, KIT, SOL, Someone
from trainer.actions import ledger, signed_records
from trainer.actions.actor import Actor, NotAllowed, NotFound
from trainer.records import canonical, credential, key_file, signed_note
from trainer.records.key_file import KeyFileUnusable
from trainer.records.proof import EntryProof, ProofUnreadable
from trainer.store import events

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.actions.opening import Database

KEYED = {"checkpoints": "size"}
NAME = "invented.example/log"


@pytest.fixture
def log(db: Database, tmp_path: Path) -> Database:
    """The company's log with a key and twenty entries more."""
    db.keys = tmp_path / "keys"
    key_file.make(db.keys, NAME)
    _note(db, 20)
    return db


def _actor(someone: Someone) -> Actor:
    return Actor(someone.id, someone.sign_in_name, someone.display_name, frozenset(someone.roles))


def _note(db: Database, count: int) -> None:
    for number in range(count):
        with db.writing() as unit:
            events.add(unit, at=bench.NOW, person_id=AMA.id, action="a:b", payload={"n": number})


def test_a_checkpoint_signs_size_and_root_and_stays_until_the_log_grows(log: Database) -> None:
    actor = _actor(KIT)
    note = ledger.checkpoint(log, actor, now=bench.NOW)
    assert ledger.checkpoint(log, actor, now=bench.NOW) == note
    signed = signed_note.checked(note, key_file.read(log.keys).verifier)
    assert signed is not None
    checkpoint = signed_note.checkpoint_in(signed)
    found = ledger.check(log, _actor(INES))
    assert (checkpoint.log, checkpoint.size, checkpoint.root) == (NAME, found.size, found.root)
    assert (found.checkpoints, found.troubles) == (1, ())
    _note(log, 1)
    assert ledger.checkpoint(log, actor, now=bench.NOW) != note
    assert ledger.check(log, _actor(INES)).checkpoints == 2


def test_nobody_signs_or_reads_the_log_who_may_not(log: Database) -> None:
    for someone in (AMA, INES):
        with pytest.raises(NotAllowed):
            ledger.checkpoint(log, _actor(someone), now=bench.NOW)
    with pytest.raises(NotAllowed):
        ledger.check(log, _actor(AMA))
    with pytest.raises(NotAllowed):
        ledger.proof(log, _actor(AMA), 1, now=bench.NOW)


def test_every_entry_is_proven_by_the_key_alone(log: Database) -> None:
    verifier = key_file.read(log.keys).verifier
    size = ledger.check(log, _actor(INES)).size
    for number in range(1, size + 1):
        proof = ledger.proof(log, _actor(INES), number, now=bench.NOW)
        assert EntryProof.read(proof.as_data()).faults(verifier) == ()
        assert replace(proof, number=number % size + 1).faults(verifier)
        assert replace(proof, entry=proof.entry.replace("2", "3")).faults(verifier)
    with pytest.raises(NotFound):
        ledger.proof(log, _actor(INES), size + 1, now=bench.NOW)


def test_a_proof_of_another_key_or_shape_is_refused(log: Database, tmp_path: Path) -> None:
    proof = ledger.proof(log, _actor(INES), 3, now=bench.NOW)
    other = key_file.make(tmp_path / "other", NAME).verifier
    assert proof.faults(other) == (f"The checkpoint is not signed by {NAME}.",)
    data = proof.as_data()
    several: list[Any] = [{}, [], {**data, "number": "3"}, {**data, "path": ["xy"]}]
    for broken in several:
        with pytest.raises(ProofUnreadable):
            EntryProof.read(broken)


def test_after_a_new_key_what_the_old_one_signed_still_fits(log: Database) -> None:
    ledger.checkpoint(log, _actor(KIT), now=bench.NOW)
    with pytest.raises(KeyFileUnusable, match="already"):
        key_file.make(log.keys, NAME)
    old = key_file.read(log.keys).verifier
    key_file.make(log.keys, NAME, replace=True)
    assert key_file.verifiers(log.keys)[1:] == (old,)
    _note(log, 1)
    ledger.checkpoint(log, _actor(KIT), now=bench.NOW)
    found = ledger.check(log, _actor(INES))
    assert (found.checkpoints, found.troubles) == (2, ())


def test_nothing_is_signed_over_a_log_that_was_changed(log: Database) -> None:
    ledger.checkpoint(log, _actor(KIT), now=bench.NOW)
    databases.unguarded(log, "events", "ledger", "checkpoints")
    with log.writing() as unit:
        unit.execute(text("DELETE FROM ledger WHERE number > 10"))
        unit.execute(text("DELETE FROM events WHERE number > 10"))
    _note(log, 30)
    with pytest.raises(ledger.LogNotGrown, match="nothing is signed"):
        ledger.checkpoint(log, _actor(KIT), now=bench.NOW)


def test_without_a_key_nothing_is_signed_and_the_sentence_says_what_to_do(
    db: Database, tmp_path: Path
) -> None:
    db.keys = tmp_path / "none"
    with pytest.raises(KeyFileUnusable, match="trainer key make"):
        ledger.checkpoint(db, _actor(KIT), now=bench.NOW)


# PostgreSQL keeps a time and a text in a form of its own; here every bit that is kept can be tried.
@pytest.mark.parametrize("db", ["sqlite"], indirect=True)
def test_any_bit_flipped_in_the_log_is_found(log: Database) -> None:
    """Every bit of a column that holds text or hashes, drawn by a seed: whatever is hit, the check names the entry.

    What is wrong with a checkpoint is told of the log as a whole, whose entry is 0.
    """
    ledger.checkpoint(log, _actor(KIT), now=bench.NOW)
    databases.unguarded(log, "events", "ledger", "checkpoints")
    draw = random.Random(5)  # noqa: S311  # which bits are tried
    size = ledger.check(log, _actor(INES)).size
    for _ in range(3000):
        table, column = draw.choice(
            [
                ("events", "payload"),
                ("events", "action"),
                ("events", "at"),
                ("ledger", "hashes"),
                ("checkpoints", "note"),
            ]
        )
        number = size if table == "checkpoints" else draw.randint(1, size)
        where = f"{KEYED.get(table, 'number')} = {number}"
        with databases.flipped(log, draw, table, column, where) as (changed, bit):
            if not changed:
                continue
            named = {trouble.number for trouble in ledger.check(log, _actor(INES)).troubles}
            assert named == {0} if table == "checkpoints" else number in named, (table, column, number, bit)
    assert ledger.check(log, _actor(INES)).troubles == ()


def test_a_signature_is_in_the_log_under_a_checkpoint_of_the_same_moment(log: Database) -> None:
    bench.make_ready(log, BEN)
    sol = bench.enter(log, SOL)
    signed = bench.sign_by(log, sol, BEN)
    packet = signed_records.proven_record(log, sol, signed.number)
    verifier = key_file.read(log.keys).verifier
    assert packet.proof is not None
    assert packet.proof.faults(verifier) == ()
    text = signed_note.checked(packet.proof.checkpoint, verifier)
    assert text is not None
    assert signed_note.checkpoint_in(text).size == packet.entry
    proof = ledger.proof(log, _actor(INES), packet.entry, now=bench.NOW)
    assert proof.faults(verifier) == ()
    assert canonical.read(proof.entry)["payload"]["record"] == packet.record.as_data()
    document = canonical.read(packet.credential.decode())
    assert credential.faults(document, [verifier], packet.record.valid_from) == ()
    assert (
        credential.record_hash(document)
        == sha256(canonical.written(packet.record.as_data()).encode()).hexdigest()
    )


def test_without_a_key_a_record_is_signed_and_printed_without_proof(db: Database, tmp_path: Path) -> None:
    db.keys = tmp_path / "none"
    bench.make_ready(db, BEN)
    sol = bench.enter(db, SOL)
    packet = signed_records.proven_record(db, sol, bench.sign_by(db, sol, BEN).number)
    assert (packet.proof, packet.credential) == (None, b"")
