from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy.exc import IntegrityError

from tests.people import AMA, BEN, CREW, KIT, MIRA, OTHER_CREW
from tests.store import samples
from tests.store.samples import NEXT_REVISION, NOON, REVISION, TASK
from trainer.store import assignments, modules, people, tasks

if TYPE_CHECKING:
    from trainer.store.session import Database


def test_a_task_is_registered_and_changed(database: Database) -> None:
    with database.writing() as unit:
        tasks.put(unit, TASK)
        tasks.put(unit, replace(TASK, needed=5))
        assert tasks.by_id(unit, TASK.id) == replace(TASK, needed=5)
        assert tasks.every(unit) == {TASK.id: replace(TASK, needed=5)}
        assert tasks.by_id(unit, "T-99") is None


@pytest.mark.parametrize(
    "broken", [{"interval_months": 0}, {"interval_because": ""}, {"needed": -1}, {"title": ""}]
)
def test_a_task_that_makes_no_sense_is_refused(database: Database, broken: dict[str, object]) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        tasks.put(unit, replace(TASK, **broken))  # type: ignore[arg-type]  # broken on purpose


def test_the_revision_in_force_is_the_one_put_there_last(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        samples.publish(unit, NEXT_REVISION, at=NOON + timedelta(days=1), by="")
        current = modules.current(unit, "main-valve")
        assert current is not None
        assert (current.revision, current.publisher) == (NEXT_REVISION, "")
        assert modules.in_force(unit) == (current,)
        before = modules.by_revision(unit, REVISION)
        assert before is not None
        assert (before.publisher, before.published_at) == (KIT.display_name, NOON)
        assert modules.current(unit, "no-such") is None
        assert modules.by_revision(unit, "c" * 64) is None
        assert modules.text(unit, REVISION) == modules.RevisionText(
            "module: main-valve\n", "main-valve.yaml", '{"module":"main-valve"}'
        )
        assert modules.text(unit, "c" * 64) is None


def test_a_module_cannot_be_in_force_with_a_revision_of_another(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
    with pytest.raises(IntegrityError), database.writing() as unit:
        modules.put_in_force(unit, "another-module", REVISION, NOON)


def test_an_assignment_is_open_until_it_is_withdrawn(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        assignments.put(unit, AMA.id, "main-valve", due=None, at=NOON, by=MIRA.id)
        assignments.put(unit, AMA.id, "main-valve", due=date(2027, 4, 1), at=NOON, by="")
        (one,) = assignments.of_person(unit, AMA.id)
        assert (one.module_id, one.due, one.assigned_at) == ("main-valve", date(2027, 4, 1), NOON)
        assert assignments.withdraw(unit, AMA.id, "main-valve", at=NOON, by=MIRA.id)
        assert not assignments.withdraw(unit, AMA.id, "main-valve", at=NOON, by=MIRA.id)
        assert assignments.of_person(unit, AMA.id) == ()


def test_a_module_that_is_not_in_force_cannot_be_assigned(database: Database) -> None:
    with pytest.raises(IntegrityError), database.writing() as unit:
        assignments.put(unit, AMA.id, "main-valve", due=None, at=NOON, by=MIRA.id)


def test_assignments_of_a_crew_leave_out_strangers_and_who_has_left(database: Database) -> None:
    with database.writing() as unit:
        samples.publish(unit)
        for someone in (AMA, BEN):
            assignments.put(unit, someone.id, "main-valve", due=None, at=NOON, by="")
        people.retire(unit, BEN.id, NOON)
        assert set(assignments.of_people(unit)) == {AMA.id}
        assert set(assignments.of_people(unit, crew=CREW)) == {AMA.id}
        assert assignments.of_people(unit, crew=OTHER_CREW) == {}
