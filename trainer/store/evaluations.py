"""Recorded evaluations: rows ⇄ `Evaluation`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, exists, insert, or_, select

from trainer.records import canonical
from trainer.records.methods import Method
from trainer.store import sequences
from trainer.store.life_events import IS_BREAK
from trainer.store.schema.changes import change_demands, change_steps
from trainer.store.schema.life import life_events
from trainer.store.schema.modules import current_revisions
from trainer.store.schema.people import people
from trainer.store.schema.qualifications import evaluations, qualifications

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy import ColumnElement, Row, Select

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Evaluation:
    """An evaluation as its evaluator recorded it; never changed, a later one stands beside it."""

    id: int
    person_id: str
    module_id: str
    revision: str
    task_id: str
    evaluated_on: date
    methods: tuple[Method, ...]
    abnormal_conditions: tuple[str, ...]
    abnormal_passed: bool
    passed: bool
    note: str
    evaluator_id: str
    evaluator_name: str
    basis: str
    meaning: str
    at: datetime


def add(
    unit: Unit,
    *,
    person_id: str,
    module_id: str,
    revision: str,
    task_id: str,
    evaluated_on: date,
    methods: tuple[Method, ...],
    abnormal_conditions: tuple[str, ...],
    abnormal_passed: bool,
    passed: bool,
    note: str,
    evaluator_id: str,
    evaluator_name: str,
    basis: str,
    meaning: str,
    at: datetime,
    number: int | None = None,
) -> Evaluation:
    """Return the kept evaluation."""
    values = {
        "person_id": person_id,
        "module_id": module_id,
        "revision": revision,
        "covered_task_id": task_id,
        "evaluated_on": evaluated_on,
        "methods": canonical.written([method.value for method in methods]),
        "abnormal_conditions": canonical.written(list(abnormal_conditions)),
        "abnormal_passed": abnormal_passed,
        "passed": passed,
        "note": note,
        "evaluator_id": evaluator_id,
        "evaluator_name": evaluator_name,
        "basis": basis,
        "meaning": meaning,
        "at": at,
    }
    statement = insert(evaluations).values(sequences.given(values, id=number))
    return _evaluation(unit.execute(statement.returning(evaluations)).one())


def by_id(unit: Unit, evaluation_id: int) -> Evaluation | None:
    """Return an evaluation by number, or None."""
    return next(iter(_read(unit, evaluations.c.id == evaluation_id)), None)


def of_person(unit: Unit, person_id: str) -> tuple[Evaluation, ...]:
    """Return a person's evaluations, newest first."""
    return _read(unit, evaluations.c.person_id == person_id)


def waiting(unit: Unit, *, crew: str | None = None, person_id: str | None = None) -> tuple[Evaluation, ...]:
    """Return the evaluations that a qualification could be signed on, newest first.

    The newest evaluation of each person and module, when it was passed with its abnormal conditions, at the
    revision in force, in the round that runs (`competency/rounds.py`), and the person is still here. The round goes by
    when it was recorded, and also by its day: what was seen before a signature or a break is no evidence after it.
    """
    statement = _WAITING if crew is None else _WAITING_IN_CREW
    if person_id is not None:
        statement = statement.where(evaluations.c.person_id == person_id)
    rows = unit.execute(statement, {} if crew is None else {"in_crew": crew})
    return tuple(_evaluation(row) for row in rows)


# Built once: sheets and lists ask it of everybody on them.
_later = evaluations.alias("later")
_newer = exists().where(
    _later.c.person_id == evaluations.c.person_id,
    _later.c.module_id == evaluations.c.module_id,
    _later.c.id > evaluations.c.id,
)
_used = exists().where(qualifications.c.evaluation_id == evaluations.c.id)
_signed_since = exists().where(
    qualifications.c.person_id == evaluations.c.person_id,
    qualifications.c.covered_task_id == evaluations.c.covered_task_id,
    or_(
        qualifications.c.signed_at >= evaluations.c.at,
        qualifications.c.valid_from > evaluations.c.evaluated_on,
    ),
)
_in_force = exists().where(current_revisions.c.revision == evaluations.c.revision)
_broken_since = exists().where(
    life_events.c.person_id == evaluations.c.person_id,
    life_events.c.covered_task_id == evaluations.c.covered_task_id,
    IS_BREAK,
    or_(life_events.c.at >= evaluations.c.at, life_events.c.on_day > evaluations.c.evaluated_on),
)
_failed_since = exists().where(
    change_demands.c.person_id == evaluations.c.person_id,
    change_demands.c.covered_task_id == evaluations.c.covered_task_id,
    change_steps.c.demand == change_demands.c.id,
    change_steps.c.act == "not_shown",
    or_(change_steps.c.at >= evaluations.c.at, change_steps.c.on_day > evaluations.c.evaluated_on),
)


def _waiting(still_here: ColumnElement[bool]) -> Select[Any]:
    # In the order of what leaves most out for least: nearly every evaluation has its qualification.
    return (
        select(evaluations)
        .where(
            ~_used,
            evaluations.c.passed,
            evaluations.c.abnormal_passed,
            still_here,
            _in_force,
            ~_newer,
            ~_signed_since,
            ~_broken_since,
            ~_failed_since,
        )
        .order_by(evaluations.c.id.desc())
    )


# Of everybody the evaluations are gone through, of a crew its people.
_WAITING = _waiting(exists().where(people.c.id == evaluations.c.person_id, people.c.retired_at.is_(None)))
_WAITING_IN_CREW = _waiting(
    evaluations.c.person_id.in_(
        select(people.c.id).where(people.c.retired_at.is_(None), people.c.crew == bindparam("in_crew"))
    )
)


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Evaluation, ...]:
    rows = unit.execute(select(evaluations).where(*conditions).order_by(evaluations.c.id.desc()))
    return tuple(_evaluation(row) for row in rows)


def _evaluation(row: Row[Any]) -> Evaluation:
    return Evaluation(
        id=row.id,
        person_id=row.person_id,
        module_id=row.module_id,
        revision=row.revision,
        task_id=row.covered_task_id,
        evaluated_on=row.evaluated_on,
        methods=tuple(Method(name) for name in canonical.read(row.methods)),
        abnormal_conditions=tuple(canonical.read(row.abnormal_conditions)),
        abnormal_passed=row.abnormal_passed,
        passed=row.passed,
        note=row.note,
        evaluator_id=row.evaluator_id,
        evaluator_name=row.evaluator_name,
        basis=row.basis,
        meaning=row.meaning,
        at=row.at,
    )
