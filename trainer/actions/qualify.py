"""The sign-off: the supervisor's signature, and the record that comes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.actions import accounts, changes, journal, ledger, sheets, sitting, sitting_release
from trainer.actions.published import prepared
from trainer.actions.sign_off_queue import line_for, papers_of
from trainer.actions.signed_records import shown_as
from trainer.records.qualification import MEANING_SIGNED, QualificationRecord, Signature, SkillShown
from trainer.store import earlier, life_events, people, qualifications, sequences
from trainer.store.life_events import Happened
from trainer.store.qualifications import Qualification

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.views import QualificationView, QueueLine
    from trainer.records.qualification import CoveredTask
    from trainer.store.session import Database, Unit


def sign(
    db: Database, actor: Actor, person_id: str, task_id: str, *, password: str, now: datetime
) -> QualificationView:
    """Sign somebody off for a covered task; the whole record is written down as it stands at that moment.

    Args:
        db: the database.
        actor: the supervisor who signs.
        person_id: who is signed off.
        task_id: the covered task.
        password: the supervisor's password again.
        now: the time.

    Returns:
        The qualification, with the session's new token.

    Raises:
        NotFound: there is no such person for this actor.
        NotReady: something is missing.
        NotAllowed: this actor may not sign for this person.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    today = now.date()
    with db.reading() as unit:
        _must_sign(line_for(unit, actor, person_id, task_id, today))
    actor = accounts.signing(db, actor, password, now=now)
    sitting.settle_open(db, actor, person_id, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        line = line_for(unit, actor, person_id, task_id, today)
        _must_sign(line)
        because = f"Signed for {task_id}: the next signature takes answers given after this one."
        sitting_release.end_with_round(unit, actor, person_id, task_id, because=because, now=now)
        task = sheets.read_register(unit).tasks[task_id]
        number = f"QR-{today.year}-{sequences.take(unit, f'QR-{today.year}'):04d}"
        record = _record(unit, db.company, actor, line, number, task, now)
        signed = _signed(actor, line, record)
        told = _end_before(unit, signed, today)
        qualifications.add(unit, signed)
        told |= _end_suspensions(unit, actor, signed, now)
        told["ends_changes"] = changes.end_by_signature(unit, actor, signed, now=now)
        _note(unit, actor, signed, now, told)
        ledger.sign_when_possible(unit, db.keys, now=now)
    return shown_as(signed, line.person_name, today, token=token)


def _end_suspensions(unit: Unit, actor: Actor, signed: Qualification, now: datetime) -> dict[str, Any]:
    """Let a new signature end what holds the person back, and return what the log says of it.

    The evaluation under it was made after that.
    """
    told = life_events.suspensions(life_events.of_person(unit, signed.person_id))
    held_back = [item for item in told.get((signed.person_id, signed.task_id), ()) if item.is_open]
    reason = f"Evaluated again on {signed.evaluated_on.isoformat()} and signed as {signed.number}."
    kept = [
        life_events.add(
            unit,
            person_id=signed.person_id,
            task_id=signed.task_id,
            act=Happened.RE_EVALUATED,
            on=now.date(),
            reason=reason,
            number=signed.number,
            by=actor.person_id,
            by_name=actor.display_name,
            at=now,
            about=item,
        )
        for item in held_back
    ]
    return {
        "ends_suspensions": [item.id for item in held_back],
        "suspension_ends": kept,
        "suspension_ends_because": reason,
    }


def _must_sign(line: QueueLine) -> None:
    if line.refused is not None:
        raise line.refused


def _end_before(unit: Unit, signed: Qualification, today: date) -> dict[str, Any]:
    """End what qualified the person until now, and return what the log says of it."""
    because = f"Superseded by {signed.number}."
    before = qualifications.by_number(unit, signed.supersedes) if signed.supersedes else None
    # One that has run out by itself has its end already.
    runs = before is not None and before.last_day >= today
    ended = runs and qualifications.end(unit, signed.supersedes, on=today, because=because)
    papers = [kept.record.number for kept in papers_of(unit, signed.person_id, signed.task_id, today)]
    for paper in papers:
        earlier.end(unit, paper, on=today, because=because)
    return {
        "supersedes": signed.supersedes,
        "ended": [signed.supersedes] if ended else [],
        "papers_ended": papers,
        "ended_because": because,
    }


def _record(
    unit: Unit,
    company: str,
    actor: Actor,
    line: QueueLine,
    number: str,
    task: CoveredTask,
    now: datetime,
) -> QualificationRecord:
    evaluation = line.evaluation
    return QualificationRecord(
        number=number,
        company=company,
        person=line.person_name,
        person_id=line.person_id,
        task=task.id,
        task_title=task.title,
        module=line.module_id,
        module_title=line.module_title,
        document=line.document,
        revision=line.revision,
        sizes=prepared(unit, line.revision).module.sizes,
        evaluated_on=evaluation.evaluated_on,
        methods=evaluation.methods,
        abnormal_conditions=evaluation.abnormal_conditions,
        abnormal_passed=evaluation.abnormal_passed,
        result=evaluation.note,
        valid_from=now.date(),
        valid_until=line.valid_until,
        interval_months=task.interval_months,
        interval_because=task.interval_because,
        evaluator=evaluation.evaluator,
        supervisor=Signature(actor.display_name, actor.person_id, now, MEANING_SIGNED),
        supersedes=line.supersedes or line.replaces_paper,
        skills=tuple(
            SkillShown(item.skill.title, item.clean, item.attempts, item.last.date() if item.last else None)
            for item in line.skills
        ),
        statement=line.assessed.statement,
        classes=line.assessed.on_record(),
        conditions=task.conditions,
    )


def _signed(actor: Actor, line: QueueLine, record: QualificationRecord) -> Qualification:
    return Qualification(
        number=record.number,
        person_id=line.person_id,
        task_id=line.task_id,
        evaluation_id=line.evaluation.evaluation_id,
        evaluated_on=record.evaluated_on,
        valid_from=record.valid_from,
        valid_until=record.valid_until,
        signed_by=actor.person_id,
        signer_name=actor.display_name,
        signed_at=record.supervisor.at,
        meaning=MEANING_SIGNED,
        supersedes=line.supersedes,
        record=record.as_data(),
    )


def _note(unit: Unit, actor: Actor, signed: Qualification, now: datetime, told: Mapping[str, Any]) -> None:
    journal.note(
        unit,
        actor,
        ledger.SIGNED,
        at=now,
        record=dict(signed.record),
        evaluation=signed.evaluation_id,
        session=actor.session,
        **told,
    )
