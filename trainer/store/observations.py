"""Observations at the bench and the marks entered into them: rows ⇄ `Observation`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select, update

from trainer.records import canonical
from trainer.records.observation import StepMark, StepSeen
from trainer.store import sequences
from trainer.store.schema.observations import evaluation_observations, observation_entries, observations
from trainer.store.schema.qualifications import evaluations
from trainer.store.upserts import insert

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Observation:
    """An observation of one job: open, given up, or closed with the record its evaluator signed.

    `beside` is the number of the observation that another evaluator began of the same job. `filled_on` and
    `transcribed_by` are set when it came in on a paper card.
    """

    id: int
    ticket: str
    person_id: str
    module_id: str
    revision: str
    task_id: str
    size: str
    evaluator_id: str
    beside: int | None
    begun_at: datetime
    filled_on: date | None
    transcribed_by: str
    given_up_at: datetime | None
    given_up_because: str
    closed_at: datetime | None
    record_text: str

    @property
    def is_open(self) -> bool:
        """Neither closed nor given up."""
        return self.closed_at is None and self.given_up_at is None

    @property
    def job(self) -> int:
        """The number of the job: that of the first observation of it."""
        return self.beside or self.id

    @property
    def record(self) -> Mapping[str, Any]:
        """What was signed; empty while nothing is."""
        kept: Mapping[str, Any] = canonical.read(self.record_text) if self.record_text else {}
        return kept


@dataclass(frozen=True)
class Entry:
    """One mark as it is entered, under a ticket that makes entering it twice harmless; `number` once it is kept."""

    ticket: str
    seen: StepSeen
    number: int | None = None


def begin(
    unit: Unit,
    *,
    ticket: str,
    person_id: str,
    module_id: str,
    revision: str,
    task_id: str,
    size: str,
    evaluator_id: str,
    beside: int | None,
    begun_at: datetime,
    filled_on: date | None = None,
    transcribed_by: str = "",
    number: int | None = None,
) -> Observation:
    """Return the new observation."""
    values = {
        "ticket": ticket,
        "person_id": person_id,
        "module_id": module_id,
        "revision": revision,
        "covered_task_id": task_id,
        "size": size,
        "evaluator_id": evaluator_id,
        "beside": beside,
        "begun_at": begun_at,
        "filled_on": filled_on,
        "transcribed_by": transcribed_by or None,
        "given_up_because": "",
        "record": "",
    }
    new = insert(unit.dialect.name, observations).values(sequences.given(values, id=number))
    return _observation(unit.execute(new.returning(observations)).one())


def by_ticket(unit: Unit, evaluator_id: str, ticket: str) -> Observation | None:
    """Return the observation that was begun with a ticket, or None."""
    found = _read(unit, observations.c.evaluator_id == evaluator_id, observations.c.ticket == ticket)
    return next(iter(found), None)


def by_id(unit: Unit, observation_id: int, *, lock: bool = False) -> Observation | None:
    """Return an observation by number, or None; `lock` holds it until the transaction ends."""
    statement = select(observations).where(observations.c.id == observation_id)
    row = unit.execute(statement.with_for_update() if lock else statement).one_or_none()
    return None if row is None else _observation(row)


def enter(
    unit: Unit, observation_id: int, entries: Iterable[Entry], *, kept_at: datetime
) -> tuple[Entry, ...]:
    """Keep entries and return those that were new; a ticket that was kept before changes nothing."""
    new = []
    for entry in entries:
        seen = entry.seen
        values = {
            "observation_id": observation_id,
            "ticket": entry.ticket,
            "step": seen.step,
            "mark": seen.mark.value if seen.mark else "",
            "note": seen.note,
            "at": seen.at,
            "kept_at": kept_at,
        }
        statement = (
            insert(unit.dialect.name, observation_entries)
            .values(sequences.given(values, id=entry.number))
            .on_conflict_do_nothing(
                index_elements=[observation_entries.c.observation_id, observation_entries.c.ticket]
            )
            .returning(observation_entries.c.id)
        )
        kept = unit.execute(statement).first()
        if kept is not None:
            new.append(replace(entry, number=kept.id))
    return tuple(new)


def entries_of(unit: Unit, observation_id: int) -> tuple[StepSeen, ...]:
    """Return all entries of an observation, in the order in which they came in."""
    rows = unit.execute(
        select(observation_entries)
        .where(observation_entries.c.observation_id == observation_id)
        .order_by(observation_entries.c.id)
    )
    return tuple(
        StepSeen(row.step, StepMark(row.mark) if row.mark else None, row.note, row.at) for row in rows
    )


def close(unit: Unit, observation_id: int, record: Mapping[str, Any], at: datetime) -> None:
    """Close an observation with the record that its evaluator signs."""
    unit.execute(
        update(observations)
        .where(observations.c.id == observation_id)
        .values(closed_at=at, record=canonical.written(dict(record)))
    )


def give_up(unit: Unit, observation_id: int, because: str, at: datetime) -> None:
    """End an observation without a signature."""
    unit.execute(
        update(observations)
        .where(observations.c.id == observation_id)
        .values(given_up_at=at, given_up_because=because)
    )


def open_of(unit: Unit, evaluator_id: str) -> tuple[Observation, ...]:
    """Return the observations that an evaluator has not ended, newest first."""
    return _read(
        unit,
        observations.c.evaluator_id == evaluator_id,
        observations.c.closed_at.is_(None),
        observations.c.given_up_at.is_(None),
    )


def closed_by(unit: Unit, evaluator_id: str, *, limit: int) -> tuple[Observation, ...]:
    """Return the observations that an evaluator closed, newest first."""
    return _read(
        unit,
        observations.c.evaluator_id == evaluator_id,
        observations.c.closed_at.is_not(None),
        limit=limit,
    )


def closed_of(unit: Unit, person_id: str, module_id: str | None = None) -> tuple[Observation, ...]:
    """Return the closed observations of a person, of one module when asked, newest first."""
    conditions = [observations.c.person_id == person_id, observations.c.closed_at.is_not(None)]
    if module_id is not None:
        conditions.append(observations.c.module_id == module_id)
    return _read(unit, *conditions)


def ended_of(unit: Unit, person_id: str) -> tuple[Observation, ...]:
    """Return the observations of a person's work that are over, newest first; of jobs that nobody has open any more."""
    found = _read(unit, observations.c.person_id == person_id)
    watched = {item.job for item in found if item.is_open}
    return tuple(item for item in found if item.job not in watched)


def of_same_work(unit: Unit, person_id: str, module_id: str, size: str) -> tuple[Observation, ...]:
    """Return the observations of a person's work on one size that were not given up, newest first."""
    return _read(
        unit,
        observations.c.person_id == person_id,
        observations.c.module_id == module_id,
        observations.c.size == size,
        observations.c.given_up_at.is_(None),
    )


def closed_twice(unit: Unit) -> tuple[Observation, ...]:
    """Return the closed observations of all jobs that more than one evaluator closed, by job."""
    job = func.coalesce(observations.c.beside, observations.c.id)
    closed = observations.c.closed_at.is_not(None)
    several = select(job).where(closed).group_by(job).having(func.count() > 1)
    rows = unit.execute(select(observations).where(closed, job.in_(several)).order_by(job, observations.c.id))
    return tuple(_observation(row) for row in rows)


def rest_on(unit: Unit, evaluation_id: int, observation_id: int) -> None:
    """Keep on which observation an evaluation rests."""
    values = {"evaluation_id": evaluation_id, "observation_id": observation_id}
    unit.execute(insert(unit.dialect.name, evaluation_observations).values(values))


def under(unit: Unit, evaluation_id: int) -> Observation | None:
    """Return the observation that an evaluation rests on, or None."""
    wanted = select(evaluation_observations.c.observation_id).where(
        evaluation_observations.c.evaluation_id == evaluation_id
    )
    return next(iter(_read(unit, observations.c.id == wanted.scalar_subquery())), None)


def under_each(unit: Unit, person_id: str) -> dict[int, int]:
    """Return on which observation each evaluation of a person rests, by number; without those that rest on none."""
    rests = evaluation_observations.c
    rows = unit.execute(
        select(rests.evaluation_id, rests.observation_id)
        .join(evaluations, evaluations.c.id == rests.evaluation_id)
        .where(evaluations.c.person_id == person_id)
    )
    return {row.evaluation_id: row.observation_id for row in rows}


def _read(unit: Unit, *conditions: ColumnElement[bool], limit: int | None = None) -> tuple[Observation, ...]:
    statement = select(observations).where(*conditions).order_by(observations.c.id.desc()).limit(limit)
    return tuple(_observation(row) for row in unit.execute(statement))


def _observation(row: Row[Any]) -> Observation:
    return Observation(
        id=row.id,
        ticket=row.ticket,
        person_id=row.person_id,
        module_id=row.module_id,
        revision=row.revision,
        task_id=row.covered_task_id,
        size=row.size,
        evaluator_id=row.evaluator_id,
        beside=row.beside,
        begun_at=row.begun_at,
        filled_on=row.filled_on,
        transcribed_by=row.transcribed_by or "",
        given_up_at=row.given_up_at,
        given_up_because=row.given_up_because,
        closed_at=row.closed_at,
        record_text=row.record,
    )
