"""What was decided about the end of keeping: rows ⇄ `KeepingEvent`, and whose keeping may have ended."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, insert, select, union

from trainer.records.keeping import Word
from trainer.store.schema.attempts import attempts
from trainer.store.schema.earlier import earlier_qualifications
from trainer.store.schema.keeping import keeping_events
from trainer.store.schema.life import life_events
from trainer.store.schema.modules import module_revisions
from trainer.store.schema.observations import observations
from trainer.store.schema.people import people
from trainer.store.schema.qualifications import evaluations, qualifications
from trainer.store.schema.sittings import sittings

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from typing import Any

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit


@dataclass(frozen=True)
class KeepingEvent:
    """One word on what is kept of a person at a task; `about` is the proposal or the hold that it ends."""

    id: int
    person_id: str
    task_id: str
    act: Word
    on: date
    earliest: date | None
    reason: str
    about: int | None
    by: str
    by_name: str
    at: datetime


def add(
    unit: Unit,
    *,
    person_id: str,
    task_id: str,
    act: Word,
    on: date,
    earliest: date | None,
    reason: str,
    about: KeepingEvent | None,
    by: str,
    by_name: str,
    at: datetime,
    event_id: int | None = None,
) -> int:
    """Return the number of the kept word; one of its own unless `event_id` tells it."""
    numbered = {} if event_id is None else {"id": event_id}
    statement = insert(keeping_events).values(
        **numbered,
        person_id=person_id,
        covered_task_id=task_id,
        act=act.value,
        on_day=on,
        earliest=earliest,
        reason=reason,
        about=about.id if about else None,
        about_by=about.by if about else None,
        by_id=by,
        by_name=by_name,
        at=at,
    )
    return int(unit.execute(statement.returning(keeping_events.c.id)).scalar_one())


def of_pair(unit: Unit, person_id: str, task_id: str) -> tuple[KeepingEvent, ...]:
    """Return all words on what is kept of a person at a task, in their order."""
    return _read(unit, keeping_events.c.person_id == person_id, keeping_events.c.covered_task_id == task_id)


def every(unit: Unit) -> tuple[KeepingEvent, ...]:
    """Return all words ever said, in their order."""
    return _read(unit)


def open_one(events: Sequence[KeepingEvent], act: Word) -> KeepingEvent | None:
    """Return the proposal, or the hold, of one person and task that nothing has ended, or None."""
    ended = {event.about for event in events}
    return next((e for e in reversed(events) if e.act is act and e.id not in ended), None)


def confirmed(
    unit: Unit, *, person_id: str | None = None, task_id: str | None = None
) -> tuple[KeepingEvent, ...]:
    """Return the confirmations for a person or a task, in their order: what they are about is kept no longer."""
    conditions = [keeping_events.c.act == Word.CONFIRMED.value]
    if person_id is not None:
        conditions.append(keeping_events.c.person_id == person_id)
    if task_id is not None:
        conditions.append(keeping_events.c.covered_task_id == task_id)
    return _read(unit, *conditions)


def candidates(unit: Unit) -> tuple[tuple[str, str], ...]:
    """Return (person, task) of whoever has left, or of whom it was noted that they do the task no more."""
    left = select(people.c.id).where(people.c.retired_at.is_not(None)).scalar_subquery()
    stopped = select(life_events.c.person_id, life_events.c.covered_task_id).where(
        life_events.c.act == "stopped"
    )
    of_task = [
        select(table.c.person_id, table.c.covered_task_id).where(table.c.person_id.in_(left))
        for table in (qualifications, earlier_qualifications, evaluations, observations)
    ]
    of_revision = [
        select(table.c.person_id, module_revisions.c.covered_task_id)
        .join(module_revisions, module_revisions.c.revision == table.c.revision)
        .where(table.c.person_id.in_(left))
        for table in (attempts, sittings)
    ]
    rows = unit.execute(union(stopped, *of_task, *of_revision))
    return tuple(sorted((row[0], row[1]) for row in rows))


@dataclass(frozen=True)
class Counted:
    """How many things are kept of a person at a task."""

    qualifications: int
    papers: int
    evaluations: int
    observations: int
    sittings: int
    attempts: int

    @property
    def any(self) -> bool:
        """There is something."""
        return any(self.as_data().values())

    def as_data(self) -> dict[str, int]:
        """Return the numbers by their names."""
        return dict(self.__dict__)


def counted(unit: Unit, person_id: str, task_id: str) -> Counted:
    """Return how many things are kept of a person at a task."""
    of_task = (
        _count(unit, table.c.person_id == person_id, table.c.covered_task_id == task_id)
        for table in (qualifications, earlier_qualifications, evaluations, observations)
    )
    revisions = select(module_revisions.c.revision).where(module_revisions.c.covered_task_id == task_id)
    of_revision = (
        _count(unit, table.c.person_id == person_id, table.c.revision.in_(revisions))
        for table in (sittings, attempts)
    )
    return Counted(*of_task, *of_revision)


def _count(unit: Unit, *conditions: Any) -> int:
    number: int = unit.execute(select(func.count()).where(*conditions)).scalar_one()
    return number


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[KeepingEvent, ...]:
    rows = unit.execute(select(keeping_events).where(*conditions).order_by(keeping_events.c.id))
    return tuple(
        KeepingEvent(
            row.id,
            row.person_id,
            row.covered_task_id,
            Word(row.act),
            row.on_day,
            row.earliest,
            row.reason,
            row.about,
            row.by_id,
            row.by_name,
            row.at,
        )
        for row in rows
    )
