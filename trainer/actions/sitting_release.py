"""Releasing somebody for a sitting, and breaking one off: the mentor decides and says why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from trainer.actions import changes, evidence, journal, life_steps, readiness, sitting
from trainer.actions import policy as policies_room
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.assign import PersonHasLeft
from trainer.actions.people import found_for
from trainer.actions.permissions import Permission
from trainer.actions.published import in_force, prepared
from trainer.actions.sitting_views import ReleaseSheet
from trainer.competency.readiness import series_for
from trainer.competency.sequential import Decision
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act, Condition
from trainer.store import attempts, people, sittings, summaries
from trainer.store.sittings import How

if TYPE_CHECKING:
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.changes import ChangeDue
    from trainer.actions.readiness import Assessed
    from trainer.competency.evidence import Shown
    from trainer.competency.skill_classes import ElementClass
    from trainer.store.modules import Revision
    from trainer.store.people import Person
    from trainer.store.session import Database, Unit
    from trainer.store.sittings import Sitting

_LONGEST_REASON = 2000


class NotReleased(TrainerError):
    """Nothing can be released just now; the text says why."""


class NothingToBreakOff(TrainerError):
    """The sitting has ended already."""

    def __init__(self) -> None:
        super().__init__("This sitting has ended already.")


class ReasonMissing(TrainerError):
    """A release or a break without a word of why."""

    def __init__(self, what: str) -> None:
        super().__init__(f"Write down why you {what} it, in at most {_LONGEST_REASON} characters.")


def prepare(db: Database, actor: Actor, person_id: str, module_id: str, *, now: datetime) -> ReleaseSheet:
    """Return what a mentor has in front of them before they release a sitting.

    Raises:
        NotFound: no such person for this actor, or no such module.
    """
    with db.reading() as unit:
        person = found_for(unit, actor, Permission.SITTING_RELEASE, person_id)
        revision = in_force(unit, module_id)
        shown = _shown(unit, person_id, revision)
        change = changes.of_module(unit, person_id, module_id)
        assessed = readiness.of_person(unit, person_id, revision.revision)
        numbers = policies_room.in_force(unit).policy

        def why_not(change: ChangeDue | None) -> str:
            # The reason is written on the very page that this is for.
            found = _why_not(unit, actor, person, revision, assessed, change, "-", now.date())
            return str(found or "")

        return ReleaseSheet(
            person_id=person.id,
            person_name=person.display_name,
            module_id=module_id,
            module_title=revision.title,
            document=revision.document,
            revision=revision.revision,
            shown=sum(item.is_shown for item in shown),
            skills=len(shown),
            advice=_advice(shown),
            readiness=None if sittings.open_of(unit, person_id) else assessed.readiness,
            most=numbers.drills_per_sitting,
            minutes=numbers.sitting_minutes,
            why_not=why_not(None),
            change=change,
            why_not_change=why_not(change) if change else "",
        )


def release(
    db: Database,
    actor: Actor,
    person_id: str,
    module_id: str,
    *,
    because: str,
    drawn_with: str,
    now: datetime,
    for_change: bool = False,
) -> int:
    """Release somebody for one sitting, and return its number.

    Args:
        db: the database.
        actor: the mentor.
        person_id: who is released.
        module_id: the module, at the revision in force.
        because: why, in writing; practice only advises.
        drawn_with: chance, for this sitting alone: what its questions are drawn with.
        now: the time.
        for_change: only what a change touches that the person has to show.

    Raises:
        NotFound: no such person for this actor, or no such module.
        LifeStepRefused: nobody may as things are with this person; no module that serves the task is assigned.
        NotReleased: it is the actor themselves, this module is not assigned, a sitting is open already, practice is asked
            for first, or everything is decided.
        ReasonMissing: no reason is written, or a far too long one.
    """
    reason = because.strip()
    with db.reading() as unit:
        found_for(unit, actor, Permission.SITTING_RELEASE, person_id)
    sitting.settle_open(db, actor, person_id, now=now)
    with db.writing() as unit:
        person = found_for(unit, actor, Permission.SITTING_RELEASE, person_id)
        if person.retired_at is not None:
            raise PersonHasLeft(person.display_name)
        people.lock(unit, person_id)
        revision = in_force(unit, module_id)
        change = changes.of_module(unit, person_id, module_id) if for_change else None
        if for_change and change is None:
            raise NotReleased(f"No change of {revision.title} waits to be shown by {person.display_name}.")
        assessed = readiness.of_person(unit, person_id, revision.revision)
        why_not = _why_not(unit, actor, person, revision, assessed, change, reason, now.date())
        if why_not is not None:
            raise why_not
        numbers = policies_room.kept_in_force(unit, now=now)
        shown = _shown(unit, person_id, revision)
        made = sittings.release(
            unit,
            person_id=person_id,
            module_id=module_id,
            revision=revision.revision,
            policy=numbers.sha256,
            drawn_with=drawn_with,
            shown=sum(item.is_shown for item in shown),
            skills=len(shown),
            because=reason,
            released_by=actor.person_id,
            at=now,
            classes=[element.id for element in change.classes] if change else [],
        )
        journal.note(
            unit,
            actor,
            "sitting:release",
            at=now,
            sitting=made.id,
            person=person_id,
            module=module_id,
            revision=revision.revision,
            policy=numbers.sha256,
            shown=made.shown,
            skills=made.skills,
            because=reason,
            classes=list(made.classes),
        )
    return made.id


def break_off(db: Database, actor: Actor, sitting_id: int, *, because: str, now: datetime) -> None:
    """Break a sitting off; what was answered counts, the open question counts for nothing.

    Raises:
        NotFound: there is no such sitting for this actor.
        NotAllowed: it is the actor's own.
        NothingToBreakOff: it has ended.
        ReasonMissing: no reason is written, or a far too long one.
    """
    reason = because.strip()
    if not _is_said(reason):
        raise ReasonMissing("break off")
    with db.reading() as unit:
        _for(unit, actor, sitting_id)
    sitting.settle(db, actor, sitting_id, now=now)
    with db.writing() as unit:
        people.lock(unit, _for(unit, actor, sitting_id).person_id)
        found = _for(unit, actor, sitting_id)
        if found.end is not None:
            raise NothingToBreakOff
        _end(unit, actor, found, reason, now)
        changes.settle(unit, actor, found.person_id, found.module_id, now=now)


def end_with_round(
    unit: Unit, actor: Actor, person_id: str, task_id: str, *, because: str, now: datetime
) -> None:
    """End a person's open sitting of a module that serves a task, because what was shown for it before counts no more.

    What was answered stays in the series, which is spent with the round; the person can be released anew at once.

    Args:
        unit: the transaction in which the round ends; the person is locked in it.
        actor: whose doing ends the round.
        person_id: whose sitting.
        task_id: the covered task.
        because: why, in a sentence.
        now: the time at which the round ends.
    """
    found = sittings.open_of(unit, person_id)
    if found is not None and prepared(unit, found.revision).module.covered_task == task_id:
        _end(unit, actor, found, because, now)


def _end(unit: Unit, actor: Actor, found: Sitting, because: str, now: datetime) -> None:
    results = sitting.results_of(readiness.of_sitting(unit, found))
    sittings.end(
        unit, found.id, how=How.BROKEN_OFF, results=results, because=because, by=actor.person_id, at=now
    )
    journal.note(
        unit,
        actor,
        "sitting:break_off",
        at=now,
        sitting=found.id,
        person=found.person_id,
        because=because,
        results=results,
    )


def _for(unit: Unit, actor: Actor, sitting_id: int) -> Sitting:
    actor.must(Permission.SITTING_RELEASE)
    found = sittings.by_id(unit, sitting_id)
    if found is None:
        raise NotFound("sitting", sitting_id)
    if found.person_id == actor.person_id:
        raise NotAllowed(Permission.SITTING_RELEASE, "Nobody breaks off their own sitting.")
    person = people.by_id(unit, found.person_id)
    if person is None or not actor.may_for(Permission.SITTING_RELEASE, crew=person.crew):
        raise NotFound("sitting", sitting_id)
    return found


def _is_said(because: str) -> bool:
    return 0 < len(because.strip()) <= _LONGEST_REASON


def _shown(unit: Unit, person_id: str, revision: Revision) -> tuple[Shown, ...]:
    kept = summaries.of_person(unit, person_id, revision.revision)
    numbers = policies_room.in_force(unit).policy
    return evidence.shown(prepared(unit, revision.revision).skills, kept, revision.revision, numbers)


def _advice(shown: tuple[Shown, ...]) -> str:
    missing = [item.skill.title for item in shown if not item.is_shown]
    if not missing:
        return "Practice says yes: every skill is shown."
    listed = "; ".join(missing[:3]) + (f"; and {len(missing) - 3} more" if len(missing) > 3 else "")
    return f"Practice advises to wait: {len(missing)} of {len(shown)} skills are not shown ({listed})."


def _why_not(
    unit: Unit,
    actor: Actor,
    person: Person,
    revision: Revision,
    assessed: Assessed,
    change: ChangeDue | None,
    because: str,
    today: date,
) -> TrainerError | None:
    """Return why nothing can be released, or None; with a change, why no sitting for it alone."""
    given = life_steps.module_given(unit, person.id, revision.module_id)
    refused = life_steps.refusal(
        unit,
        Act.RELEASE,
        person.id,
        revision.task_id,
        roles=life_steps.roles_of(actor),
        looked_at={
            Condition.REASON: None if _is_said(because) else ReasonMissing("release"),
            Condition.NOT_ONESELF: None
            if person.id != actor.person_id
            else NotReleased("Nobody releases themselves; another mentor does."),
            Condition.MODULE_GIVEN: None
            if given
            else NotReleased(f"{revision.title} is not assigned to {person.display_name}; assign it first."),
        },
        today=today,
    )
    told = None if refused else _nothing_to_sit(unit, person, revision, assessed, change)
    return NotReleased(told) if told else refused


def _nothing_to_sit(
    unit: Unit, person: Person, revision: Revision, assessed: Assessed, change: ChangeDue | None
) -> str | None:
    """Return why there is no sitting to release just now, or None."""
    if sittings.open_of(unit, person.id) is not None:
        return f"{person.display_name} has a sitting that is released or under way; it comes first."
    if change is not None:
        assessed = change.assessed
        if change.failed:
            return "The change was found not shown; only a sitting about all of it leads on now."
        if change.shown:
            return "All that the change touches is passed; a supervisor confirms it."
    classes = assessed.readiness.classes
    if all(item.decision is Decision.PASS for item in classes):
        return "Nothing is left to decide: every class is passed at this revision."
    for item in classes:
        policy = assessed.policies[item.element.id].policy
        if series_for(item, policy) is None:
            ended = item.decision is Decision.NOT_READY
            how = "ended as not ready" if ended else "begun since the last signature led to none"
            return (
                f"{item.element.title}: {policy.series_most} series {how}. "
                "The owner of the programme decides what to do next."
            )
        failed_at = assessed.failed.get(item.element.id)
        again = failed_at and _retraining(
            unit, person.id, revision, item.element, failed_at, policy.clean_in_a_row
        )
        if again:
            return again
    return None


def _retraining(
    unit: Unit, person_id: str, revision: Revision, element: ElementClass, failed_at: datetime, in_a_row: int
) -> str | None:
    """Return which skill has to be practised again before a new series, or None when all of the class were."""
    published = prepared(unit, revision.revision)
    since = [one for one in attempts.outcomes_of(unit, person_id, revision.revision) if one.at > failed_at]
    for skill in element.skills:
        newest = [one.right for one in since if one.skill == skill][-in_a_row:]
        if len(newest) < in_a_row or not all(newest):
            found = published.skill(skill)
            title = found.title if found else skill
            return (
                f"{element.title} was not ready on {failed_at.date().isoformat()}. Practise first: "
                f"{title}, {in_a_row} right in a row since that day."
            )
    return None
