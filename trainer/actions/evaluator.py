"""Who may evaluate whom for a task: the house rules, then what the owner of the programme asks for the task."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from trainer.actions import evidence
from trainer.actions.permissions import why_not_evaluate
from trainer.dates import add_months
from trainer.records.conditions import Evaluator
from trainer.records.suspension import spans_without
from trainer.store import assignments, held, people

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date

    from trainer.records.qualification import CoveredTask
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Unit


def right_to_evaluate(
    unit: Unit, evaluator_id: str, person: Person, task: CoveredTask, day: date
) -> tuple[str | None, str]:
    """Return why somebody may not evaluate a person on a day, or None, and by what right they do.

    The conditions of the task are those in force now: an evaluation is judged when it is written down.
    """
    evaluator = people.by_id(unit, evaluator_id)
    found = held.holds(unit, evaluator_id, task.id, day)
    appointed = evaluator is not None and evaluator.evaluator
    why_not = why_not_evaluate(
        evaluator=evaluator_id,
        person=person.id,
        appointed=appointed,
        qualified=found is not None,
        task_title=task.title,
        suspended=_is_suspended(unit, evaluator_id, task.id, day),
    )
    if why_not is None and task.conditions.evaluators.asks_anything:
        since = qualified_since(held.of_person(unit, evaluator_id, task.id), day)
        known = Evaluator(
            appointed=appointed,
            qualified_since=since,
            months_held=_whole_months(since, day) if since else 0,
            same_crew=bool(person.crew) and evaluator is not None and evaluator.crew == person.crew,
            assigned_it=evaluator_id in assignments.assigners(unit, person.id, task.id),
        )
        why_not = task.conditions.evaluators.why_not(known, task.title)
    basis = f"qualified for {task.id} under {found.number}" if found else "appointed as evaluator"
    if found is not None and found.on_paper:
        basis += ", transcribed from an earlier paper"
    return why_not, basis


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
