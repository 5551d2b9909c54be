"""Changes of covered tasks as they were made, and when the agency was told: rows ⇄ `TaskChange`. None is ever changed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import insert, select

from trainer.records import canonical
from trainer.records.qualification import CoveredTask
from trainer.store import sequences
from trainer.store.schema.modules import task_changes, task_changes_told
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class TaskChange:
    """A change of a task; `before` is None where it was new, `set_by` "" where it was read from the file."""

    number: int
    task_id: str
    at: datetime
    set_by: str
    setter_name: str
    on_page: bool
    before: CoveredTask | None
    after: CoveredTask
    because: str
    significant: bool
    told_on: date | None


_NEWEST_FIRST = (
    select(task_changes, task_changes_told.c.told_on, people.c.display_name)
    .select_from(
        task_changes.outerjoin(
            task_changes_told, task_changes_told.c.number == task_changes.c.number
        ).outerjoin(people, people.c.id == task_changes.c.set_by)
    )
    .order_by(task_changes.c.number.desc())
)


def add(
    unit: Unit,
    *,
    before: CoveredTask | None,
    after: CoveredTask,
    on_page: bool,
    because: str,
    significant: bool,
    by: str,
    at: datetime,
    number: int | None = None,
) -> int:
    """Keep a change and return its number; `by` is "" for what the file says."""
    row = {
        "covered_task_id": after.id,
        "at": at,
        "set_by": by or None,
        "on_page": on_page,
        "before": "" if before is None else canonical.written(before.as_data()),
        "after": canonical.written(after.as_data()),
        "because": because,
        "significant": significant,
    }
    new = insert(task_changes).values(sequences.given(row, number=number))
    kept: int = unit.execute(new.returning(task_changes.c.number)).scalar_one()
    return kept


def tell(unit: Unit, number: int, *, told_on: date, by: str, at: datetime) -> None:
    """Keep the day on which the agency was told of a change."""
    unit.execute(
        insert(task_changes_told).values(number=number, told_on=told_on, entered_by=by or None, at=at)
    )


def by_number(unit: Unit, number: int) -> TaskChange | None:
    """Return a change, or None."""
    row = unit.execute(_NEWEST_FIRST.where(task_changes.c.number == number)).one_or_none()
    return None if row is None else _change(row)


def every(unit: Unit, *, task_id: str | None = None) -> tuple[TaskChange, ...]:
    """Return all changes, or those of one task, the newest first."""
    wanted = (
        _NEWEST_FIRST if task_id is None else _NEWEST_FIRST.where(task_changes.c.covered_task_id == task_id)
    )
    return tuple(_change(row) for row in unit.execute(wanted))


def set_on_page(unit: Unit) -> frozenset[str]:
    """Return the ids of the tasks that were ever set on the page; the file says nothing of them any more."""
    rows = unit.execute(select(task_changes.c.covered_task_id).where(task_changes.c.on_page).distinct())
    return frozenset(rows.scalars())


def _change(row: Row[Any]) -> TaskChange:
    return TaskChange(
        number=row.number,
        task_id=row.covered_task_id,
        at=row.at,
        set_by=row.set_by or "",
        setter_name=row.display_name or "",
        on_page=row.on_page,
        before=CoveredTask.read(canonical.read(row.before)) if row.before else None,
        after=CoveredTask.read(canonical.read(row.after)),
        because=row.because,
        significant=row.significant,
        told_on=row.told_on,
    )
