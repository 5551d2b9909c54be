"""Photographs: kept once by their hash, never after the end, and nothing of them changed by whatever SQL comes."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import func, select, update
from sqlalchemy.exc import IntegrityError

from tests import people
from tests.store import guarded, samples
from trainer.records.photograph import Photograph, Pictured
from trainer.store import observations, photographs
from trainer.store.schema import metadata

if TYPE_CHECKING:
    from trainer.store.session import Database, Unit

KEPT = ("photographs", "observation_photographs")
ONE = Photograph(b"the bytes of a picture", 40, 30)


def begun(unit: Unit, ticket: str = "one") -> int:
    return observations.begin(
        unit,
        ticket=ticket,
        person_id=people.AMA.id,
        module_id="main-valve",
        revision=samples.REVISION,
        task_id=samples.TASK.id,
        size="DN 80",
        evaluator_id=people.MIRA.id,
        beside=None,
        begun_at=samples.NOON,
    ).id


def add(unit: Unit, number: int, ticket: str = "a", step: str = "vent") -> Pictured:
    kept, _ = photographs.add(unit, number, step, ONE, ticket=ticket, at=samples.NOON, kept_at=samples.NOON)
    return kept


@pytest.fixture
def filled(database: Database) -> Database:
    with database.writing() as unit:
        samples.publish(unit)
        add(unit, begun(unit))
    return database


def test_it_is_read_back_as_it_was_kept(filled: Database) -> None:
    wanted = Pictured("vent", ONE.sha256, 40, 30, samples.NOON)
    with filled.reading() as unit:
        assert photographs.of_observation(unit, 1) == (wanted,)
        assert photographs.by_ticket(unit, 1, "a") == wanted
        assert photographs.by_ticket(unit, 1, "b") is None
        assert photographs.of_observation_by_hash(unit, 1, ONE.sha256) == ONE
        assert photographs.of_observation_by_hash(unit, 2, ONE.sha256) is None


def test_the_same_bytes_are_stored_once(filled: Database) -> None:
    with filled.writing() as unit:
        add(unit, 1, "b", "shut")
        add(unit, begun(unit, "two"))
        assert (
            unit.execute(select(func.count()).select_from(metadata.tables["photographs"])).scalar_one() == 1
        )
        assert [one.step for one in photographs.of_observation(unit, 1)] == ["vent", "shut"]


@pytest.mark.parametrize(("ticket", "step"), [("a", "shut"), ("b", "vent")])
def test_neither_a_ticket_nor_a_picture_of_a_step_comes_twice(
    filled: Database, ticket: str, step: str
) -> None:
    with pytest.raises(IntegrityError), filled.writing() as unit:
        add(unit, 1, ticket, step)


def other_value(column: Any) -> object:
    if column.type.python_type is bytes:
        return b"another picture"
    if column.name in ("at", "kept_at"):
        return samples.NOON.replace(year=1999)
    return 7 if column.type.python_type is int else "c" * 64


@pytest.mark.parametrize("name", KEPT)
def test_no_column_can_be_changed(filled: Database, name: str) -> None:
    table = metadata.tables[name]
    for column in table.c:
        with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
            unit.execute(update(table).values({column.name: other_value(column)}))


@pytest.mark.parametrize("name", KEPT)
def test_no_row_can_be_deleted_replaced_or_emptied_away(filled: Database, name: str) -> None:
    guarded.no_row_can_be_deleted(filled, name)
    guarded.no_row_can_be_replaced_or_emptied_away(filled, name)


def test_none_comes_after_the_end(filled: Database) -> None:
    with filled.writing() as unit:
        observations.give_up(unit, 1, "Called away.", samples.NOON)
    with pytest.raises(IntegrityError, match="kept as written"), filled.writing() as unit:
        add(unit, 1, "late", "shut")
