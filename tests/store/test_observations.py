"""Observations: kept once, ended once, and nothing of them changed by whatever SQL comes."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import Date, update
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store import guarded, samples
from trainer.records.observation import StepMark, StepSeen
from trainer.store import observations
from trainer.store.observations import Entry, Observation
from trainer.store.schema import metadata
from trainer.store.schema.columns import UtcTime

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

KEPT = ("observations", "observation_entries", "evaluation_observations")
ENDS = {"given_up_at", "given_up_because", "closed_at", "record"}


def begun(unit: Unit, ticket: str = "one", **changed: Any) -> Observation:
    values: dict[str, Any] = {
        "person_id": people.AMA.id,
        "module_id": "main-valve",
        "revision": samples.REVISION,
        "task_id": samples.TASK.id,
        "size": "DN 80",
        "evaluator_id": people.MIRA.id,
        "beside": None,
        "begun_at": samples.NOON,
    }
    return observations.begin(unit, ticket=ticket, **(values | changed))


def entry(
    ticket: str, step: str = "vent", mark: StepMark | None = StepMark.UNAIDED, minute: int = 1
) -> Entry:
    return Entry(ticket, StepSeen(step, mark, "", samples.NOON + timedelta(minutes=minute)))


@pytest.fixture
def filled(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
        kept = begun(unit)
        observations.enter(unit, kept.id, [entry("a")], kept_at=samples.NOON)
        observations.rest_on(unit, samples.evaluation(unit), kept.id)
        observations.close(unit, kept.id, {"record": "observation", "witnessed": []}, samples.NOON)
    return database


def test_an_entry_is_kept_once_however_often_it_comes(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        kept = begun(unit)
        first = observations.enter(unit, kept.id, [entry("a"), entry("b", "lift")], kept_at=samples.NOON)
        again = observations.enter(unit, kept.id, [entry("b", "lift"), entry("c")], kept_at=samples.NOON)
        assert [item.ticket for item in first] == ["a", "b"]
        assert [item.ticket for item in again] == ["c"]
        assert [item.step for item in observations.entries_of(unit, kept.id)] == ["vent", "lift", "vent"]
        assert observations.by_ticket(unit, people.MIRA.id, "one") == kept
        assert observations.open_of(unit, people.MIRA.id) == (kept,)


def test_what_was_closed_is_read_back_as_it_was_signed(filled: Database) -> None:
    with filled.reading() as unit:
        (kept,) = observations.closed_of(unit, people.AMA.id, "main-valve")
        assert kept.record == {"record": "observation", "witnessed": []}
        assert not kept.is_open
        assert observations.closed_by(unit, people.MIRA.id, limit=5) == (kept,)
        assert observations.open_of(unit, people.MIRA.id) == ()
        assert observations.under(unit, 1) == kept
        assert observations.under_each(unit, people.AMA.id) == {1: kept.id}
        assert observations.under_each(unit, people.MIRA.id) == {}


def test_a_job_watched_by_two_is_found(filled: Database) -> None:
    with filled.writing() as unit:
        second = begun(unit, evaluator_id=people.SOL.id, beside=1)
        assert second.job == 1
        assert observations.closed_twice(unit) == ()
        observations.close(unit, second.id, {"record": "observation"}, samples.NOON)
        assert [item.id for item in observations.closed_twice(unit)] == [1, second.id]


def test_nobody_observes_themselves(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
    with pytest.raises(IntegrityError), database.writing() as unit:
        begun(unit, evaluator_id=people.AMA.id)


def other_value(column: Any) -> object:
    if isinstance(column.type, Date):
        return date(1999, 1, 1)
    if isinstance(column.type, UtcTime):
        return samples.NOON.replace(year=1999)
    return 7 if column.type.python_type is int else "c" * 10


@pytest.mark.parametrize("name", KEPT)
def test_no_column_of_what_was_closed_can_be_changed(filled: Database, name: str) -> None:
    table = metadata.tables[name]
    for column in table.c:
        with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
            unit.execute(update(table).values({column.name: other_value(column)}))


def test_of_an_open_one_the_end_alone_can_be_written(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        begun(unit)
    table = metadata.tables["observations"]
    for column in table.c:
        if column.name not in ENDS:
            with pytest.raises(IntegrityError, match="kept as written"), database.writing() as unit:
                unit.execute(update(table).values({column.name: other_value(column)}))
    with database.writing() as unit:
        observations.give_up(unit, 1, "Called away.", samples.NOON)
    with pytest.raises(IntegrityError, match="kept as written"), database.writing() as unit:
        unit.execute(update(table).values(given_up_at=None, given_up_because=""))


@pytest.mark.parametrize("name", KEPT)
def test_no_row_can_be_deleted_replaced_or_emptied_away(filled: Database, name: str) -> None:
    guarded.no_row_can_be_deleted(filled, name)
    guarded.no_row_can_be_replaced_or_emptied_away(filled, name)


def test_nothing_is_entered_after_the_end(filled: Database) -> None:
    with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
        observations.enter(unit, 1, [entry("late")], kept_at=datetime.now(samples.NOON.tzinfo))
