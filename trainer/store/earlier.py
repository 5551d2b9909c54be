"""Qualifications brought on paper from before: rows ⇄ `Earlier`. What was transcribed never changes; its end is added."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import exists, insert, select, update

from trainer.records import canonical
from trainer.records.earlier import restored
from trainer.store import changes, life_events
from trainer.store.qualifications import Term
from trainer.store.schema.changes import change_demands
from trainer.store.schema.earlier import earlier_checks, earlier_qualifications
from trainer.store.schema.life import life_events as life_rows
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy import ColumnElement, Row

    from trainer.records.earlier import EarlierRecord
    from trainer.records.suspension import Suspension
    from trainer.store.session import Unit


@dataclass(frozen=True)
class Check:
    """Who held a transcribed record against its paper; `turned_down_because` is "" when the paper says the same."""

    turned_down_because: str
    by: str
    name: str
    at: datetime
    meaning: str


@dataclass(frozen=True)
class Earlier:
    """A transcribed record with the word on it, None while it waits for that."""

    record: EarlierRecord
    check: Check | None
    ended_on: date | None = None
    ended_because: str = ""
    suspended: tuple[Suspension, ...] = ()
    stopped: bool = False

    @property
    def stands(self) -> bool:
        """It was held against the paper and the paper says the same."""
        return self.check is not None and not self.check.turned_down_because

    @property
    def term(self) -> Term:
        """From when to when it holds, once it stands."""
        record = self.record
        return Term(
            record.number,
            record.person_id,
            record.task,
            record.valid_from,
            record.valid_until,
            "",
            self.ended_on,
            self.suspended,
            self.stopped,
            on_paper=True,
        )


def add(unit: Unit, record: EarlierRecord, *, told: Mapping[str, Any] | None = None) -> None:
    """Keep a transcribed record; it counts for nothing until it was held against the paper.

    Args:
        unit: the transaction.
        record: what was transcribed.
        told: the record as plain values, where it was written down before.
    """
    unit.execute(
        insert(earlier_qualifications).values(
            number=record.number,
            person_id=record.person_id,
            covered_task_id=record.task,
            paper=record.paper,
            evaluated_on=record.evaluated_on,
            valid_from=record.valid_from,
            valid_until=record.valid_until,
            transcribed_by=record.transcribed.person or None,
            transcribed_at=record.transcribed.at,
            record=canonical.written(dict(told) if told is not None else record.as_data()),
            ended_because="",
        )
    )


def add_check(unit: Unit, number: str, check: Check) -> None:
    """Keep the word on a transcribed record."""
    unit.execute(
        insert(earlier_checks).values(
            number=number,
            turned_down_because=check.turned_down_because,
            checked_by=check.by,
            checker_name=check.name,
            at=check.at,
            meaning=check.meaning,
        )
    )


def end(unit: Unit, number: str, *, on: date, because: str) -> bool:
    """Note that a transcribed record ended before its last day; return whether it had not ended already."""
    table = earlier_qualifications
    ended = unit.execute(
        update(table)
        .where(table.c.number == number, table.c.ended_on.is_(None))
        .values(ended_on=on, ended_because=because)
    )
    return bool(ended.rowcount)


def by_number(unit: Unit, number: str) -> Earlier | None:
    """Return a transcribed record by its number, or None."""
    return next(iter(_read(unit, earlier_qualifications.c.number == number)), None)


def of_person(unit: Unit, person_id: str) -> tuple[Earlier, ...]:
    """Return all transcribed records of a person, by the newest evaluation first."""
    return _read(unit, earlier_qualifications.c.person_id == person_id)


def of_crew(unit: Unit, crew: str | None) -> tuple[Earlier, ...]:
    """Return all transcribed records of everybody still here, or of one crew."""
    person_id = earlier_qualifications.c.person_id
    if crew is None:
        return _read(unit, exists().where(people.c.id == person_id, people.c.retired_at.is_(None)))
    here = select(people.c.id).where(people.c.retired_at.is_(None), people.c.crew == crew)
    return _read(unit, person_id.in_(here))


def of_task(unit: Unit, task_id: str) -> tuple[Earlier, ...]:
    """Return all transcribed records for a task, of those who have left too."""
    return _read(unit, earlier_qualifications.c.covered_task_id == task_id)


def waiting(unit: Unit) -> tuple[Earlier, ...]:
    """Return the transcribed records that nobody has held against the paper yet, in the order of their numbers."""
    found = _read(unit, earlier_checks.c.number.is_(None))
    return tuple(sorted(found, key=lambda kept: kept.record.number))


def _read(unit: Unit, *conditions: ColumnElement[bool]) -> tuple[Earlier, ...]:
    kept, check = earlier_qualifications, earlier_checks
    rows = unit.execute(
        select(kept.c.record, kept.c.ended_on, kept.c.ended_because, check)
        .join(check, check.c.number == kept.c.number, isouter=True)
        .where(*conditions)
        .order_by(kept.c.evaluated_on.desc(), kept.c.number.desc())
    ).all()
    if not rows:
        return ()
    of_them = (
        select(kept.c.person_id).join(check, check.c.number == kept.c.number, isouter=True).where(*conditions)
    )
    # Whoever is suspended for a task, or held back by a change, holds nothing for it, wherever it comes from.
    events = life_events.among(unit, life_rows.c.person_id.in_(of_them))
    demands = changes.among(unit, change_demands.c.person_id.in_(of_them))
    found = (life_events.suspensions(events), changes.suspensions(demands))
    stopped = life_events.stopped(events)
    return tuple(_earlier(row, found, stopped) for row in rows)


def _earlier(
    row: Row[Any],
    found: Sequence[Mapping[tuple[str, str], tuple[Suspension, ...]]],
    stopped: frozenset[str],
) -> Earlier:
    check = None
    if row.number is not None:
        check = Check(row.turned_down_because, row.checked_by, row.checker_name, row.at, row.meaning)
    record = restored(canonical.read(row.record))
    suspended = tuple(one for told in found for one in told.get((record.person_id, record.task), ()))
    return Earlier(
        record, check, row.ended_on, row.ended_because, suspended, stopped=record.number in stopped
    )
