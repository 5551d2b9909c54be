"""Signed qualifications: rows ⇄ `Qualification`. What was signed never changes; only its end is added.

Whoever is suspended for a task on a day holds nothing for it on that day; the suspensions come with what is read here.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import bindparam, exists, insert, or_, select, update

from trainer.records import canonical
from trainer.records.suspension import spans_without
from trainer.store import changes, life_events
from trainer.store.life_events import Happened
from trainer.store.schema.changes import change_demands
from trainer.store.schema.earlier import earlier_qualifications
from trainer.store.schema.life import life_events as life_rows
from trainer.store.schema.people import people
from trainer.store.schema.qualifications import qualifications

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.records.suspension import Suspension
    from trainer.store.changes import Demand
    from trainer.store.life_events import LifeEvent
    from trainer.store.session import Unit


@dataclass(frozen=True)
class Qualification:
    """A qualification; `record` is the whole record as it was signed, as plain JSON values."""

    number: str
    person_id: str
    task_id: str
    evaluation_id: int
    evaluated_on: date
    valid_from: date
    valid_until: date
    signed_by: str
    signer_name: str
    signed_at: datetime
    meaning: str
    supersedes: str
    record: Mapping[str, Any]
    ended_on: date | None = None
    ended_because: str = ""
    suspended: tuple[Suspension, ...] = ()
    stopped: bool = False

    @property
    def last_day(self) -> date:
        """The last day on which it holds."""
        return _last_day(self.valid_until, self.ended_on)

    def holds_on(self, day: date) -> bool:
        """The person was qualified on this day, and not suspended."""
        return self.valid_from <= day <= self.last_day and not any(
            item.covers(day) for item in self.suspended
        )

    @property
    def term(self) -> Term:
        """The same without what was signed."""
        return Term(
            self.number,
            self.person_id,
            self.task_id,
            self.valid_from,
            self.valid_until,
            self.supersedes,
            self.ended_on,
            self.suspended,
            self.stopped,
        )


class Term(NamedTuple):
    """From when to when somebody is qualified for a task: what sheets of many people need of a qualification.

    `on_paper`: it was not signed here but transcribed from an earlier paper. A tuple, because a sheet makes thousands of
    them and a frozen dataclass takes four times as long to make.
    """

    number: str
    person_id: str
    task_id: str
    valid_from: date
    valid_until: date
    supersedes: str
    ended_on: date | None = None
    suspended: tuple[Suspension, ...] = ()
    stopped: bool = False
    on_paper: bool = False

    @property
    def last_day(self) -> date:
        """The last day on which it holds."""
        return _last_day(self.valid_until, self.ended_on)

    def holds_on(self, day: date) -> bool:
        """The person was qualified on this day, and not suspended."""
        return self.valid_from <= day <= self.last_day and not any(
            item.covers(day) for item in self.suspended
        )

    @property
    def spans(self) -> tuple[tuple[date, date], ...]:
        """The stretches of days, first and last included, on which the person is qualified by it."""
        return spans_without(self.valid_from, self.last_day, self.suspended)


def _last_day(valid_until: date, ended_on: date | None) -> date:
    return valid_until if ended_on is None else min(valid_until, ended_on - timedelta(days=1))


def add(unit: Unit, qualification: Qualification) -> None:
    """Keep a signed qualification."""
    unit.execute(
        insert(qualifications).values(
            number=qualification.number,
            person_id=qualification.person_id,
            covered_task_id=qualification.task_id,
            evaluation_id=qualification.evaluation_id,
            evaluated_on=qualification.evaluated_on,
            valid_from=qualification.valid_from,
            valid_until=qualification.valid_until,
            signed_by=qualification.signed_by,
            signer_name=qualification.signer_name,
            signed_at=qualification.signed_at,
            meaning=qualification.meaning,
            supersedes=qualification.supersedes or None,
            record=canonical.written(dict(qualification.record)),
            ended_on=qualification.ended_on,
            ended_because=qualification.ended_because,
        )
    )


def end(unit: Unit, number: str, *, on: date, because: str) -> bool:
    """Note that a qualification ended before its last day; return whether it had not ended already."""
    ended = unit.execute(
        update(qualifications)
        .where(qualifications.c.number == number, qualifications.c.ended_on.is_(None))
        .values(ended_on=on, ended_because=because)
    )
    return bool(ended.rowcount)


def by_number(unit: Unit, number: str) -> Qualification | None:
    """Return a qualification by its number, or None."""
    return next(iter(_read(unit, qualifications.c.number == number)), None)


def of_person(unit: Unit, person_id: str, *, task_id: str | None = None) -> tuple[Qualification, ...]:
    """Return all qualifications of a person, or those for one task, newest first."""
    theirs = qualifications.c.person_id == person_id
    if task_id is None:
        return _read(unit, theirs)
    return _read(unit, theirs, qualifications.c.covered_task_id == task_id)


def signatures(unit: Unit, person_id: str, task_id: str) -> tuple[datetime, ...]:
    """Return when a person was signed for a task."""
    rows = unit.execute(_SIGNATURES_OF, {"of_person": person_id, "for_task": task_id})
    return tuple(row.signed_at for row in rows)


# Built once: it is asked with every answer of a sitting, and of everybody who waits for a signature.
_SIGNATURES_OF = select(qualifications.c.signed_at).where(
    qualifications.c.person_id == bindparam("of_person"),
    qualifications.c.covered_task_id == bindparam("for_task"),
)


def terms(unit: Unit, *, crew: str | None = None) -> dict[tuple[str, str], tuple[Term, ...]]:
    """Return the terms of everybody still here, or of one crew, by (person, task), newest first."""
    found: dict[tuple[str, str], list[Term]] = {}
    for term in _terms(unit, crew):
        found.setdefault((term.person_id, term.task_id), []).append(term)
    return {key: tuple(listed) for key, listed in found.items()}


def tasks_beside_papers(unit: Unit, *, crew: str | None = None) -> frozenset[tuple[str, str]]:
    """Return for which tasks those who brought papers have ever been signed for here, as (person, task)."""
    q = qualifications.c
    with_papers = _here(crew).where(people.c.id.in_(select(earlier_qualifications.c.person_id)))
    rows = unit.execute(select(q.person_id, q.covered_task_id).where(q.person_id.in_(with_papers)))
    return frozenset((row.person_id, row.covered_task_id) for row in rows)


def ending(unit: Unit, *, until: date, crew: str | None = None, most: int | None = None) -> tuple[Term, ...]:
    """Return the terms that are over or end by a day and were not renewed, of everybody who is here and does the task.

    They come in the order in which they end. With `most` those that end first are among them, and of the others not all
    need be.
    """
    q = qualifications.c
    # Of everybody the rows are gone through from the first to end; of a crew by its people.
    theirs = _STILL_HERE if crew is None else q.person_id.in_(_here(crew))
    asked = select(*_TERM).where(theirs, *_NOT_RENEWED)
    # Two questions, because no index serves "the earlier of two days".
    in_time = asked.where(q.valid_until <= until, or_(q.ended_on.is_(None), q.ended_on > until))
    before_time = asked.where(q.ended_on <= until)
    rows = [
        *unit.execute(in_time.order_by(q.valid_until, q.number).limit(most)),
        *unit.execute(before_time.order_by(q.ended_on, q.number).limit(most)),
    ]
    terms = _as_terms(unit, rows, _here(crew) if most is None else {row.person_id for row in rows})
    return tuple(sorted(terms, key=lambda term: (term.last_day, term.number)))


_TERM = tuple(
    qualifications.c[name]
    for name in (
        "number",
        "person_id",
        "covered_task_id",
        "valid_from",
        "valid_until",
        "supersedes",
        "ended_on",
    )
)
_after = qualifications.alias("after")
_NOT_RENEWED = (
    ~exists().where(_after.c.supersedes == qualifications.c.number),
    # Person and task too, because by these what happened is found at once.
    ~exists().where(
        life_rows.c.person_id == qualifications.c.person_id,
        life_rows.c.covered_task_id == qualifications.c.covered_task_id,
        life_rows.c.qualification == qualifications.c.number,
        life_rows.c.act == Happened.STOPPED.value,
    ),
)
_STILL_HERE = exists().where(people.c.id == qualifications.c.person_id, people.c.retired_at.is_(None))


def _terms(unit: Unit, crew: str | None) -> tuple[Term, ...]:
    q = qualifications.c
    rows = unit.execute(
        select(*_TERM).where(q.person_id.in_(_here(crew))).order_by(q.signed_at.desc(), q.number.desc())
    ).all()
    return _as_terms(unit, rows, _here(crew))


def _as_terms(unit: Unit, rows: Sequence[Any], whose: Any) -> tuple[Term, ...]:
    after = _After(
        life_events.among(unit, life_rows.c.person_id.in_(whose)),
        changes.among(unit, change_demands.c.person_id.in_(whose)),
    )
    return tuple(
        Term(
            number,
            person_id,
            task_id,
            valid_from,
            valid_until,
            supersedes or "",
            ended_on,
            after.suspended.get((person_id, task_id), ()),
            number in after.stopped,
        )
        for number, person_id, task_id, valid_from, valid_until, supersedes, ended_on in rows
    )


class _After:
    """What happened after the signatures, to look up by qualification: `suspended` by (person, task)."""

    def __init__(self, events: tuple[LifeEvent, ...], demands: tuple[Demand, ...]) -> None:
        told, by_change = life_events.suspensions(events), changes.suspensions(demands)
        self.suspended = {
            key: (*told.get(key, ()), *by_change.get(key, ())) for key in told.keys() | by_change.keys()
        }
        self.stopped = life_events.stopped(events)


def holds(unit: Unit, person_id: str, task_id: str, day: date) -> Qualification | None:
    """Return what qualified a person for a task on a day, or None: who was qualified on day D?"""
    q = qualifications.c
    found = _read(
        unit,
        q.person_id == person_id,
        q.covered_task_id == task_id,
        q.valid_from <= day,
        q.valid_until >= day,
        or_(q.ended_on.is_(None), q.ended_on > day),
    )
    return next((item for item in found if item.holds_on(day)), None)


def of_task(unit: Unit, task_id: str) -> tuple[Qualification, ...]:
    """Return every qualification ever signed for a task, of those who have left too, newest first."""
    return _read(unit, qualifications.c.covered_task_id == task_id)


def _here(crew: str | None) -> Any:
    here = select(people.c.id).where(people.c.retired_at.is_(None))
    return here if crew is None else here.where(people.c.crew == crew)


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Qualification, ...]:
    rows = unit.execute(
        select(qualifications)
        .where(*conditions)
        .order_by(qualifications.c.signed_at.desc(), qualifications.c.number.desc())
    ).all()
    of_them = select(qualifications.c.person_id).where(*conditions)
    after = _After(
        life_events.among(unit, life_rows.c.person_id.in_(of_them)) if rows else (),
        changes.among(unit, change_demands.c.person_id.in_(of_them)) if rows else (),
    )
    return tuple(_qualification(row, after) for row in rows)


def _qualification(row: Row[Any], after: _After) -> Qualification:
    return Qualification(
        number=row.number,
        person_id=row.person_id,
        task_id=row.covered_task_id,
        evaluation_id=row.evaluation_id,
        evaluated_on=row.evaluated_on,
        valid_from=row.valid_from,
        valid_until=row.valid_until,
        signed_by=row.signed_by,
        signer_name=row.signer_name,
        signed_at=row.signed_at,
        meaning=row.meaning,
        supersedes=row.supersedes or "",
        record=canonical.read(row.record),
        ended_on=row.ended_on,
        ended_because=row.ended_because,
        suspended=after.suspended.get((row.person_id, row.covered_task_id), ()),
        stopped=row.number in after.stopped,
    )
