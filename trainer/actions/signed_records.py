"""The qualification records as they were signed: who may read them, and how they are shown and proven."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import evidence, kept_record, ledger
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.views import QualificationView
from trainer.exports.packets import RecordPacket
from trainer.records.qualification import QualificationRecord, Standing, standing
from trainer.store import people, qualifications

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit


def record(db: Database, actor: Actor, number: str) -> QualificationRecord:
    """Return the whole record of a qualification as it was signed: the actor's own, or one they may read.

    Raises:
        NotFound: there is none for this actor.
    """
    with db.reading() as unit:
        kept = qualifications.by_number(unit, number)
        person = people.by_id(unit, kept.person_id) if kept else None
    if kept is None or person is None or not may_read_record(actor, person):
        raise NotFound("qualification record", number)
    return kept_record.restored(kept.record)


def proven_record(db: Database, actor: Actor, number: str) -> RecordPacket:
    """Return a record as `record` does, with its entry of the log, proven by the checkpoint over it, and the credential.

    Raises:
        NotFound: there is none for this actor.
    """
    signed = record(db, actor, number)
    with db.reading() as unit:
        return proven(db, unit, signed)


def proven(db: Database, unit: Unit, signed: QualificationRecord) -> RecordPacket:
    """Return a signed record with its entry of the log, proven by the checkpoint over it, and the credential."""
    return RecordPacket(signed, ledger.proof_of_record(unit, signed), ledger.credential_of(db.keys, signed))


def may_read_record(actor: Actor, person: Person) -> bool:
    """Return whether the actor may read a person's qualification records: their own, or as their role allows."""
    own = person.id == actor.person_id and actor.may(Permission.RECORD_OWN)
    return own or actor.may_for(Permission.RECORD_READ, crew=person.crew)


def my_record(db: Database, actor: Actor, *, now: datetime) -> tuple[QualificationView, ...]:
    """Return the actor's own qualifications, newest first."""
    actor.must(Permission.RECORD_OWN)
    with db.reading() as unit:
        return tuple(
            shown_as(kept, actor.display_name, now.date())
            for kept in qualifications.of_person(unit, actor.person_id)
        )


def shown_as(
    kept: Qualification, person_name: str, today: date, *, token: str | None = None
) -> QualificationView:
    """Return a stored qualification as the actions show it; what it says is what was signed."""
    return QualificationView(
        number=kept.number,
        person_id=kept.person_id,
        person_name=person_name,
        task_id=kept.task_id,
        task_title=str(kept.record["task_title"]),
        module_id=str(kept.record["module"]),
        module_title=str(kept.record["module_title"]),
        revision=str(kept.record["revision"]),
        evaluated_on=kept.evaluated_on,
        valid_from=kept.valid_from,
        valid_until=kept.valid_until,
        standing=_standing(kept, today),
        signed_by=kept.signer_name,
        signed_at=kept.signed_at,
        supersedes=kept.supersedes,
        ended_on=kept.ended_on,
        ended_because=kept.ended_because,
        token=token,
    )


def _standing(kept: Qualification, today: date) -> Standing:
    held_back = kept.ended_on is None and evidence.suspension_on([kept], today) is not None
    return standing(assigned=True, ready=False, valid_until=kept.last_day, today=today, suspended=held_back)
