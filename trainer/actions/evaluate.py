"""Recording an evaluation: what was seen of a person, by which methods, with the abnormal conditions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import accounts, evaluator, evidence, journal, policy, rounds
from trainer.actions.actor import NotFound
from trainer.actions.assign import PersonHasLeft
from trainer.actions.people import found_for, view
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.actions.views import EvaluationSheet, EvaluationView
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act
from trainer.records.methods import OBSERVED, Method, why_not_enough
from trainer.records.qualification import MEANING_EVALUATED, Signature
from trainer.store import assignments, evaluations, modules, observations, people, summaries, tasks

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.records.qualification import CoveredTask
    from trainer.store.evaluations import Evaluation
    from trainer.store.modules import Revision
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit


class EvaluationUnfit(TrainerError):
    """The evaluation cannot be recorded as it stands; the text says what is missing."""


def prepare(db: Database, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> EvaluationSheet:
    """Return what an evaluator has in front of them before they record.

    Raises:
        NotFound: no such person for this actor, or no such module.
    """
    with db.reading() as unit:
        person = found_for(unit, actor, Permission.EVALUATION_RECORD, person_id)
        revision = in_force(unit, module_id)
        task = task_of(unit, revision.task_id)
        published = prepared(unit, revision.revision)
        seen = observations.closed_of(unit, person_id, module_id)
        this_round = rounds.of_person(unit, person_id, task.id)
        return EvaluationSheet(
            person=view(person),
            module_id=module_id,
            module_title=revision.title,
            document=revision.document,
            revision=revision.revision,
            task=task,
            skills=evidence.shown(
                published.skills,
                summaries.of_person(unit, person_id, revision.revision),
                revision.revision,
                policy.in_force(unit).policy,
            ),
            why_not=evaluator.why_not(unit, Act.EVALUATE, actor, person, task, now.date()),
            observations=tuple(
                (item.id, item.size, item.record["evaluator_name"], item.closed_at)
                for item in seen
                if item.closed_at and item.revision == revision.revision and this_round.counts(item.begun_at)
            ),
        )


def record_evaluation(
    db: Database,
    actor: Actor,
    person_id: str,
    module_id: str,
    *,
    evaluated_on: date,
    methods: Iterable[Method],
    aoc_discussed: Iterable[str],
    aoc_passed: bool,
    passed: bool,
    note: str,
    password: str,
    now: datetime,
    observation: int | None = None,
) -> EvaluationView:
    """Record an evaluation under the evaluator's name; it holds for the revision in force.

    Args:
        db: the database.
        actor: the evaluator.
        person_id: who was evaluated.
        module_id: the module.
        evaluated_on: day of the evaluation.
        methods: one or more that the task allows; work history or observation on the job alone are not enough.
        aoc_discussed: abnormal operating conditions gone through, in the words of the covered task.
        aoc_passed: the person recognises them and knows what to do; needs all of them gone through.
        passed: the person does the task right.
        note: the written result of what was seen.
        password: the evaluator's password again.
        now: the time.
        observation: number of a closed observation at the bench that the evaluation rests on.

    Returns:
        The evaluation, with the session's new token.

    Raises:
        NotFound: no such person for this actor, or no such module.
        NotAllowed: this actor may not evaluate this person for this task.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        EvaluationUnfit: something is missing or does not fit.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    named, discussed, result = (
        tuple(dict.fromkeys(methods)),
        tuple(dict.fromkeys(aoc_discussed)),
        note.strip(),
    )
    today = now.date()
    with db.reading() as unit:
        person = found_for(unit, actor, Permission.EVALUATION_RECORD, person_id)
        if person.retired_at is not None:
            raise PersonHasLeft(person.display_name)
        task = task_of(unit, in_force(unit, module_id).task_id)
        _must_be_fit(task, evaluated_on, today, discussed, aoc_passed=aoc_passed, note=result)
        _basis(unit, actor, person, task, evaluated_on, today, named)
        _must_show_it(unit, person, in_force(unit, module_id).revision, named, observation)
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        revision = in_force(unit, module_id)
        task = task_of(unit, revision.task_id)
        _must_be_fit(task, evaluated_on, today, discussed, aoc_passed=aoc_passed, note=result)
        kept = evaluations.add(
            unit,
            person_id=person_id,
            module_id=module_id,
            revision=revision.revision,
            task_id=task.id,
            evaluated_on=evaluated_on,
            methods=named,
            abnormal_conditions=discussed,
            abnormal_passed=aoc_passed,
            passed=passed,
            note=result,
            evaluator_id=actor.person_id,
            evaluator_name=actor.display_name,
            basis=_basis(unit, actor, person, task, evaluated_on, today, named),
            meaning=MEANING_EVALUATED,
            at=now,
        )
        if observation is not None:
            _must_show_it(unit, person, revision.revision, named, observation)
            observations.rest_on(unit, kept.id, observation)
        _note(unit, actor, kept, now, observation)
        return shown_as(unit, kept, token=token)


def shown_as(unit: Unit, kept: Evaluation, *, token: str | None = None) -> EvaluationView:
    """Return a stored evaluation as the actions show it."""
    person = people.by_id(unit, kept.person_id)
    revision = modules.by_revision(unit, kept.revision)
    under = observations.under(unit, kept.id)
    return _view(kept, person, revision, under.id if under else None, token)


def of_person(unit: Unit, person: Person) -> tuple[EvaluationView, ...]:
    """Return all evaluations of a person as the actions show them, newest first."""
    listed = evaluations.of_person(unit, person.id)
    revisions = {
        revision: modules.by_revision(unit, revision) for revision in {one.revision for one in listed}
    }
    under = observations.under_each(unit, person.id)
    return tuple(_view(one, person, revisions[one.revision], under.get(one.id)) for one in listed)


def _view(
    kept: Evaluation,
    person: Person | None,
    revision: Revision | None,
    observation: int | None,
    token: str | None = None,
) -> EvaluationView:
    return EvaluationView(
        evaluation_id=kept.id,
        person_id=kept.person_id,
        person_name=person.display_name if person else kept.person_id,
        module_id=kept.module_id,
        module_title=revision.title if revision else kept.module_id,
        revision=kept.revision,
        task_id=kept.task_id,
        evaluated_on=kept.evaluated_on,
        methods=kept.methods,
        abnormal_conditions=kept.abnormal_conditions,
        abnormal_passed=kept.abnormal_passed,
        passed=kept.passed,
        note=kept.note,
        evaluator=Signature(kept.evaluator_name, kept.evaluator_id, kept.at, kept.meaning),
        basis=kept.basis,
        observation=observation,
        token=token,
    )


def _must_be_fit(
    task: CoveredTask,
    evaluated_on: date,
    today: date,
    discussed: tuple[str, ...],
    *,
    aoc_passed: bool,
    note: str,
) -> None:
    if evaluated_on > today:
        raise EvaluationUnfit("The day of the evaluation lies in the future.")
    unknown = [text for text in discussed if text not in task.abnormal_conditions]
    if unknown:
        raise EvaluationUnfit(f"'{unknown[0]}' is not one of the abnormal conditions of {task.id}.")
    if aoc_passed and not task.abnormal_conditions:
        raise EvaluationUnfit(f"{task.id} lists no abnormal conditions; the register has to name them first.")
    left_out = [text for text in task.abnormal_conditions if text not in discussed]
    if aoc_passed and left_out:
        raise EvaluationUnfit(
            f"Not gone through yet: {left_out[0]}. All abnormal conditions of the task belong to it."
        )
    if not note:
        raise EvaluationUnfit("Write down what you saw; a tick alone is no result.")


def _basis(
    unit: Unit,
    actor: Actor,
    person: Person,
    task: CoveredTask,
    day: date,
    today: date,
    methods: tuple[Method, ...],
) -> str:
    """Return by what right the actor evaluates, when the table of steps lets them, by these methods."""
    not_enough = why_not_enough(methods) or task.conditions.methods.why_not(methods, task.id)
    unfit = EvaluationUnfit(not_enough) if not_enough else None
    return evaluator.must(unit, Act.EVALUATE, actor, person, task, day=day, today=today, methods=unfit)


def why_nots(db: Database, actor: Actor, person_id: str, *, now: datetime) -> dict[str, str]:
    """Return by module why the actor may not evaluate a person for its task today; those they may are left out.

    Raises:
        NotFound: there is no such person for this actor.
    """
    with db.reading() as unit:
        person = found_for(unit, actor, Permission.EVALUATION_RECORD, person_id)
        known = tasks.every(unit)
        told = {
            revision.module_id: evaluator.why_not(
                unit, Act.EVALUATE, actor, person, known[revision.task_id], now.date()
            )
            for item in assignments.of_person(unit, person_id)
            for revision in (in_force(unit, item.module_id),)
        }
    return {module_id: why for module_id, why in told.items() if why}


def task_of(unit: Unit, task_id: str) -> CoveredTask:
    """Return a covered task of the register.

    Raises:
        NotFound: the register does not have it.
    """
    task = tasks.by_id(unit, task_id)
    if task is None:
        raise NotFound("covered task", task_id)
    return task


def _must_show_it(
    unit: Unit, person: Person, revision: str, methods: tuple[Method, ...], observation: int | None
) -> None:
    """Let pass an observation that can be the evidence of an evaluation by these methods."""
    if observation is None:
        return
    kept = observations.by_id(unit, observation)
    if kept is None or kept.person_id != person.id or kept.closed_at is None:
        raise EvaluationUnfit(f"There is no signed observation {observation} of this person's work.")
    if kept.revision != revision:
        raise EvaluationUnfit("The observation was made under another revision of the procedure.")
    if not rounds.of_person(unit, person.id, kept.task_id).counts(kept.begun_at):
        raise EvaluationUnfit(
            "The observation lies before the last signature or suspension; watch the work anew."
        )
    if not set(methods) & OBSERVED:
        raise EvaluationUnfit("An observation is named; tick the kind of observation among the methods.")


def _note(unit: Unit, actor: Actor, kept: Evaluation, now: datetime, observation: int | None) -> None:
    journal.note(
        unit,
        actor,
        "evaluation:record",
        at=now,
        evaluation=kept.id,
        person=kept.person_id,
        module=kept.module_id,
        revision=kept.revision,
        task=kept.task_id,
        evaluated_on=kept.evaluated_on.isoformat(),
        methods=[method.value for method in kept.methods],
        abnormal_conditions=list(kept.abnormal_conditions),
        abnormal_passed=kept.abnormal_passed,
        passed=kept.passed,
        result=kept.note,
        basis=kept.basis,
        evaluator_name=kept.evaluator_name,
        meaning=kept.meaning,
        observation=observation or 0,
        session=actor.session,
    )
