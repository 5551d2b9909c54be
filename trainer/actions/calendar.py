"""The calendar of what lapses, under a secret address: each time it is read, its owner's permissions of that moment hold."""

from __future__ import annotations

import hashlib
import secrets
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from trainer.actions import journal, sheets
from trainer.actions.accounts import actor_of
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.exports.calendar_feed import DayEvent
from trainer.exports.calendar_feed import feed as written
from trainer.store import calendar, held, people

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.actor import Actor
    from trainer.records.qualification import CoveredTask
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Database


def address_since(db: Database, actor: Actor) -> datetime | None:
    """Return since when the actor's calendar has an address, None without one."""
    actor.must(Permission.ACCOUNT_OWN)
    with db.reading() as unit:
        return calendar.made_at(unit, actor.person_id)


def make_address(db: Database, actor: Actor, *, now: datetime) -> str:
    """Return the secret part of a new address, which is kept nowhere; an older one ends."""
    actor.must(Permission.ACCOUNT_OWN)
    token = secrets.token_urlsafe(32)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        ended = calendar.end(unit, actor.person_id, now)
        made = calendar.add(unit, actor.person_id, token_hash=_hash(token), at=now)
        journal.note(unit, actor, "calendar:make_address", at=now, address=made, ended=ended)
    return token


def end_address(db: Database, actor: Actor, *, now: datetime) -> None:
    """End the actor's address; without one nothing happens."""
    actor.must(Permission.ACCOUNT_OWN)
    with db.writing() as unit:
        people.lock(unit, actor.person_id)
        ended = calendar.end(unit, actor.person_id, now)
        if ended is not None:
            journal.note(unit, actor, "calendar:end_address", at=now, address=ended)


def feed(db: Database, token: str, *, now: datetime) -> bytes:
    """Return the calendar of a secret address: the last days of the owner's own qualifications, and of the crews they see.

    Args:
        db: the database.
        token: the secret part of the address.
        now: the time.

    Raises:
        NotFound: nobody has this address, or no longer.
    """
    with db.reading() as unit:
        owner = calendar.owner(unit, _hash(token))
        person = people.by_id(unit, owner) if owner else None
        if person is None or (person.retired_at is not None and person.retired_at <= now):
            raise NotFound("calendar", "of this address")
        actor = actor_of(person, None)
        names = {someone.id: someone for someone in people.everybody(unit)}
        tasks = sheets.read_register(unit).tasks
        terms = held.ending(unit, until=date.max)
    seen = [term for term in terms if _may_see(actor, names[term.person_id])]
    ordered = sorted(seen, key=lambda term: (term.last_day, term.number))
    events = [_event(db, actor, term, names, tasks[term.task_id]) for term in ordered]
    return written(f"Qualifications, {db.company}", db.company, events)


def _may_see(actor: Actor, person: Person) -> bool:
    own = person.id == actor.person_id and actor.may(Permission.RECORD_OWN)
    return own or actor.may_for(Permission.CREW_READ, crew=person.crew)


def _event(
    db: Database, actor: Actor, term: Term, names: Mapping[str, Person], task: CoveredTask
) -> DayEvent:
    person = names[term.person_id]
    whose = "My last day" if person.id == actor.person_id else f"{person.display_name}, last day"
    told = max(term.valid_from, term.ended_on or term.valid_from)
    return DayEvent(
        uid=f"{term.number}@{db.home.partition('://')[2]}",
        day=term.last_day,
        stamp=datetime.combine(told, time(), UTC),
        summary=f"{whose}: {task.id} {task.title}",
        description=f"Record {term.number}. From the day after (49 CFR 192.805(c)): {task.conditions.span.words}.",
        sequence=0 if term.ended_on is None else 1,
    )


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
