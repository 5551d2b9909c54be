"""Covered tasks of the operator's programme: rows ⇄ `CoveredTask`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from trainer.records import canonical
from trainer.records.conditions import Conditions, Grounds
from trainer.records.qualification import CoveredTask
from trainer.store.schema.modules import covered_tasks
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from sqlalchemy import Row

    from trainer.store.session import Unit


def put(unit: Unit, task: CoveredTask) -> None:
    """Register a task, or change what the register says of it; signed records keep what they said."""
    values = {
        "title": task.title,
        "group_title": task.group,
        "interval_months": task.interval_months,
        "interval_because": task.interval_because,
        "abnormal_conditions": canonical.written(list(task.abnormal_conditions)),
        "needed": task.needed,
        "grounds": canonical.written(task.grounds.as_data()),
        "conditions": canonical.written(task.conditions.as_data()),
    }
    unit.execute(
        insert(unit.dialect.name, covered_tasks)
        .values(id=task.id, **values)
        .on_conflict_do_update(index_elements=[covered_tasks.c.id], set_=values)
    )


def by_id(unit: Unit, task_id: str) -> CoveredTask | None:
    """Return a task, or None."""
    row = unit.execute(select(covered_tasks).where(covered_tasks.c.id == task_id)).one_or_none()
    return None if row is None else _task(row)


def every(unit: Unit) -> dict[str, CoveredTask]:
    """Return all tasks by id, in the order of their ids."""
    return {row.id: _task(row) for row in unit.execute(select(covered_tasks).order_by(covered_tasks.c.id))}


def _task(row: Row[Any]) -> CoveredTask:
    return CoveredTask(
        id=row.id,
        title=row.title,
        interval_months=row.interval_months,
        interval_because=row.interval_because,
        abnormal_conditions=tuple(canonical.read(row.abnormal_conditions)),
        group=row.group_title,
        needed=row.needed,
        grounds=Grounds.read(canonical.read(row.grounds)),
        conditions=Conditions.read(canonical.read(row.conditions)),
    )
