"""Everything kept about one person, for that person, and for whoever answers for the register on request.

Who fetched it stands in the log. What other people did is told as far as it was done to this person.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import earlier, journal, kept_record, kept_tables, ledger
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.signed_records import proven
from trainer.actions.unaided import must_not_sit
from trainer.exports import EXPORTS
from trainer.exports.packets import EarlierPacket
from trainer.exports.person_packet import PersonDataPacket
from trainer.records import key_file
from trainer.store import observations, people, photographs, qualifications

if TYPE_CHECKING:
    from datetime import datetime

    from trainer.actions.actor import Actor
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

FETCHED = "data:fetch"


def everything(db: Database, actor: Actor, person_id: str, *, now: datetime) -> PersonDataPacket:
    """Return everything kept about a person: the actor's own, or of somebody on whose request it is fetched.

    Raises:
        NotFound: there is no such person for this actor.
        SittingUnderWay: it is the actor's own, and they sit.
        KeyFileUnusable: the key cannot be read.
    """
    key = key_file.read(db.keys) if key_file.exists(db.keys) else None
    with db.writing() as unit:
        person = _found(unit, actor, person_id)
        journal.note(unit, actor, FETCHED, at=now, person=person_id, session=actor.session or 0)
        # Signed at once, so that every entry in it is proven.
        note = ledger.sign(unit, key, now=now) if key else ""
    with db.reading() as unit:
        tables = kept_tables.of_person(unit, person, whole=_sees_addresses(actor, person_id))
        papers = earlier.of_person(unit, actor, person_id, now.date())
        return PersonDataPacket(
            company=db.company,
            person_id=person.id,
            person=person.display_name,
            made_on=now.date(),
            issued_by=actor.display_name,
            tables=tables.every,
            records=tuple(
                proven(db, unit, kept_record.restored(kept.record))
                for kept in qualifications.of_person(unit, person_id)
            ),
            papers=tuple(
                EarlierPacket(kept.record, kept.state, kept.checked, kept.standing is not None)
                for kept in papers
            ),
            print_record=EXPORTS["qualification_record"].write,
            print_paper=EXPORTS["earlier_record"].write,
            photographs=_photographs(unit, person_id),
            entries=tuple(ledger.proofs(unit, tables.proven, note)) if note else (),
            keys=tuple(str(verifier) for verifier in key_file.verifiers(db.keys)) if key else (),
            key=key,
        )


def may_fetch(actor: Actor, person_id: str) -> bool:
    """Return whether the actor may have what is kept about a person."""
    own = person_id == actor.person_id and actor.may(Permission.ACCOUNT_OWN)
    return own or actor.may(Permission.DATA_READ)


def _found(unit: Unit, actor: Actor, person_id: str) -> Person:
    person = people.by_id(unit, person_id)
    if person is None or not may_fetch(actor, person_id):
        raise NotFound("person", person_id)
    if person_id == actor.person_id:
        must_not_sit(unit, actor)
    return person


def _sees_addresses(actor: Actor, person_id: str) -> bool:
    return person_id == actor.person_id or actor.may(Permission.PEOPLE_MANAGE)


def _photographs(unit: Unit, person_id: str) -> dict[str, bytes]:
    found = {}
    for seen in reversed(observations.ended_of(unit, person_id)):
        for pictured in photographs.of_observation(unit, seen.id):
            kept = photographs.of_observation_by_hash(unit, seen.id, pictured.sha256)
            if kept is not None:
                found[pictured.sha256] = kept.data
    return found
