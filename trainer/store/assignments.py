"""Who has to practise which module, by when: rows ⇄ `Assignment`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select, update

from trainer.store import sequences
from trainer.store.schema.modules import assignments, module_revisions
from trainer.store.schema.people import people
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Assignment:
    """An open assignment."""

    person_id: str
    module_id: str
    due: date | None
    assigned_at: datetime


@dataclass(frozen=True)
class Assigned:
    """An assignment, open or withdrawn, and by whom; "" for the command line on the host."""

    module_id: str
    due: date | None
    assigned_at: datetime
    assigned_by: str
    withdrawn_at: datetime | None
    withdrawn_by: str


_OPEN = assignments.c.withdrawn_at.is_(None)


def put(
    unit: Unit,
    person_id: str,
    module_id: str,
    *,
    due: date | None,
    at: datetime,
    by: str,
    number: int | None = None,
) -> int:
    """Assign a module, or give an open assignment another due date; return the number of the assignment."""
    values = {
        "person_id": person_id,
        "module_id": module_id,
        "due": due,
        "assigned_at": at,
        "assigned_by": by or None,
    }
    kept: int = unit.execute(
        insert(unit.dialect.name, assignments)
        .values(sequences.given(values, id=number))
        .on_conflict_do_update(
            index_elements=[assignments.c.person_id, assignments.c.module_id],
            index_where=_OPEN,
            set_={"due": due},
        )
        .returning(assignments.c.id)
    ).scalar_one()
    return kept


def withdraw(unit: Unit, person_id: str, module_id: str, *, at: datetime, by: str) -> bool:
    """Close an open assignment; return whether there was one."""
    closed = unit.execute(
        update(assignments)
        .where(assignments.c.person_id == person_id, assignments.c.module_id == module_id, _OPEN)
        .values(withdrawn_at=at, withdrawn_by=by or None)
    )
    return bool(closed.rowcount)


def of_person(unit: Unit, person_id: str) -> tuple[Assignment, ...]:
    """Return a person's open assignments, the oldest first."""
    return _read(unit, assignments.c.person_id == person_id)


def ever_of(unit: Unit, person_id: str) -> tuple[Assigned, ...]:
    """Return all assignments that a person ever had, the oldest first."""
    rows = unit.execute(
        select(assignments).where(assignments.c.person_id == person_id).order_by(assignments.c.id)
    )
    return tuple(
        Assigned(
            row.module_id,
            row.due,
            row.assigned_at,
            row.assigned_by or "",
            row.withdrawn_at,
            row.withdrawn_by or "",
        )
        for row in rows
    )


def of_people(unit: Unit, *, crew: str | None = None) -> dict[str, tuple[Assignment, ...]]:
    """Return the open assignments of everybody still here, or of one crew, by person."""
    here = select(people.c.id).where(people.c.retired_at.is_(None))
    if crew is not None:
        here = here.where(people.c.crew == crew)
    found: dict[str, list[Assignment]] = {}
    for assignment in _read(unit, assignments.c.person_id.in_(here)):
        found.setdefault(assignment.person_id, []).append(assignment)
    return {person: tuple(listed) for person, listed in found.items()}


def assigners(unit: Unit, person_id: str, task_id: str) -> frozenset[str]:
    """Return who ever put a module that serves a task on a person's sheet."""
    serves = select(module_revisions.c.module_id).where(module_revisions.c.covered_task_id == task_id)
    rows = unit.execute(
        select(assignments.c.assigned_by).where(
            assignments.c.person_id == person_id,
            assignments.c.module_id.in_(serves),
            assignments.c.assigned_by.is_not(None),
        )
    )
    return frozenset(rows.scalars())


def _read(unit: Unit, condition: ColumnElement[bool]) -> tuple[Assignment, ...]:
    rows = unit.execute(
        select(assignments.c.person_id, assignments.c.module_id, assignments.c.due, assignments.c.assigned_at)
        .where(condition, _OPEN)
        .order_by(assignments.c.id)
    )
    return tuple(Assignment(row.person_id, row.module_id, row.due, row.assigned_at) for row in rows)
