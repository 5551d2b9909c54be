"""Marked attempts, kept as they were: rows ⇄ `Attempt`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import bindparam, func, insert, select

from trainer.records import canonical
from trainer.store import sequences
from trainer.store.answer_kept import AnswerKept
from trainer.store.schema.attempts import attempts
from trainer.store.schema.people import people

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy import Row

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Address:
    """Which question of which revision."""

    revision: str
    kind: str
    size: str
    seed: int


@dataclass(frozen=True)
class Attempt(AnswerKept):
    """A kept attempt; answer and mark are kept as canonical JSON and read when they are asked for."""

    id: int
    ticket: str
    person_id: str
    module_id: str
    address: Address
    skill: str
    answer_text: str
    mark_text: str
    right: bool
    critical: bool
    credit_thousandths: int
    counts: bool
    started_at: datetime | None
    at: datetime


@dataclass(frozen=True)
class Outcome:
    """What of an attempt the measures need: read without its answer and mark, because there may be many."""

    skill: str
    kind: str
    right: bool
    started_at: datetime | None
    at: datetime


# Built once: they are part of every answer.
_ADD = insert(attempts).returning(attempts)
_BY_TICKET = select(attempts).where(
    attempts.c.person_id == bindparam("of_person"), attempts.c.ticket == bindparam("on_ticket")
)
_WAS_ASKED = (
    select(attempts.c.id)
    .where(
        attempts.c.person_id == bindparam("of_person"),
        attempts.c.revision == bindparam("at_revision"),
        attempts.c.kind == bindparam("of_kind"),
        attempts.c.size == bindparam("in_size"),
        attempts.c.seed == bindparam("from_seed"),
        attempts.c.counts,
    )
    .limit(1)
)


def add(
    unit: Unit,
    *,
    ticket: str,
    person_id: str,
    module_id: str,
    address: Address,
    skill: str,
    answer: Any,
    mark: Mapping[str, Any],
    right: bool,
    critical: bool,
    credit_thousandths: int,
    counts: bool,
    started_at: datetime | None,
    at: datetime,
    number: int | None = None,
) -> Attempt:
    """Return the kept attempt."""
    values = {
        "ticket": ticket,
        "person_id": person_id,
        "module_id": module_id,
        "revision": address.revision,
        "kind": address.kind,
        "size": address.size,
        "seed": address.seed,
        "skill": skill,
        "answer": canonical.written(answer),
        "mark": canonical.written(dict(mark)),
        "is_right": right,
        "critical": critical,
        "credit_thousandths": credit_thousandths,
        "counts": counts,
        "started_at": started_at,
        "at": at,
    }
    return _attempt(unit.execute(_ADD, sequences.given(values, id=number)).one())


def by_id(unit: Unit, attempt_id: int) -> Attempt | None:
    """Return an attempt by number, or None."""
    row = unit.execute(select(attempts).where(attempts.c.id == attempt_id)).one_or_none()
    return None if row is None else _attempt(row)


def by_ticket(unit: Unit, person_id: str, ticket: str) -> Attempt | None:
    """Return the attempt that a person handed in with a ticket, or None."""
    row = unit.execute(_BY_TICKET, {"of_person": person_id, "on_ticket": ticket}).one_or_none()
    return None if row is None else _attempt(row)


def was_asked(unit: Unit, person_id: str, address: Address) -> bool:
    """Return whether a person has answered this very question before."""
    asked = {
        "of_person": person_id,
        "at_revision": address.revision,
        "of_kind": address.kind,
        "in_size": address.size,
        "from_seed": address.seed,
    }
    return unit.execute(_WAS_ASKED, asked).first() is not None


def count(unit: Unit, person_id: str, revision: str) -> int:
    """Return how many questions of a revision a person has answered, each question once."""
    counted = select(func.count()).where(
        attempts.c.person_id == person_id, attempts.c.revision == revision, attempts.c.counts
    )
    number: int = unit.execute(counted).scalar_one()
    return number


def sizes_used(unit: Unit, person_id: str, revision: str, skill: str) -> dict[str, int]:
    """Return how often a person practised a skill in each size."""
    rows = unit.execute(
        select(attempts.c.size, func.count().label("times"))
        .where(
            attempts.c.person_id == person_id,
            attempts.c.revision == revision,
            attempts.c.skill == skill,
            attempts.c.counts,
        )
        .group_by(attempts.c.size)
    )
    return {row.size: row.times for row in rows}


def newest_of(unit: Unit, person_id: str, *, limit: int) -> tuple[Attempt, ...]:
    """Return a person's newest attempts, newest first."""
    rows = unit.execute(
        select(attempts)
        .where(attempts.c.person_id == person_id)
        .order_by(attempts.c.at.desc(), attempts.c.id.desc())
        .limit(limit)
    )
    return tuple(_attempt(row) for row in rows)


def every_of(unit: Unit, person_id: str) -> tuple[Attempt, ...]:
    """Return all attempts of a person, those that count and those that do not, in the order they came in."""
    rows = unit.execute(select(attempts).where(attempts.c.person_id == person_id).order_by(attempts.c.id))
    return tuple(_attempt(row) for row in rows)


def counted_of(unit: Unit, person_id: str, revision: str) -> tuple[Attempt, ...]:
    """Return the attempts of a person at a revision that count, in the order they came in."""
    rows = unit.execute(
        select(attempts)
        .where(attempts.c.person_id == person_id, attempts.c.revision == revision, attempts.c.counts)
        .order_by(attempts.c.id)
    )
    return tuple(_attempt(row) for row in rows)


def outcomes_of(unit: Unit, person_id: str, revision: str) -> tuple[Outcome, ...]:
    """Return how a person's attempts at a revision came out, those that count, in the order they came in."""
    kept = attempts.c
    rows = unit.execute(
        select(kept.skill, kept.kind, kept.is_right, kept.started_at, kept.at)
        .where(kept.person_id == person_id, kept.revision == revision, kept.counts)
        .order_by(kept.id)
    )
    return tuple(Outcome(row.skill, row.kind, row.is_right, row.started_at, row.at) for row in rows)


@dataclass(frozen=True)
class TimeShown:
    """A person's attempt at a skill, as far as remembering is concerned."""

    person_id: str
    skill: str
    right: bool
    at: datetime


def times_shown(unit: Unit, module_id: str) -> tuple[TimeShown, ...]:
    """Return everybody's attempts at a module's skills that count: by person, then skill, then time."""
    kept = attempts.c
    rows = unit.execute(
        select(kept.person_id, kept.skill, kept.is_right, kept.at)
        .where(kept.module_id == module_id, kept.counts)
        .order_by(kept.person_id, kept.skill, kept.at, kept.id)
    )
    return tuple(TimeShown(row.person_id, row.skill, row.is_right, row.at) for row in rows)


def last_practice(unit: Unit, *, crew: str | None = None) -> dict[str, datetime]:
    """Return when each person still here last answered, by person; of one crew when asked."""
    newest = (
        select(func.max(attempts.c.at))
        .where(attempts.c.person_id == people.c.id)
        .correlate(people)
        .scalar_subquery()
        .label("newest")
    )
    asked = select(people.c.id, newest).where(people.c.retired_at.is_(None))
    if crew is not None:
        asked = asked.where(people.c.crew == crew)
    return {row.id: row.newest for row in unit.execute(asked) if row.newest is not None}


def _attempt(row: Row[Any]) -> Attempt:
    return Attempt(
        id=row.id,
        ticket=row.ticket,
        person_id=row.person_id,
        module_id=row.module_id,
        address=Address(row.revision, row.kind, row.size, row.seed),
        skill=row.skill,
        answer_text=row.answer,
        mark_text=row.mark,
        right=row.is_right,
        critical=row.critical,
        credit_thousandths=row.credit_thousandths,
        counts=row.counts,
        started_at=row.started_at,
        at=row.at,
    )
