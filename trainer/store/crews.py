"""Crews counted in SQL: how many people, and how many of them may work alone on at least one task."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import and_, case, exists, func, or_, select

from trainer.store import earlier, qualifications
from trainer.store.schema.earlier import earlier_checks, earlier_qualifications
from trainer.store.schema.life import life_events
from trainer.store.schema.people import people, person_roles
from trainer.store.schema.qualifications import qualifications as signed

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from sqlalchemy import ColumnElement

    from trainer.store.session import Unit


@dataclass(frozen=True)
class Tally:
    """A crew, "" for those without one, with its people and those of them who may work alone."""

    crew: str
    people: int
    able: int


def sizes(unit: Unit, *, with_retired: bool = False) -> dict[str, int]:
    """Return how many people each crew has, by crew; "" stands for those without one."""
    counted = select(people.c.crew, func.count().label("people")).group_by(people.c.crew)
    if not with_retired:
        counted = counted.where(people.c.retired_at.is_(None))
    return {row.crew: row.people for row in unit.execute(counted.order_by(people.c.crew))}


def tallies(unit: Unit, *, roles: Iterable[str], day: date) -> tuple[Tally, ...]:
    """Return the crews by name, with those still here who have one of some roles.

    Args:
        unit: the transaction.
        roles: who is counted.
        day: the day on which they may work alone.
    """
    counted = and_(
        people.c.retired_at.is_(None),
        exists().where(person_roles.c.person_id == people.c.id, person_roles.c.role.in_(tuple(roles))),
    )
    # Few were ever suspended; what they hold on the day is told by the dates of their suspensions, in one place.
    suspended = select(life_events.c.person_id).where(life_events.c.act == "suspended")
    able = and_(people.c.id.not_in(suspended), or_(_signed_on(day), _on_paper(day)))
    rows = unit.execute(
        select(people.c.crew, func.count().label("people"), func.sum(case((able, 1), else_=0)).label("able"))
        .where(counted)
        .group_by(people.c.crew)
        .order_by(people.c.crew)
    ).all()
    others = unit.execute(select(people.c.id, people.c.crew).where(counted, people.c.id.in_(suspended))).all()
    also = [row.crew for row in others if _holds_anything(unit, row.id, day)]
    return tuple(Tally(row.crew, row.people, row.able + also.count(row.crew)) for row in rows)


def _signed_on(day: date) -> ColumnElement[bool]:
    q = signed.c
    return exists().where(
        q.person_id == people.c.id,
        q.valid_from <= day,
        q.valid_until >= day,
        or_(q.ended_on.is_(None), q.ended_on > day),
    )


def _on_paper(day: date) -> ColumnElement[bool]:
    e = earlier_qualifications.c
    return exists().where(
        e.person_id == people.c.id,
        e.valid_from <= day,
        e.valid_until >= day,
        or_(e.ended_on.is_(None), e.ended_on > day),
        earlier_checks.c.number == e.number,
        earlier_checks.c.turned_down_because == "",
    )


def _holds_anything(unit: Unit, person_id: str, day: date) -> bool:
    own = any(item.holds_on(day) for item in qualifications.of_person(unit, person_id))
    return own or any(kept.stands and kept.term.holds_on(day) for kept in earlier.of_person(unit, person_id))
