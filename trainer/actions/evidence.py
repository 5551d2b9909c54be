"""What a person has shown of a module, and what is still missing, from the stored summaries."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.competency.evidence import Shown
from trainer.dates import add_months
from trainer.records import suspension
from trainer.records.qualification import ON_RECORD, CrewCell, standing

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date

    from trainer.actions.readiness import Assessed
    from trainer.actions.sitting_views import SittingLine
    from trainer.competency.evidence import Skill
    from trainer.competency.policy import Policy
    from trainer.records.qualification import CoveredTask
    from trainer.records.suspension import Suspension
    from trainer.store.evaluations import Evaluation
    from trainer.store.qualifications import Qualification, Term
    from trainer.store.summaries import Summary


def shown(
    skills: Iterable[Skill], kept: Mapping[tuple[str, str], Summary], revision: str, policy: Policy
) -> tuple[Shown, ...]:
    """Return how far each skill is shown at a revision.

    Args:
        skills: the skills of the module, in its order.
        kept: one person's summaries by (revision, skill).
        revision: the revision asked about.
        policy: the numbers in force.
    """
    return tuple(_shown(skill, kept.get((revision, skill.id)), policy) for skill in skills)


def _shown(skill: Skill, row: Summary | None, policy: Policy) -> Shown:
    if row is None:
        return Shown(skill, 0, 0, 0, policy.clean_in_a_row, None)
    return Shown(skill, row.attempts, row.clean, row.in_a_row, policy.clean_in_a_row, row.last_at)


def newest_last_day(newest_first: Iterable[Qualification | Term], today: date) -> date | None:
    """Return the last day of the qualification that holds longest; None without any, or when the task is done no more."""
    held = tuple(newest_first)
    if held and held[0].stopped:
        return None
    return max((item.last_day for item in held if item.valid_from <= today), default=None)


def suspension_on(newest_first: Iterable[Qualification | Term], day: date) -> Suspension | None:
    """Return the suspension that holds on a day for a task, None without one or when the task is done no more."""
    held = tuple(newest_first)
    if held and held[0].stopped:
        return None
    return suspension.on([one for item in held for one in item.suspended], day)


def longest(terms: Iterable[Term], today: date) -> Term | None:
    """Return what holds longest of what has begun, None without any, or when the task is done no more.

    Args:
        terms: our own first, the newest of them before the others; then what was transcribed.
        today: the day asked about.
    """
    held = tuple(terms)
    if held and held[0].stopped:
        return None
    begun = [term for term in held if term.valid_from <= today]
    return max(begun, key=lambda term: (term.last_day, not term.on_paper), default=None)


def stands(terms: Iterable[Term], *, assigned: bool, ready: bool, today: date) -> CrewCell:
    """Return where a person stands with a task, until when, and whether that rests on an earlier paper.

    Args:
        terms: as `longest` takes them.
        assigned: a module that serves the task is on the person's sheet.
        ready: everything but the signature is there.
        today: the day asked about.
    """
    held = tuple(terms)
    term = longest(held, today)
    until = term.last_day if term else None
    where = standing(
        assigned=assigned,
        ready=ready,
        valid_until=until,
        today=today,
        suspended=suspension_on(held, today) is not None,
    )
    return CrewCell(where, until, term is not None and term.on_paper and where in ON_RECORD)


def still_carries(evaluation: Evaluation, task: CoveredTask, today: date) -> bool:
    """Return whether a qualification can be signed today: it would not be over already, and the methods are allowed still."""
    in_time = add_months(evaluation.evaluated_on, task.interval_months) > today
    return in_time and task.conditions.methods.why_not(evaluation.methods, task.id) is None


def missing(
    skills: Sequence[Shown],
    assessed: Assessed,
    sitting: SittingLine | None,
    evaluations: Sequence[Evaluation],
    waiting: Evaluation | None,
    revision: str,
    task: CoveredTask,
) -> tuple[str, ...]:
    """Return a sentence for each thing that stands between a person and the supervisor's signature.

    Args:
        skills: how far each skill is shown in practice; that only advises.
        assessed: where the assessed and witnessed attempts stand.
        sitting: the sitting that is released or under way, if there is one.
        evaluations: the person's evaluations on this module, newest first.
        waiting: the one that a qualification could be signed on.
        revision: the revision in force.
        task: the covered task, as it is set now.
    """
    told = [] if assessed.readiness.ready else _missing_assessment(skills, assessed, sitting)
    if waiting is None:
        told.append(_missing_evaluation(evaluations[0] if evaluations else None, revision, task))
    return tuple(told) or ("The signature of the supervisor.",)


def _missing_assessment(
    skills: Sequence[Shown], assessed: Assessed, sitting: SittingLine | None
) -> list[str]:
    if sitting is not None:
        # Where the classes stand would give the marks away before the end.
        return [f"The sitting of {sitting.released_at.date().isoformat()}: {sitting.state}."]
    if not assessed.is_begun:
        # Whoever was signed for before is advised by the due dates of the skills, and lacks no practice.
        new = assessed.this_round.since is None
        told = [_missing_skill(item) for item in skills if new and not item.is_shown]
        return [*told, "An assessment sitting; the mentor releases it."]
    return [
        f"{item.element.title}: {item.sentence[:1].lower()}{item.sentence[1:]}"
        for item in assessed.readiness.classes
        if not item.ready
    ]


def _missing_skill(item: Shown) -> str:
    if item.attempts == 0:
        return f"{item.skill.title}: not practised yet."
    return f"{item.skill.title}: {item.needed - item.in_a_row} more right in a row."


def _missing_evaluation(newest: Evaluation | None, revision: str, task: CoveredTask) -> str:
    if newest is None:
        return "An evaluation, with the abnormal conditions."
    day = newest.evaluated_on.isoformat()
    if not newest.passed:
        return f"A new evaluation: that of {day} was not passed."
    if not newest.abnormal_passed:
        return f"A new evaluation: the abnormal conditions were not passed on {day}."
    if newest.revision != revision:
        return f"A new evaluation: the procedure was revised after {day}."
    why_not = task.conditions.methods.why_not(newest.methods, task.id)
    if why_not:
        return f"A new evaluation: that of {day} does not fit what is set for the task now. {why_not}"
    return f"A new evaluation: that of {day} has been used or is too old."
