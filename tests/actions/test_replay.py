"""Decisions follow from the log alone: whatever the tables say, and whenever it is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text

from tests import databases
from tests.actions import bench
from tests.people import AMA, BEN, SOL
from trainer.actions import replay, signed_records
from trainer.actions.actor import SYSTEM, NotAllowed
from trainer.store import events

if TYPE_CHECKING:
    from trainer.actions.opening import Database


@pytest.fixture
def signed(db: Database) -> str:
    """The number of a record signed on sittings, an evaluation and what was seen."""
    bench.make_ready(db, BEN)
    return bench.sign_by(db, bench.enter(db, SOL), BEN).number


def test_what_was_signed_follows_from_the_entries_before_it(db: Database, signed: str) -> None:
    assert signed
    assert replay.decisions(db, SYSTEM) == replay.Replayed(1, ())


def test_the_tables_have_no_say(db: Database, signed: str) -> None:
    """Answers changed or lost in their table change nothing about what the log says."""
    assert signed
    databases.unguarded(db, "sitting_answers")
    with db.writing() as unit:
        unit.execute(text("UPDATE sitting_answers SET is_right = :wrong"), {"wrong": False})
    assert replay.decisions(db, SYSTEM) == replay.Replayed(1, ())


def test_a_record_that_says_more_than_its_evidence_is_named(db: Database, signed: str) -> None:
    record = signed_records.record(db, bench.enter(db, SOL), signed)
    better = replace(record, classes=tuple(replace(one, attempts=one.attempts + 5) for one in record.classes))
    with db.writing() as unit:
        events.add(
            unit,
            at=bench.NOW + timedelta(days=1),
            person_id=SOL.id,
            action="qualification:sign",
            payload={"record": better.as_data(), "evaluation": 1, "session": 1},
        )
    [trouble] = replay.decisions(db, SYSTEM).troubles
    assert trouble.text.startswith(f"Record {signed} says something else than the entries before it")


def test_only_who_may_read_the_log_asks(db: Database) -> None:
    with pytest.raises(NotAllowed):
        replay.decisions(db, bench.enter(db, AMA))
