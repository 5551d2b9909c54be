"""The sign-off: who is ready, the supervisor's signature, and the record that comes of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from trainer.actions import (
    accounts,
    bench,
    changes,
    evaluate,
    evidence,
    journal,
    kept_record,
    ledger,
    life_steps,
    policy,
    readiness,
    rounds,
    sheets,
    sitting,
    sitting_release,
    sitting_sheets,
)
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.people import found_for
from trainer.actions.permissions import ANOTHER_SIGNS, NOBODY_SIGNS_THEMSELVES, Permission
from trainer.actions.published import prepared
from trainer.actions.views import NotYetLine, QualificationView, QueueLine
from trainer.dates import add_months
from trainer.errors import TrainerError
from trainer.exports.packets import RecordPacket
from trainer.records.life_cycle import STEPS, Act, Condition, Shown
from trainer.records.qualification import (
    MEANING_SIGNED,
    QualificationRecord,
    Signature,
    SkillShown,
    Standing,
    standing,
)
from trainer.store import (
    earlier,
    evaluations,
    life_events,
    observations,
    people,
    qualifications,
    sequences,
    sittings,
    summaries,
)
from trainer.store.life_events import Happened
from trainer.store.qualifications import Qualification

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.readiness import Assessed
    from trainer.actions.sheets import Register
    from trainer.records.qualification import CoveredTask
    from trainer.store.earlier import Earlier
    from trainer.store.evaluations import Evaluation
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit


class NotReady(TrainerError):
    """Something is missing before this person can be signed off for this task."""

    def __init__(self, name: str, task: str, missing: str) -> None:
        super().__init__(f"{name} is not ready for sign-off in {task}. Missing: {missing}")


def queue(db: Database, actor: Actor, *, now: datetime) -> tuple[QueueLine, ...]:
    """Return everybody who is ready and waits for a signature, who waits longest first."""
    actor.must(Permission.QUALIFICATION_SIGN)
    with db.reading() as unit:
        lines = _ready(unit, actor, now.date())
    return tuple(sorted(lines, key=lambda line: (line.evaluation.evaluator.at, line.person_name)))


def ready(db: Database, actor: Actor, person_id: str, task_id: str, *, now: datetime) -> QueueLine:
    """Return what is behind one signature.

    Raises:
        NotFound: there is no such person for this actor.
        NotReady: something is missing.
    """
    with db.reading() as unit:
        return _line_for(unit, actor, person_id, task_id, now.date())


def _line_for(unit: Unit, actor: Actor, person_id: str, task_id: str, today: date) -> QueueLine:
    person = found_for(unit, actor, Permission.QUALIFICATION_SIGN, person_id)
    lines = [line for line in _ready(unit, actor, today, person_id) if line.task_id == task_id]
    if not lines:
        raise NotReady(person.display_name, task_id, _what_is_missing(unit, person_id, task_id, today))
    # Several modules may serve one task; the newest evaluation carries the signature.
    return max(lines, key=lambda line: (line.evaluation.evaluated_on, line.evaluation.evaluation_id))


def _ready(unit: Unit, actor: Actor, today: date, person_id: str | None = None) -> list[QueueLine]:
    register = sheets.read_register(unit)
    lines = []
    for waiting in evaluations.waiting(unit, person_id=person_id):
        task = register.tasks[waiting.task_id]
        person = people.by_id(unit, waiting.person_id)
        if person is None or not evidence.still_carries(waiting, task, today):
            continue
        assessed = readiness.of_person(unit, person.id, waiting.revision)
        if STEPS[Act.SIGN].shown <= _stands(assessed):
            lines.append(_line(unit, actor, person, task, waiting, assessed, register, today))
    return lines


def _stands(assessed: Assessed) -> frozenset[Shown]:
    """Return what a signature on an evaluation that waits could stand on."""
    found = assessed.readiness
    seen = bool(found.classes) and all(item.witnessed >= item.witnessed_needed for item in found.classes)
    return frozenset(
        {Shown.EVALUATED}
        | ({Shown.ASSESSED} if found.classes and found.passed else set())
        | ({Shown.OBSERVED} if seen else set())
    )


def _refusal(
    unit: Unit, actor: Actor, waiting: Evaluation, assessed: Assessed, today: date
) -> TrainerError | None:
    """Return why the actor may not sign, the password left aside: it is asked for afterwards."""

    def unless(it_is: bool, told: str) -> TrainerError | None:
        return None if it_is else NotAllowed(Permission.QUALIFICATION_SIGN, told)

    return life_steps.refusal(
        unit,
        Act.SIGN,
        waiting.person_id,
        waiting.task_id,
        roles=life_steps.roles_of(actor),
        looked_at={
            Condition.PASSWORD: None,
            Condition.ANOTHER_PERSON: unless(actor.person_id != waiting.evaluator_id, ANOTHER_SIGNS),
            Condition.NOT_ONESELF: unless(actor.person_id != waiting.person_id, NOBODY_SIGNS_THEMSELVES),
        },
        shown=_stands(assessed),
        today=today,
    )


def _what_is_missing(unit: Unit, person_id: str, task_id: str, today: date) -> str:
    """Return the first thing that stands in the way, in one sentence."""
    modules = [line for line in sheets.modules_of(unit, person_id, today) if line.task_id == task_id]
    sentences = [sentence for line in modules for sentence in line.missing]
    return next(iter(sentences), "a module that serves the task, on the person's sheet.")


def not_yet(db: Database, actor: Actor, *, now: datetime) -> tuple[NotYetLine, ...]:
    """Return who has been evaluated, or is through the sittings, and still cannot be signed off, with what is missing."""
    actor.must(Permission.QUALIFICATION_SIGN)
    today = now.date()
    with db.reading() as unit:
        ready_now = {(line.person_id, line.module_id) for line in _ready(unit, actor, today)}
        near = {(item.person_id, item.module_id) for item in evaluations.waiting(unit)}
        tasks = {name: revision.task_id for name, revision in sheets.read_register(unit).revisions.items()}
        near |= {
            (item.person_id, item.module_id)
            for item in sittings.passed(unit)
            if item.end is not None
            and rounds.of_person(unit, item.person_id, tasks[item.module_id]).counts(item.end.at)
        }
        lines = []
        for person_id in sorted({person for person, _ in near - ready_now}):
            person = people.by_id(unit, person_id)
            if person is None or person.retired_at is not None:
                continue
            lines += [
                NotYetLine(
                    person.id, person.display_name, person.crew, module.task_id, module.title, module.missing
                )
                for module in sheets.modules_of(unit, person_id, today)
                if (person_id, module.module_id) in near - ready_now and not module.standing.may_work_alone
            ]
    return tuple(sorted(lines, key=lambda line: (line.person_name, line.task_id)))


def _line(
    unit: Unit,
    actor: Actor,
    person: Person,
    task: CoveredTask,
    waiting: Evaluation,
    assessed: Assessed,
    register: Register,
    today: date,
) -> QueueLine:
    revision = register.revisions[waiting.module_id]
    kept = summaries.of_person(unit, person.id, waiting.revision)
    published = prepared(unit, waiting.revision)
    before = _newest(unit, person.id, task.id)
    under = observations.under(unit, waiting.id)
    return QueueLine(
        person_id=person.id,
        person_name=person.display_name,
        crew=person.crew,
        grade=person.grade,
        task_id=task.id,
        task_title=task.title,
        module_id=revision.module_id,
        module_title=revision.title,
        document=revision.document,
        revision=revision.revision,
        skills=evidence.shown(published.skills, kept, waiting.revision, policy.in_force(unit).policy),
        assessed=assessed,
        sittings=tuple(
            line
            for line in sitting_sheets.lines_of(unit, person.id)
            if line.module_id == waiting.module_id and line.revision == waiting.revision
        ),
        evaluation=evaluate.shown_as(unit, waiting),
        valid_until=add_months(waiting.evaluated_on, task.interval_months),
        supersedes=before.number if before else "",
        refused=_refusal(unit, actor, waiting, assessed, today),
        photographs=bench.photographs_of(unit, under) if under else (),
        replaces_paper=next((k.record.number for k in _papers(unit, person.id, task.id, today)), ""),
    )


def _papers(unit: Unit, person_id: str, task_id: str, today: date) -> list[Earlier]:
    """Return the transcribed records that qualify a person for a task today, the longest first."""
    found = [
        kept
        for kept in earlier.of_person(unit, person_id)
        if kept.stands and kept.record.task == task_id and kept.term.holds_on(today)
    ]
    return sorted(found, key=lambda kept: kept.term.last_day, reverse=True)


def _newest(unit: Unit, person_id: str, task_id: str) -> Qualification | None:
    return next((q for q in qualifications.of_person(unit, person_id) if q.task_id == task_id), None)


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
        _must_sign(_line_for(unit, actor, person_id, task_id, today))
    actor = accounts.signing(db, actor, password, now=now)
    sitting.settle_open(db, actor, person_id, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        line = _line_for(unit, actor, person_id, task_id, today)
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
    papers = [kept.record.number for kept in _papers(unit, signed.person_id, signed.task_id, today)]
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
