"""Who may evaluate whom for a task: the house rules, then what the owner of the programme asks for the task."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import evidence, life_steps
from trainer.actions.actor import NotAllowed
from trainer.actions.permissions import NOBODY_EVALUATES_THEMSELVES, Permission, why_not_evaluate
from trainer.dates import add_months
from trainer.records.conditions import Evaluator
from trainer.records.life_cycle import Act, Condition
from trainer.records.suspension import spans_without
from trainer.store import assignments, held, people

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from trainer.actions.actor import Actor
    from trainer.errors import TrainerError
    from trainer.records.qualification import CoveredTask
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Unit


_PERMISSIONS = {
    Act.EVALUATE: Permission.EVALUATION_RECORD,
    Act.OBSERVE: Permission.OBSERVATION_RECORD,
}


def refusal(
    unit: Unit,
    act: Act,
    evaluator_id: str,
    person: Person,
    task: CoveredTask,
    *,
    roles: Iterable[str],
    day: date,
    today: date,
    methods: TrainerError | None = None,
) -> tuple[TrainerError | None, str]:
    """Return why somebody may not evaluate or observe a person, or None, and by what right they do.

    The password is left aside: it is asked for afterwards.

    Args:
        unit: the transaction.
        act: `EVALUATE` or `OBSERVE`.
        evaluator_id: who evaluates.
        person: who is evaluated.
        task: the covered task, as it is set now.
        roles: what the evaluator works as.
        day: the day of the work, on which the evaluator has to have the right.
        today: the day on which it is written down.
        methods: why the methods cannot carry a qualification, None when they can or are not named yet.
    """
    no_right, basis = right_to_evaluate(unit, evaluator_id, person, task, day)
    permission = _PERMISSIONS[act]
    oneself = evaluator_id == person.id
    looked_at = {
        Condition.PASSWORD: None,
        Condition.NOT_ONESELF: NotAllowed(permission, NOBODY_EVALUATES_THEMSELVES) if oneself else None,
        Condition.RIGHT_TO_EVALUATE: NotAllowed(permission, no_right) if no_right else None,
        Condition.METHODS_CARRY: methods,
    }
    refused = life_steps.refusal(unit, act, person.id, task.id, roles=roles, looked_at=looked_at, today=today)
    return refused, basis


def must(
    unit: Unit,
    act: Act,
    actor: Actor,
    person: Person,
    task: CoveredTask,
    *,
    day: date,
    today: date,
    methods: TrainerError | None = None,
) -> str:
    """Return by what right the actor evaluates or observes a person; the arguments are those of `refusal`.

    Raises:
        NotAllowed: this actor may not.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        TrainerError: `methods`, when they cannot carry a qualification.
    """
    refused, basis = refusal(
        unit,
        act,
        actor.person_id,
        person,
        task,
        roles=life_steps.roles_of(actor),
        day=day,
        today=today,
        methods=methods,
    )
    if refused is not None:
        raise refused
    return basis


def why_not(unit: Unit, act: Act, actor: Actor, person: Person, task: CoveredTask, today: date) -> str:
    """Return why the actor may not evaluate or observe a person today, "" when they may."""
    refused, _ = refusal(
        unit, act, actor.person_id, person, task, roles=life_steps.roles_of(actor), day=today, today=today
    )
    return str(refused or "")


def right_to_evaluate(
    unit: Unit, evaluator_id: str, person: Person, task: CoveredTask, day: date
) -> tuple[str | None, str]:
    """Return why somebody has no right to evaluate a person on a day, or None, and by what right they do.

    The conditions of the task are those in force now: an evaluation is judged when it is written down.
    """
    evaluator = people.by_id(unit, evaluator_id)
    found = held.holds(unit, evaluator_id, task.id, day)
    appointed = evaluator is not None and evaluator.evaluator
    no_right = why_not_evaluate(
        appointed=appointed,
        qualified=found is not None,
        task_title=task.title,
        suspended=_is_suspended(unit, evaluator_id, task.id, day),
    )
    if no_right is None and task.conditions.evaluators.asks_anything:
        since = qualified_since(held.of_person(unit, evaluator_id, task.id), day)
        known = Evaluator(
            appointed=appointed,
            qualified_since=since,
            months_held=_whole_months(since, day) if since else 0,
            same_crew=bool(person.crew) and evaluator is not None and evaluator.crew == person.crew,
            assigned_it=evaluator_id in assignments.assigners(unit, person.id, task.id),
        )
        no_right = task.conditions.evaluators.why_not(known, task.title)
    basis = f"qualified for {task.id} under {found.number}" if found else "appointed as evaluator"
    if found is not None and found.on_paper:
        basis += ", transcribed from an earlier paper"
    return no_right, basis


def qualified_since(terms: Iterable[Term], day: date) -> date | None:
    """Return the first day of the time without a break that leads up to a day, None when it is no day of one.

    Args:
        terms: all that somebody ever held for the task; a suspension is a break.
        day: the day asked about.
    """
    stretches = [
        stretch for term in terms for stretch in spans_without(term.valid_from, term.last_day, term.suspended)
    ]
    since = None
    while begins := [first for first, last in stretches if first <= day <= last]:
        since = min(begins)
        day = since - timedelta(days=1)
    return since


def _whole_months(since: date, day: date) -> int:
    months = (day.year - since.year) * 12 + day.month - since.month
    return months if add_months(since, months) <= day else months - 1


def _is_suspended(unit: Unit, person_id: str, task_id: str, day: date) -> bool:
    return evidence.suspension_on(held.of_person(unit, person_id, task_id), day) is not None
