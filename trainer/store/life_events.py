"""What happens to qualifications after their signature: rows ⇄ `LifeEvent` and `Suspension`; nothing is ever changed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, exists, insert, select

from trainer.records.suspension import Cause, Suspension
from trainer.store import sequences
from trainer.store.schema.life import life_events

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit


_lifted = life_events.alias("lifted")
# After these what was shown before counts no more, unless it was a suspension that was lifted as unfounded.
IS_BREAK = life_events.c.act.in_(("suspended", "withdrawn", "stopped")) & ~exists().where(
    _lifted.c.about == life_events.c.id, _lifted.c.act == "lifted"
)
# Built once: it is asked with every answer of a sitting.
_BREAKS_OF = select(life_events.c.at).where(
    life_events.c.person_id == bindparam("of_person"),
    life_events.c.covered_task_id == bindparam("for_task"),
    IS_BREAK,
)


class Happened(StrEnum):
    """What happened."""

    SUSPENDED = "suspended"
    LIFTED = "lifted"
    RE_EVALUATED = "re_evaluated"
    WITHDRAWN = "withdrawn"
    STOPPED = "stopped"


@dataclass(frozen=True)
class LifeEvent:
    """One thing that happened, to the qualification of this number; `on_paper`: to one from an earlier paper."""

    id: int
    person_id: str
    task_id: str
    act: Happened
    cause: Cause | None
    on: date
    reason: str
    number: str
    about: int | None
    by: str
    by_name: str
    at: datetime
    on_paper: bool = False


def add(
    unit: Unit,
    *,
    person_id: str,
    task_id: str,
    act: Happened,
    on: date,
    reason: str,
    number: str,
    by: str,
    by_name: str,
    at: datetime,
    cause: Cause | None = None,
    about: Suspension | None = None,
    on_paper: bool = False,
    event_id: int | None = None,
) -> int:
    """Keep what happened and return its number; `about` is the suspension that it ends.

    `on_paper`: `number` is that of a record transcribed from an earlier paper.
    """
    values = {
        "person_id": person_id,
        "covered_task_id": task_id,
        "act": act.value,
        "kind": cause.value if cause else "",
        "on_day": on,
        "reason": reason,
        "qualification": None if on_paper else number,
        "earlier": number if on_paper else None,
        "about": about.id if about else None,
        "about_by": about.by if about else None,
        "by_id": by,
        "by_name": by_name,
        "at": at,
    }
    statement = insert(life_events).values(sequences.given(values, id=event_id))
    return int(unit.execute(statement.returning(life_events.c.id)).scalar_one())


def of_person(unit: Unit, person_id: str) -> tuple[LifeEvent, ...]:
    """Return all that happened to the qualifications of a person, in its order."""
    return among(unit, life_events.c.person_id == person_id)


def of_task(unit: Unit, task_id: str) -> tuple[LifeEvent, ...]:
    """Return all that happened to the qualifications for a task, in its order."""
    return among(unit, life_events.c.covered_task_id == task_id)


def breaks(unit: Unit, person_id: str, task_id: str) -> tuple[datetime, ...]:
    """Return when what a person had shown for a task ceased to count, without what was lifted as unfounded."""
    rows = unit.execute(_BREAKS_OF, {"of_person": person_id, "for_task": task_id})
    return tuple(row.at for row in rows)


def among(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[LifeEvent, ...]:
    """Return the events that meet some conditions, in their order."""
    rows = unit.execute(select(life_events).where(*conditions).order_by(life_events.c.id))
    return tuple(_event(row) for row in rows)


def suspensions(events: Iterable[LifeEvent]) -> dict[tuple[str, str], tuple[Suspension, ...]]:
    """Return the suspensions told by events, by (person, task), in their order."""
    listed = tuple(events)
    ends = {event.about: event for event in listed if event.about is not None}
    found: dict[tuple[str, str], list[Suspension]] = {}
    for event in listed:
        if event.act is Happened.SUSPENDED and event.cause is not None:
            found.setdefault((event.person_id, event.task_id), []).append(
                _suspension(event, event.cause, ends.get(event.id))
            )
    return {key: tuple(items) for key, items in found.items()}


def stopped(events: Iterable[LifeEvent]) -> frozenset[str]:
    """Return the numbers of the records whose people do the task no more."""
    return frozenset(event.number for event in events if event.act is Happened.STOPPED)


def _suspension(event: LifeEvent, cause: Cause, end: LifeEvent | None) -> Suspension:
    return Suspension(
        id=event.id,
        person_id=event.person_id,
        task_id=event.task_id,
        cause=cause,
        from_day=event.on,
        reason=event.reason,
        number=event.number,
        by=event.by,
        by_name=event.by_name,
        at=event.at,
        ended_on=end.on if end else None,
        ended_how=end.act.value if end else "",
        ended_reason=end.reason if end else "",
        ended_by_name=end.by_name if end else "",
        ended_at=end.at if end else None,
    )


def _event(row: Any) -> LifeEvent:
    return LifeEvent(
        id=row.id,
        person_id=row.person_id,
        task_id=row.covered_task_id,
        act=Happened(row.act),
        cause=Cause(row.kind) if row.kind else None,
        on=row.on_day,
        reason=row.reason,
        number=row.qualification or row.earlier,
        about=row.about,
        by=row.by_id,
        by_name=row.by_name,
        at=row.at,
        on_paper=row.earlier is not None,
    )
