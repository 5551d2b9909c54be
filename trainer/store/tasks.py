"""Covered tasks of the operator's programme: rows ⇄ `CoveredTask`."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from sqlalchemy import select

from trainer.records import canonical
from trainer.records.conditions import Conditions, Grounds
from trainer.records.qualification import CoveredTask
from trainer.store.schema.modules import covered_tasks
from trainer.store.upserts import insert

if TYPE_CHECKING:
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
    row = unit.execute(_EVERY.where(_T.id == task_id)).one_or_none()
    return None if row is None else _read(*row)


def every(unit: Unit) -> dict[str, CoveredTask]:
    """Return all tasks by id, in the order of their ids."""
    return {task.id: task for task in (_read(*row) for row in unit.execute(_EVERY))}


_T = covered_tasks.c
_EVERY = select(
    _T.id,
    _T.title,
    _T.group_title,
    _T.interval_months,
    _T.interval_because,
    _T.abnormal_conditions,
    _T.needed,
    _T.grounds,
    _T.conditions,
).order_by(_T.id)


# A page of many people asks for every task, and reading their texts would be most of its time. The same columns are the
# same task for ever, so nothing kept here grows old.
@lru_cache(maxsize=4096)
def _read(
    task_id: str,
    title: str,
    group: str,
    months: int,
    because: str,
    abnormal: str,
    needed: int,
    grounds: str,
    conditions: str,
) -> CoveredTask:
    return CoveredTask(
        id=task_id,
        title=title,
        interval_months=months,
        interval_because=because,
        abnormal_conditions=tuple(canonical.read(abnormal)),
        group=group,
        needed=needed,
        grounds=Grounds.read(canonical.read(grounds)),
        conditions=Conditions.read(canonical.read(conditions)),
    )
