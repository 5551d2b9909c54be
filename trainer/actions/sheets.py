"""A person's modules as their own sheet and the mentor's show them: read once, told the same everywhere."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from trainer.actions import changes, evidence, guidance, next_skill, policy, readiness, sitting_sheets
from trainer.actions.published import prepared
from trainer.actions.views import ModuleOnSheet
from trainer.records.qualification import ENDS_SOON_DAYS, Standing
from trainer.store import assignments, earlier, evaluations, modules, qualifications, summaries, tasks

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from trainer.actions.readiness import Assessed
    from trainer.actions.sitting_views import SittingLine
    from trainer.records.qualification import CoveredTask
    from trainer.records.suspension import Suspension
    from trainer.store.assignments import Assignment
    from trainer.store.earlier import Earlier
    from trainer.store.evaluations import Evaluation
    from trainer.store.modules import Revision
    from trainer.store.qualifications import Qualification, Term
    from trainer.store.session import Unit
    from trainer.store.summaries import Summary


@dataclass(frozen=True)
class Register:
    """The covered tasks, and the revisions in force by module."""

    tasks: Mapping[str, CoveredTask]
    revisions: Mapping[str, Revision]


def read_register(unit: Unit) -> Register:
    """Return the register as it stands."""
    return Register(tasks.every(unit), {item.module_id: item for item in modules.in_force(unit)})


@dataclass(frozen=True)
class Holdings:
    """What one person has: summaries, evaluations, those that wait for a signature, qualifications, transcribed ones."""

    summaries: Mapping[tuple[str, str], Summary]
    evaluations: tuple[Evaluation, ...]
    waiting: tuple[Evaluation, ...]
    qualifications: tuple[Qualification, ...]
    earlier: tuple[Earlier, ...]

    def terms(self, task_id: str) -> tuple[Term, ...]:
        """Return what is held for a task, our own first, then what was transcribed."""
        own = [item.term for item in self.qualifications if item.task_id == task_id]
        papers = [item.term for item in self.earlier if item.stands and item.record.task == task_id]
        return (*own, *papers)


def read_holdings(unit: Unit, person_id: str) -> Holdings:
    """Return what one person has."""
    return Holdings(
        summaries.of_person(unit, person_id),
        evaluations.of_person(unit, person_id),
        evaluations.waiting(unit, person_id=person_id),
        qualifications.of_person(unit, person_id),
        earlier.of_person(unit, person_id),
    )


def modules_of(unit: Unit, person_id: str, today: date) -> tuple[ModuleOnSheet, ...]:
    """Return a person's assigned modules, the nearest due date first."""
    register = read_register(unit)
    holdings = read_holdings(unit, person_id)
    sat = sitting_sheets.lines_of(unit, person_id)
    lines = [
        _on_sheet(unit, person_id, assignment, register, holdings, sat, today)
        for assignment in assignments.of_person(unit, person_id)
    ]
    return tuple(sorted(lines, key=lambda line: (line.due or date.max, line.title, line.module_id)))


def _on_sheet(
    unit: Unit,
    person_id: str,
    assignment: Assignment,
    register: Register,
    holdings: Holdings,
    sat: Sequence[SittingLine],
    today: date,
) -> ModuleOnSheet:
    revision = register.revisions[assignment.module_id]
    task = register.tasks[revision.task_id]
    published = prepared(unit, revision.revision)
    numbers = policy.in_force(unit).policy
    skills = evidence.shown(published.skills, holdings.summaries, revision.revision, numbers)
    prospects = guidance.of_person(unit, person_id, published, skills, numbers).prospects
    sat_here = tuple(line for line in sat if line.module_id == revision.module_id)
    waiting = waiting_on(holdings, revision.module_id, task, today)
    assessed = readiness.of_person(unit, person_id, revision.revision)
    terms = holdings.terms(task.id)
    suspended = evidence.suspension_on(terms, today)
    stands = evidence.stands(
        terms, assigned=True, ready=waiting is not None and assessed.readiness.ready, today=today
    )
    where, held = stands.standing, stands.until
    open_sitting = next((line for line in sat_here if line.is_open), None)
    change = changes.of_module(unit, person_id, revision.module_id)
    of_module = [item for item in holdings.evaluations if item.module_id == revision.module_id]
    return ModuleOnSheet(
        module_id=revision.module_id,
        title=revision.title,
        document=revision.document,
        revision=revision.revision,
        task_id=task.id,
        task_title=task.title,
        sizes=published.module.sizes,
        due=assignment.due,
        days_left=(assignment.due - today).days if assignment.due else None,
        standing=where,
        valid_until=held,
        skills=skills,
        missing=()
        if where is Standing.SIGNED
        else (change.sentence(today),)
        if suspended is not None and suspended.demand and change is not None and not change.failed
        else (
            *_held_back(suspended),
            *evidence.missing(skills, assessed, open_sitting, of_module, waiting, revision.revision, task),
        ),
        next=next_skill.choose(prospects, numbers, today),
        due_again={item.skill.id: item.due for item in prospects if item.due is not None},
        # Before a sitting ends, where its person stands would give its marks away.
        assessment=assessed.readiness.sentence if assessed.is_begun and open_sitting is None else "",
        sittings=sat_here,
        span=task.conditions.span,
        on_paper=stands.on_paper,
        renewal=_renewal(evidence.longest(terms, today), where, assessed),
        change=change.sentence(today) if change else "",
    )


def _held_back(suspended: Suspension | None) -> tuple[str, ...]:
    if suspended is None:
        return ()
    return (
        f"Suspended from {suspended.from_day.isoformat()} on: all of it has to be shown anew since then, and signed.",
    )


def _renewal(term: Term | None, where: Standing, assessed: Assessed) -> str:
    """Return what the next signature of somebody who is qualified takes, "" for everybody else."""
    since = assessed.this_round.since
    if term is None or term.on_paper or since is None or not where.may_work_alone:
        return ""
    opens = term.last_day - timedelta(days=ENDS_SOON_DAYS)
    listed = f"what is missing is listed here from {opens.isoformat()} on" if where is Standing.SIGNED else ""
    classes = len(assessed.readiness.classes)
    decided = "the one class" if classes == 1 else f"all {classes} classes"
    asked = f"{decided} in sittings, the work at the bench, an evaluation and the signature"
    counts = f"What was shown since {since.date().isoformat()} counts."
    return f"By {term.last_day.isoformat()}: {asked}{'; ' if listed else ''}{listed}. {counts}"


def waiting_on(holdings: Holdings, module_id: str, task: CoveredTask, today: date) -> Evaluation | None:
    """Return the evaluation on a module that a qualification could be signed on today, or None."""
    return next(
        (
            item
            for item in holdings.waiting
            if item.module_id == module_id and evidence.still_carries(item, task, today)
        ),
        None,
    )
