"""The calendar of what lapses and what is to be shown, under a secret address.

Each time it is read, its owner's permissions of that moment hold.
"""

from __future__ import annotations

import hashlib
import secrets
from datetime import UTC, date, datetime, time
from typing import TYPE_CHECKING

from trainer.actions import changes, journal, sheets
from trainer.actions.accounts import actor_of
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.exports.calendar_feed import DayEvent
from trainer.exports.calendar_feed import feed as written
from trainer.store import calendar, held, people

if TYPE_CHECKING:
    from collections.abc import Mapping

    from trainer.actions.actor import Actor
    from trainer.actions.changes import ChangeDue
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
    """Return the calendar of a secret address, of the owner's own and of the crews they see.

    It has the last days of qualifications and the days by which changes are to be shown.

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
        due = [one for one in changes.everybody(unit) if one.to_be_shown]
    events = [
        *(
            _last_day(db, actor, term, names, tasks[term.task_id])
            for term in terms
            if _may_see(actor, names[term.person_id])
        ),
        *(
            _change(db, actor, one, tasks[one.task_id])
            for one in due
            if _may_see(actor, names[one.person_id])
        ),
    ]
    ordered = sorted(events, key=lambda event: (event.day, event.uid))
    return written(f"Qualifications, {db.company}", db.company, ordered)


def _may_see(actor: Actor, person: Person) -> bool:
    own = person.id == actor.person_id and actor.may(Permission.RECORD_OWN)
    return own or actor.may_for(Permission.CREW_READ, crew=person.crew)


def _last_day(
    db: Database, actor: Actor, term: Term, names: Mapping[str, Person], task: CoveredTask
) -> DayEvent:
    person = names[term.person_id]
    whose = "My last day" if person.id == actor.person_id else f"{person.display_name}, last day"
    told = max(term.valid_from, term.ended_on or term.valid_from)
    return DayEvent(
        uid=_uid(db, term.number),
        day=term.last_day,
        stamp=datetime.combine(told, time(), UTC),
        summary=f"{whose}: {task.id} {task.title}",
        description=f"Record {term.number}. From the day after (49 CFR 192.805(c)): {task.conditions.span.words}.",
        sequence=0 if term.ended_on is None else 1,
    )


def _change(db: Database, actor: Actor, due: ChangeDue, task: CoveredTask) -> DayEvent:
    """Return the day by which a change is to be shown; what a later revision adds to it is the same event told anew."""
    mine = due.person_id == actor.person_id
    whose = "My last day to show a change" if mine else f"{due.person_name}, last day to show a change"
    return DayEvent(
        uid=_uid(db, f"change-{due.demands[0].id}"),
        day=due.due,
        stamp=due.demands[-1].at,
        summary=f"{whose}: {task.id} {due.module_title}",
        description="To be shown in a sitting, which a mentor releases. "
        f"From the day after, until it is shown: {task.conditions.span.words}.",
        sequence=len(due.demands) - 1,
    )


def _uid(db: Database, name: str) -> str:
    return f"{name}@{db.home.partition('://')[2]}"


def _hash(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "surrogatepass")).hexdigest()
