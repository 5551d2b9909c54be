"""The proof of the log: kept with every event, found wanting after any change."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

import pytest
from alembic import command
from sqlalchemy import insert, text

from tests.people import AMA
from tests.store.samples import NOON
from trainer.records import merkle
from trainer.records.audit import Audit
from trainer.store import events, ledger, upgrade
from trainer.store.schema.log import events as log

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

ENTRIES = 37


def _note(unit: Unit, count: int) -> None:
    for number in range(count):
        events.add(unit, at=NOON, person_id=AMA.id, action="a:b", payload={"n": number, "text": "µ"})


def _note_and_fail(database: Database) -> None:
    with database.writing() as unit:
        _note(unit, 3)
        raise LookupError


@pytest.fixture
def filled(database: Database) -> Database:
    with database.writing() as unit:
        _note(unit, ENTRIES)
    return database


def _leaves(unit: Unit) -> list[bytes]:
    written = [ledger.written(unit, number) for number in range(1, ledger.size(unit) + 1)]
    return [merkle.leaf_hash(entry) for entry in written if entry is not None]


def _troubles(database: Database, roots: dict[int, bytes] | None = None) -> list[str]:
    with database.reading() as unit:
        return [trouble.text for trouble in Audit(roots or {}).troubles(ledger.every(unit))]


def test_the_root_is_that_of_a_tree_over_the_entries(filled: Database) -> None:
    with filled.reading() as unit:
        leaves = _leaves(unit)
        assert len(leaves) == ENTRIES
        for size in range(1, ENTRIES + 1):
            assert ledger.root(unit, size) == merkle.root(leaves[:size])
    assert _troubles(filled) == []


def test_every_entry_can_be_proven_and_every_growth(filled: Database) -> None:
    with filled.reading() as unit:
        leaves, node = _leaves(unit), ledger.tree(unit)
        root = ledger.root(unit, ENTRIES)
        for index in range(ENTRIES):
            path = merkle.inclusion_path(index, ENTRIES, node)
            assert merkle.is_included(index, ENTRIES, leaves[index], path, root)
            path = merkle.consistency_path(index + 1, ENTRIES, node)
            assert merkle.has_grown(index + 1, ENTRIES, ledger.root(unit, index + 1), root, path)


def test_what_is_taken_back_leaves_no_trace(filled: Database) -> None:
    with pytest.raises(LookupError):
        _note_and_fail(filled)
    with filled.writing() as unit:
        _note(unit, 1)
    with filled.reading() as unit:
        assert ledger.size(unit) == ENTRIES + 1
    assert _troubles(filled) == []


def test_many_who_write_at_once_make_one_tree(database: Database) -> None:
    def write(_thread: int) -> None:
        for _turn in range(8):
            with database.writing() as unit:
                _note(unit, 1)

    with ThreadPoolExecutor(6) as pool:
        for done in [pool.submit(write, number) for number in range(6)]:
            done.result()
    with database.reading() as unit:
        assert ledger.root(unit, 48) == merkle.root(_leaves(unit))
    assert _troubles(database) == []


def _change(database: Database, *statements: str) -> None:
    """Change rows past the guards, as somebody can who owns the database."""
    with database.writing() as unit:
        for table in ("events", "ledger"):
            if unit.dialect.name == "postgresql":
                unit.execute(text(f"ALTER TABLE {table} DISABLE TRIGGER ALL"))
            else:
                unit.execute(text(f"DROP TRIGGER {table}_keep"))
                unit.execute(text(f"DROP TRIGGER {table}_stay"))
        for statement in statements:
            unit.exec_driver_sql(statement)


@pytest.mark.parametrize(
    "change",
    [
        'payload = \'{"n":99,"text":"µ"}\'',
        "action = 'a:c'",
        "person_id = NULL",
        "at = '2027-03-17 12:00:00.000001'",
    ],
)
def test_no_column_of_an_entry_can_be_changed_unseen(filled: Database, change: str) -> None:
    _change(filled, f"UPDATE events SET {change} WHERE number = 17")  # noqa: S608  # the four changes above
    assert _troubles(filled) == ["Entry 17 is not what it was when it was written."]


def test_an_entry_taken_out_is_missed(filled: Database) -> None:
    _change(filled, "DELETE FROM ledger WHERE number = 17", "DELETE FROM events WHERE number = 17")
    assert _troubles(filled) == ["Entry 17 is missing; entry 18 follows."]


def test_entries_cut_off_at_the_end_are_missed_by_a_checkpoint(filled: Database) -> None:
    with filled.reading() as unit:
        root = ledger.root(unit, ENTRIES)
    _change(filled, "DELETE FROM ledger WHERE number > 30", "DELETE FROM events WHERE number > 30")
    assert _troubles(filled) == []
    assert _troubles(filled, {ENTRIES: root}) == [
        "The log has 30 entries, but a checkpoint was signed over 37."
    ]


def test_a_log_hashed_anew_does_not_fit_its_checkpoint(filled: Database) -> None:
    """Whoever owns the database can make all hashes fit again; what was signed before tells."""
    with filled.reading() as unit:
        root = ledger.root(unit, ENTRIES)
    _change(filled, "UPDATE events SET action = 'a:c' WHERE number = 17")
    with filled.writing() as unit:
        written = [ledger.written(unit, number) or b"" for number in range(1, ENTRIES + 1)]
        unit.execute(text("DELETE FROM ledger"))
        for number, entry in enumerate(written, start=1):
            ledger.append(unit, number, entry)
    assert _troubles(filled) == []
    assert _troubles(filled, {ENTRIES: root}) == [
        "The first 37 entries are not those of the checkpoint made then."
    ]


def test_a_hash_changed_above_the_entries_is_named(filled: Database) -> None:
    with filled.reading() as unit:
        kept = next(kept for kept in ledger.every(unit) if kept.number == 16)
    wrong = kept.hashes[:-1] + bytes([kept.hashes[-1] ^ 1])
    _change(filled, f"UPDATE ledger SET hashes = {_bytes(filled, wrong)} WHERE number = 16")  # noqa: S608  # figures
    # Entry 32 completes the subtree in which the changed hash stands as well.
    assert _troubles(filled) == [
        f"The hashes above entry {number} do not follow from those below." for number in (16, 32)
    ]


def _bytes(database: Database, value: bytes) -> str:
    return f"X'{value.hex()}'" if database.is_sqlite else f"'\\x{value.hex()}'::bytea"


def test_an_event_past_the_ledger_is_seen(filled: Database) -> None:
    with filled.writing() as unit:
        unit.execute(
            insert(log),
            {"number": ENTRIES + 1, "at": NOON, "person_id": None, "action": "a:b", "payload": "{}"},
        )
    assert _troubles(filled) == [
        "Entry 38 is not what it was when it was written.",
        "Of entry 38 0 hashes are kept, not 2.",
    ]


def test_a_log_that_is_older_than_its_proof_gets_it_with_the_upgrade(empty: Database) -> None:
    with empty.writing() as unit:
        command.upgrade(upgrade.config(unit), "0003")
        for number in range(1, 6):
            unit.execute(
                insert(log),
                {
                    "number": number,
                    "at": NOON,
                    "person_id": None,
                    "action": "a:b",
                    "payload": f'{{"n":{number}}}',
                },
            )
    upgrade.to_newest(empty)
    assert _troubles(empty) == []
    with empty.reading() as unit:
        assert ledger.root(unit, 5) == merkle.root(_leaves(unit))
