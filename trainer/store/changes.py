"""Changes that have to be shown anew: rows ⇄ `Demand`, `DemandStep`, and the suspensions they come to by themselves.

From the day after it is due a demand that nothing ended holds the person back; that is worked out from its rows for any
day, so no timer has to run. What was found not shown holds back from that day on.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, exists, insert, select

from trainer.records import canonical
from trainer.records.suspension import Cause, Suspension
from trainer.store import sequences
from trainer.store.schema.changes import change_demands, change_steps
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit

_DAY = timedelta(days=1)


class Step(StrEnum):
    """What became of a demand; all but the second end it."""

    SHOWN = "shown"
    NOT_SHOWN = "not_shown"
    SIGNED_ANEW = "signed_anew"
    RECALLED = "recalled"


@dataclass(frozen=True)
class DemandStep:
    """One thing that became of a demand; `evidence` is what a supervisor confirmed, {} for everything else."""

    id: int
    act: Step
    on: date
    reason: str
    evidence: Mapping[str, Any]
    by: str
    by_name: str
    at: datetime


@dataclass(frozen=True)
class Demand:
    """What one person has to show of one revision; `number` is the qualification that was in force."""

    id: int
    person_id: str
    task_id: str
    number: str
    module_id: str
    revision: str
    signed_under: str
    classes: tuple[str, ...]
    reason: str
    due: date
    by: str
    by_name: str
    at: datetime
    steps: tuple[DemandStep, ...] = ()

    @property
    def end(self) -> DemandStep | None:
        """What ended it, None while it is open."""
        return next((step for step in self.steps if step.act is not Step.NOT_SHOWN), None)

    @property
    def failed(self) -> DemandStep | None:
        """When it was found not shown, None unless it was."""
        return next((step for step in self.steps if step.act is Step.NOT_SHOWN), None)

    @property
    def suspensions(self) -> tuple[Suspension, ...]:
        """The days on which it holds the person back."""
        told = f"Revision {self.revision[:10]}, to be shown by {self.due.isoformat()}. {self.reason}"
        found = [self._holding_back(self.due + _DAY, told, self.by, self.by_name, self.at)]
        failed = self.failed
        if failed is not None:
            found.append(
                self._holding_back(
                    failed.on, failed.reason, failed.by, failed.by_name, failed.at, failed=True
                )
            )
        return tuple(found)

    def _holding_back(
        self, from_day: date, reason: str, by: str, by_name: str, at: datetime, *, failed: bool = False
    ) -> Suspension:
        end = self.end
        return Suspension(
            id=0,
            person_id=self.person_id,
            task_id=self.task_id,
            cause=Cause.CHANGE,
            from_day=from_day,
            reason=reason,
            number=self.number,
            by=by,
            by_name=by_name,
            at=at,
            ended_on=end.on if end else None,
            ended_how=end.act.value if end else "",
            ended_reason=end.reason if end else "",
            ended_by_name=end.by_name if end else "",
            ended_at=end.at if end else None,
            demand=self.id,
            failed=failed,
        )


def ask(
    unit: Unit,
    *,
    person_id: str,
    task_id: str,
    number: str,
    module_id: str,
    revision: str,
    signed_under: str,
    classes: Iterable[str],
    reason: str,
    due: date,
    by: str,
    by_name: str,
    at: datetime,
    demand_id: int | None = None,
) -> int:
    """Keep that somebody has to show a change, and return the number of the demand."""
    values = {
        "person_id": person_id,
        "covered_task_id": task_id,
        "qualification": number,
        "module_id": module_id,
        "revision": revision,
        "signed_under": signed_under,
        "classes": canonical.written(list(classes)),
        "reason": reason,
        "due": due,
        "by_id": by or None,
        "by_name": by_name,
        "at": at,
    }
    statement = insert(change_demands).values(sequences.given(values, id=demand_id))
    return int(unit.execute(statement.returning(change_demands.c.id)).scalar_one())


def add(
    unit: Unit,
    demand: Demand,
    act: Step,
    *,
    on: date,
    reason: str,
    by: str,
    by_name: str,
    at: datetime,
    evidence: Mapping[str, Any] | None = None,
    step_id: int | None = None,
) -> int:
    """Keep what became of a demand, and return the number of the step."""
    values = {
        "demand": demand.id,
        "person_id": demand.person_id,
        "act": act.value,
        "ends": None if act is Step.NOT_SHOWN else demand.id,
        "on_day": on,
        "reason": reason,
        "evidence": canonical.written(dict(evidence)) if evidence else "",
        "by_id": by or None,
        "by_name": by_name,
        "at": at,
    }
    statement = insert(change_steps).values(sequences.given(values, id=step_id))
    return int(unit.execute(statement.returning(change_steps.c.id)).scalar_one())


def of_person(unit: Unit, person_id: str) -> tuple[Demand, ...]:
    """Return all that a person ever had to show anew, in its order."""
    return among(unit, change_demands.c.person_id == person_id)


def by_id(unit: Unit, number: int) -> Demand | None:
    """Return a demand by its number, or None."""
    return next(iter(among(unit, change_demands.c.id == number)), None)


def of_task(unit: Unit, task_id: str) -> tuple[Demand, ...]:
    """Return all that ever had to be shown anew for a task, in its order."""
    return among(unit, change_demands.c.covered_task_id == task_id)


def of_module(unit: Unit, module_id: str) -> tuple[Demand, ...]:
    """Return all that ever had to be shown anew of a module, in its order."""
    return among(unit, change_demands.c.module_id == module_id)


def open_ones(unit: Unit, *, crew: str | None = None) -> tuple[Demand, ...]:
    """Return the demands on everybody still here, or on one crew, that nothing has ended, in their order."""
    ended = select(change_steps.c.ends).where(change_steps.c.ends.is_not(None))
    # Few demands are open, and everybody would be a long list to look them up in.
    here = exists().where(people.c.id == change_demands.c.person_id, people.c.retired_at.is_(None))
    if crew is not None:
        here = here.where(people.c.crew == crew)
    return among(unit, change_demands.c.id.not_in(ended), here)


def among(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Demand, ...]:
    """Return the demands that meet some conditions, in their order."""
    rows = unit.execute(select(change_demands).where(*conditions).order_by(change_demands.c.id)).all()
    steps: dict[int, list[DemandStep]] = defaultdict(list)
    if rows:
        of_them = change_steps.c.demand.in_(select(change_demands.c.id).where(*conditions))
        for row in unit.execute(select(change_steps).where(of_them).order_by(change_steps.c.id)):
            steps[row.demand].append(_step(row))
    return tuple(_demand(row, tuple(steps[row.id])) for row in rows)


def suspensions(demands: Iterable[Demand]) -> dict[tuple[str, str], tuple[Suspension, ...]]:
    """Return what demands come to, by (person, task), in their order."""
    found: dict[tuple[str, str], list[Suspension]] = {}
    for demand in demands:
        found.setdefault((demand.person_id, demand.task_id), []).extend(demand.suspensions)
    return {key: tuple(items) for key, items in found.items()}


def breaks(unit: Unit, person_id: str, task_id: str) -> tuple[datetime, ...]:
    """Return when a change was found not shown: what was shown before counts no more."""
    rows = unit.execute(_BREAKS_OF, {"of_person": person_id, "for_task": task_id})
    return tuple(row.at for row in rows)


# Built once: it is asked with every answer of a sitting, and of everybody who waits for a signature.
_BREAKS_OF = (
    select(change_steps.c.at)
    .join(change_demands, change_demands.c.id == change_steps.c.demand)
    .where(
        change_demands.c.person_id == bindparam("of_person"),
        change_demands.c.covered_task_id == bindparam("for_task"),
        change_steps.c.act == Step.NOT_SHOWN.value,
    )
    .order_by(change_steps.c.demand)
)


def _demand(row: Row[Any], steps: tuple[DemandStep, ...]) -> Demand:
    return Demand(
        id=row.id,
        person_id=row.person_id,
        task_id=row.covered_task_id,
        number=row.qualification,
        module_id=row.module_id,
        revision=row.revision,
        signed_under=row.signed_under,
        classes=tuple(canonical.read(row.classes)),
        reason=row.reason,
        due=row.due,
        by=row.by_id or "",
        by_name=row.by_name,
        at=row.at,
        steps=steps,
    )


def _step(row: Row[Any]) -> DemandStep:
    return DemandStep(
        id=row.id,
        act=Step(row.act),
        on=row.on_day,
        reason=row.reason,
        evidence=canonical.read(row.evidence) if row.evidence else {},
        by=row.by_id or "",
        by_name=row.by_name,
        at=row.at,
    )
