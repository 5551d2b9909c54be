"""Giving somebody a module to practise, with or without a due date, and taking it back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import journal, life_steps
from trainer.actions.actor import NotFound
from trainer.actions.people import found_for
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act
from trainer.store import assignments, people

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.store.session import Database


class DueInThePast(TrainerError):
    """The due date has passed already."""

    def __init__(self, due: date) -> None:
        super().__init__(f"{due.isoformat()} has passed; choose a later due date, or none.")


class PersonHasLeft(TrainerError):
    """The person has retired."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} has left; nothing can be assigned or recorded any more.")


def assign(
    db: Database, actor: Actor, person_id: str, module_id: str, due: date | None, *, now: datetime
) -> None:
    """Assign a module, or give an assignment another due date.

    Raises:
        NotFound: no such person for this actor, or no such module.
        PersonHasLeft: the person has retired.
        LifeStepRefused: nobody may as things are with this person.
        DueInThePast: the due date has passed.
    """
    with db.writing() as unit:
        person = found_for(unit, actor, Permission.MODULE_ASSIGN, person_id)
        if person.retired_at is not None:
            raise PersonHasLeft(person.display_name)
        people.lock(unit, person_id)
        module = in_force(unit, module_id)
        life_steps.must(unit, Act.ASSIGN, actor, person_id, module.task_id, today=now.date())
        if due is not None and due < now.date():
            raise DueInThePast(due)
        kept = assignments.put(unit, person_id, module.module_id, due=due, at=now, by=actor.person_id)
        journal.note(
            unit,
            actor,
            "module:assign",
            at=now,
            assignment=kept,
            person=person_id,
            module=module_id,
            due=due.isoformat() if due else "",
        )


def withdraw(db: Database, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> None:
    """Take an assignment back; what was practised stays.

    Raises:
        NotFound: no such person for this actor, or the module is not assigned.
    """
    with db.writing() as unit:
        found_for(unit, actor, Permission.MODULE_ASSIGN, person_id)
        if not assignments.withdraw(unit, person_id, module_id, at=now, by=actor.person_id):
            raise NotFound("assigned module", module_id)
        journal.note(unit, actor, "module:withdraw", at=now, person=person_id, module=module_id)
