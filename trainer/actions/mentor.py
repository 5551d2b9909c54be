"""Looking after people: who is how far, and where somebody goes wrong."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from trainer.actions import earlier, evaluate, evidence, policy, readiness, sheets, signed_records
from trainer.actions.chosen_people import Wanted, choose
from trainer.actions.people import found_for, view
from trainer.actions.permissions import Permission, Role
from trainer.actions.published import prepared
from trainer.actions.views import AttemptLine, ModuleShown, PersonLine, PersonSheet, WentWrong
from trainer.procedure.model import Hazard
from trainer.store import assignments, attempts, evaluations, held, people, qualifications, summaries

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.chosen_people import Choice
    from trainer.actions.sheets import Register
    from trainer.store.assignments import Assignment
    from trainer.store.attempts import Attempt
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit

# How far back a person's page looks for what goes wrong.
LOOK_BACK = 200
_LISTED = 25


def people_of(db: Database, actor: Actor, *, now: datetime) -> tuple[PersonLine, ...]:
    """Return the people this actor looks after as they are first shown, in a large company those of one crew."""
    return chosen_people(db, actor, Wanted(), now=now)[1]


def chosen_people(
    db: Database, actor: Actor, wanted: Wanted, *, now: datetime
) -> tuple[Choice, tuple[PersonLine, ...]]:
    """Return the people this actor looks after, a line each: everybody who practises or has to; and what can be chosen."""
    actor.must(Permission.ATTEMPT_READ)
    with db.reading() as unit:
        choice = choose(unit, actor, Permission.ATTEMPT_READ, wanted)
        lines = _Lines(unit, choice.crew, now.date())
        return choice, tuple(
            lines.of(person)
            for person in people.everybody(unit, crew=choice.crew)
            if actor.may_for(Permission.ATTEMPT_READ, crew=person.crew)
            and (Role.TECHNICIAN.value in person.roles or lines.has_modules(person))
        )


class _Lines:
    """Everything the lines of a list need, read in a handful of queries however many people there are."""

    def __init__(self, unit: Unit, crew: str | None, today: date) -> None:
        self.unit = unit
        self.today = today
        self.register: Register = sheets.read_register(unit)
        self.assignments = assignments.of_people(unit, crew=crew)
        self.shown = summaries.shown_counts(
            unit, in_a_row=policy.in_force(unit).policy.clean_in_a_row, crew=crew
        )
        self.last = attempts.last_practice(unit, crew=crew)
        self.waiting = {
            (item.person_id, item.module_id): item for item in evaluations.waiting(unit, crew=crew)
        }
        self.held = held.terms(unit, crew=crew)

    def has_modules(self, person: Person) -> bool:
        return person.id in self.assignments

    def of(self, person: Person) -> PersonLine:
        return PersonLine(
            person_id=person.id,
            name=person.display_name,
            crew=person.crew,
            grade=person.grade,
            modules=tuple(self._module(person, item) for item in self.assignments.get(person.id, ())),
            last_practice=self.last.get(person.id),
        )

    def _module(self, person: Person, assignment: Assignment) -> ModuleShown:
        revision = self.register.revisions[assignment.module_id]
        task = self.register.tasks[revision.task_id]
        of = len(prepared(self.unit, revision.revision).skills)
        shown = self.shown.get((person.id, revision.revision), 0)
        waiting = self.waiting.get((person.id, revision.module_id))
        stands = evidence.stands(
            self.held.get((person.id, task.id), ()),
            assigned=True,
            ready=waiting is not None
            and evidence.still_carries(waiting, task, self.today)
            and readiness.of_person(self.unit, person.id, waiting.revision).readiness.ready,
            today=self.today,
        )
        where = stands.standing
        late = assignment.due is not None and assignment.due < self.today and not where.may_work_alone
        return ModuleShown(
            revision.module_id, revision.title, shown, of, assignment.due, late, where, stands.on_paper
        )


def person(db: Database, actor: Actor, person_id: str, *, now: datetime) -> PersonSheet:
    """Return one person's sheet as who looks after them sees it.

    Raises:
        NotFound: there is no such person for this actor.
    """
    today = now.date()
    with db.reading() as unit:
        someone = found_for(unit, actor, Permission.ATTEMPT_READ, person_id)
        newest = attempts.newest_of(unit, person_id, limit=LOOK_BACK)
        return PersonSheet(
            person=view(someone),
            day=today,
            modules=sheets.modules_of(unit, person_id, today),
            attempts=tuple(_line(unit, item) for item in newest[:_LISTED]),
            went_wrong=_went_wrong(unit, newest),
            evaluations=evaluate.of_person(unit, someone),
            qualifications=tuple(
                signed_records.shown_as(item, someone.display_name, today)
                for item in qualifications.of_person(unit, person_id)
            ),
            earlier=earlier.of_person(unit, actor, person_id, today),
        )


def _line(unit: Unit, kept: Attempt) -> AttemptLine:
    published = prepared(unit, kept.address.revision)
    wrong = [remark["text"] for remark in kept.mark["remarks"] if not remark["right"]]
    return AttemptLine(
        attempt_id=kept.id,
        at=kept.at,
        module_id=kept.module_id,
        module_title=published.module.title,
        skill_title=_skill_title(unit, kept),
        size=kept.address.size,
        right=kept.right,
        critical=kept.critical,
        counts=kept.counts,
        headline=kept.mark["headline"],
        remark=next(iter(wrong), ""),
    )


def _went_wrong(unit: Unit, newest: Sequence[Attempt]) -> tuple[WentWrong, ...]:
    """Return what goes wrong, most frequent first; of equals what can hurt, then what happened last."""
    times: Counter[tuple[str, str]] = Counter()
    critical: dict[tuple[str, str], bool] = {}
    for kept in newest:
        for text, hurts in dict(_errors(kept)).items():
            about = (_skill_title(unit, kept), text)
            times[about] += 1
            critical[about] = critical.get(about, False) or hurts
    # A Counter keeps the order of first mention, which is newest first, and sorting keeps it among equals.
    ordered = sorted(times, key=lambda about: (-times[about], not critical[about]))
    return tuple(WentWrong(text, times[skill, text], critical[skill, text], skill) for skill, text in ordered)


def _errors(kept: Attempt) -> Iterable[tuple[str, bool]]:
    for remark in kept.mark["remarks"]:
        if not remark["right"]:
            # A remark without a signal word of its own weighs what the whole mark weighs.
            signal = remark["signal"]
            yield remark["text"], kept.critical if signal is None else Hazard(signal).is_critical


def _skill_title(unit: Unit, kept: Attempt) -> str:
    skill = prepared(unit, kept.address.revision).skill(kept.skill)
    return skill.title if skill else kept.skill
