"""What was published, answered, evaluated, signed or logged cannot be changed, whatever SQL comes."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import Date, insert, update
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store import guarded, samples
from trainer.records.keeping import Word
from trainer.store import earlier, events, ledger, notices, plans, policies, qualifications, task_changes
from trainer.store.schema import metadata
from trainer.store.schema.columns import UtcTime

if TYPE_CHECKING:
    from sqlalchemy import Column

    from trainer.store.session import Database

KEPT = (
    "module_revisions",
    "attempts",
    "evaluations",
    "events",
    "ledger",
    "checkpoints",
    "plans",
    "policies",
    "sittings",
    "sitting_questions",
    "sitting_answers",
    "sitting_ends",
    "life_events",
    "earlier_checks",
    "revision_reads",
    "task_changes",
    "task_changes_told",
    "keeping_events",
    "destroyed_entries",
    "change_demands",
    "change_steps",
)
END = ("ended_on", "ended_because")


@pytest.fixture
def filled(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
        samples.attempt(unit, "one")
        qualifications.add(unit, samples.qualification(samples.evaluation(unit)))
        samples.suspended(unit)
        samples.change_not_shown(unit)
        notices.read(unit, samples.REVISION, people.AMA.id, samples.NOON)
        policies.add(unit, {"sure": "0.95"}, because="The first.", by=people.KIT.id, at=samples.NOON)
        plans.add(unit, number=1, version=1, crew=people.CREW, sheet={}, by=people.SOL.id, at=samples.NOON)
        samples.sitting(unit)
        changed = task_changes.add(
            unit,
            before=None,
            after=samples.TASK,
            on_page=True,
            because="The first.",
            significant=True,
            by=people.KIT.id,
            at=samples.NOON,
        )
        task_changes.tell(unit, changed, told_on=date(2027, 3, 1), by=people.KIT.id, at=samples.NOON)
        events.add(unit, at=samples.NOON, person_id=people.AMA.id, action="attempt:add", payload={})
        ledger.add_checkpoint(unit, 1, "a note", samples.NOON)
        earlier.add(unit, samples.transcribed())
        # That two people decided about somebody else opens nothing here.
        proposed = samples.said(unit, Word.PROPOSED, person=people.BEN)
        confirmed = samples.said(unit, Word.CONFIRMED, person=people.BEN, about=proposed)
        named = {"number": 1, "confirmation": confirmed.id, "act": "confirmed"}
        unit.execute(insert(metadata.tables["destroyed_entries"]), named)
        earlier.add_check(
            unit, "EQ-2027-0001", earlier.Check("", people.SOL.id, "Sol", samples.NOON, "Same.")
        )
    return database


def _other_value(column: Column[object]) -> object:
    if isinstance(column.type, Date):
        return date(1999, 1, 1)
    if isinstance(column.type, UtcTime):
        return samples.NOON.replace(year=1999)
    if column.type.python_type is bool:
        return False
    if column.type.python_type is int:
        return 7
    if column.type.python_type is bytes:
        return bytes(32)
    return "c" * 10


@pytest.mark.parametrize("name", KEPT)
def test_no_column_can_be_changed(filled: Database, name: str) -> None:
    table = metadata.tables[name]
    for column in table.c:
        with (
            pytest.raises(IntegrityError, match=f"{name} are kept as written"),
            filled.writing() as unit,
        ):
            unit.execute(update(table).values({column.name: _other_value(column)}))


def test_nothing_that_was_signed_can_be_changed(filled: Database) -> None:
    table = metadata.tables["qualifications"]
    for column in table.c:
        if column.name in END:
            continue
        with (
            pytest.raises(IntegrityError, match="qualifications are kept as written"),
            filled.writing() as unit,
        ):
            unit.execute(update(table).values({column.name: _other_value(column)}))


@pytest.mark.parametrize("name", [*KEPT, "qualifications", "earlier_qualifications"])
def test_no_row_can_be_deleted(filled: Database, name: str) -> None:
    guarded.no_row_can_be_deleted(filled, name)


@pytest.mark.parametrize("name", [*KEPT, "qualifications", "earlier_qualifications"])
def test_no_row_can_be_replaced_or_emptied_away(filled: Database, name: str) -> None:
    guarded.no_row_can_be_replaced_or_emptied_away(filled, name)


def test_a_qualification_ends_once(filled: Database) -> None:
    with filled.writing() as unit:
        assert qualifications.end(unit, "QR-2027-0001", on=date(2028, 1, 1), because="Incident 7.")
        assert not qualifications.end(unit, "QR-2027-0001", on=date(2029, 1, 1), because="Again.")
    table = metadata.tables["qualifications"]
    with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
        unit.execute(update(table).values(ended_on=None, ended_because=""))
