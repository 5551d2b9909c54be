"""Which qualification records are printed together, each with what proves it: one, a person's, a crew's."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import kept_record
from trainer.actions.actor import NotFound
from trainer.actions.signed_records import may_read_record, proven
from trainer.store import people, qualifications

if TYPE_CHECKING:
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.exports.packets import RecordPacket
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit

# Stands behind a person or a crew when only what holds today is wanted.
IN_FORCE = "in force"


def papers(db: Database, actor: Actor, subject: str, *, today: date) -> tuple[RecordPacket, ...]:
    """Return the records of a subject.

    Args:
        db: the database.
        actor: who asks.
        subject: number of a record or of a person, or name of a crew; behind the last two `/ in force` for those
            that hold today.
        today: the day.

    Raises:
        NotFound: there is no such subject for this actor, or nothing of it to print.
    """
    named, parting, which = (part.strip() for part in subject.partition("/"))
    if parting and which != IN_FORCE:
        raise NotFound("record, person or crew", subject)
    with db.reading() as unit:
        kept = qualifications.by_number(unit, named)
        if kept is not None and _readable(unit, actor, kept):
            found = [kept]
        else:
            whose = _people(unit, actor, named)
            found = [one for person in whose for one in _of(unit, person, today if parting else None)]
        if not found:
            raise NotFound("qualification record of that record, person or crew", subject)
        return tuple(proven(db, unit, kept_record.restored(one.record)) for one in found)


def _readable(unit: Unit, actor: Actor, kept: Qualification) -> bool:
    person = people.by_id(unit, kept.person_id)
    return person is not None and may_read_record(actor, person)


def _people(unit: Unit, actor: Actor, named: str) -> list[Person]:
    person = people.by_id(unit, named)
    found = [person] if person is not None else people.everybody(unit, crew=named) if named else []
    return [one for one in found if may_read_record(actor, one)]


def _of(unit: Unit, person: Person, day: date | None) -> list[Qualification]:
    """Return a person's qualifications; with a day those alone that hold on it."""
    return [one for one in qualifications.of_person(unit, person.id) if day is None or one.holds_on(day)]
