"""Who waits for a signature, what stands behind it, and what others still lack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import (
    bench,
    evaluate,
    evidence,
    life_steps,
    policy,
    readiness,
    rounds,
    sheets,
    sitting_sheets,
)
from trainer.actions.actor import NotAllowed
from trainer.actions.people import found_for
from trainer.actions.permissions import ANOTHER_SIGNS, NOBODY_SIGNS_THEMSELVES, Permission
from trainer.actions.published import prepared
from trainer.actions.views import NotYetLine, QueueLine
from trainer.dates import add_months
from trainer.errors import TrainerError
from trainer.records.life_cycle import STEPS, Act, Condition, Shown
from trainer.store import earlier, evaluations, observations, people, qualifications, sittings, summaries

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.readiness import Assessed
    from trainer.actions.sheets import Register
    from trainer.records.qualification import CoveredTask
    from trainer.store.earlier import Earlier
    from trainer.store.evaluations import Evaluation
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
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
        return line_for(unit, actor, person_id, task_id, now.date())


def line_for(unit: Unit, actor: Actor, person_id: str, task_id: str, today: date) -> QueueLine:
    """Return as `ready` does what is behind one signature."""
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
        replaces_paper=next((k.record.number for k in papers_of(unit, person.id, task.id, today)), ""),
    )


def papers_of(unit: Unit, person_id: str, task_id: str, today: date) -> list[Earlier]:
    """Return the transcribed records that qualify a person for a task today, the longest first."""
    found = [
        kept
        for kept in earlier.of_person(unit, person_id)
        if kept.stands and kept.record.task == task_id and kept.term.holds_on(today)
    ]
    return sorted(found, key=lambda kept: kept.term.last_day, reverse=True)


def _newest(unit: Unit, person_id: str, task_id: str) -> Qualification | None:
    return next(iter(qualifications.of_person(unit, person_id, task_id=task_id)), None)
