"""The life of a qualification after its signature: suspend, lift, withdraw, note that the task is done no more.

One from an earlier paper that stands lives as one of our own does. What may follow on what, by whom and on what conditions
stands in `records/life_cycle.py`; here it is asked and kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts, changes, evidence, journal, life_story, sheets, sitting, sitting_release
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.evaluate import task_of
from trainer.actions.life_steps import LifeStepRefused as LifeStepRefused
from trainer.actions.life_steps import refusal_from, roles_of, state_of_terms
from trainer.actions.people import found_for, view
from trainer.actions.permissions import Permission
from trainer.records.keeping import end_of, keep_until
from trainer.records.life_cycle import Act, Condition
from trainer.records.suspension import LIFTED_BY_ANOTHER
from trainer.store import assignments, earlier, held, life_events, people, qualifications
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.life_story import LifeLine
    from trainer.actions.views import PersonView
    from trainer.errors import TrainerError
    from trainer.records.qualification import CoveredTask, Standing
    from trainer.records.suspension import Cause, Suspension
    from trainer.store.people import Person
    from trainer.store.qualifications import Term
    from trainer.store.session import Database, Unit


@dataclass(frozen=True)
class LifeSheet:
    """The story of one person's qualification for one task, newest last, and what this actor may do now.

    `kept` has for each record the first day on which it might be destroyed, None while there is none. `may` has for
    each act "" when it can be done, or the sentence that says why not. `on_paper`: the standing rests on an earlier paper.
    """

    person: PersonView
    task: CoveredTask
    day: date
    standing: Standing
    on_paper: bool
    number: str
    valid_until: date | None
    suspension: Suspension | None
    lines: tuple[LifeLine, ...]
    kept: tuple[tuple[str, date | None], ...]
    may: dict[Act, str]


# What somebody was asked before a break and answers after it would show nothing of either side.
_ENDS_SITTING = {
    Act.SUSPEND: "Suspended for {task}: what was answered before counts only if that is lifted as unfounded.",
    Act.WITHDRAW: "Qualification for {task} withdrawn: what was answered before counts no more.",
    Act.STOP: "No longer does {task}: what was answered before counts no more.",
}
_ACTS = (Act.SUSPEND, Act.LIFT, Act.WITHDRAW, Act.STOP)


def sheet(db: Database, actor: Actor, person_id: str, task_id: str, *, now: datetime) -> LifeSheet:
    """Return the story of a person's qualification for a task.

    Raises:
        NotFound: no such person for this actor, no such task, or the person never held a qualification for it.
    """
    today = now.date()
    with db.reading() as unit:
        someone = found_for(unit, actor, Permission.RECORD_READ, person_id)
        task = task_of(unit, task_id)
        terms = held.of_person(unit, person_id, task_id)
        if not terms:
            raise NotFound("qualification for", task_id)
        stands = evidence.stands(terms, assigned=False, ready=False, today=today)
        may_change = actor.may(Permission.QUALIFICATION_SUSPEND)
        happened = life_events.of_person(unit, person_id)
        stops = [e.on for e in happened if e.task_id == task_id and e.act is Happened.STOPPED]
        stopped_on = stops[-1] if stops else None
        return LifeSheet(
            person=view(someone),
            task=task,
            day=today,
            standing=stands.standing,
            on_paper=stands.on_paper,
            number=terms[0].number,
            valid_until=stands.until,
            suspension=evidence.suspension_on(terms, today),
            lines=life_story.lines(unit, person_id, task_id),
            kept=tuple((item.number, _keep_until(item, terms, someone, stopped_on)) for item in terms),
            may={act: str(_refusal(actor, person_id, terms, act, today, "-") or "") for act in _ACTS}
            if may_change
            else {},
        )


def suspend(
    db: Database,
    actor: Actor,
    person_id: str,
    task_id: str,
    *,
    cause: Cause,
    from_day: date,
    reason: str,
    password: str,
    now: datetime,
) -> str:
    """Suspend somebody's qualification for a task from a day on; return the session's new token.

    Args:
        db: the database.
        actor: the supervisor.
        person_id: who is suspended.
        task_id: the covered task.
        cause: what for.
        from_day: first day on which the person counts as not qualified; today or earlier.
        reason: what happened, in writing.
        password: the supervisor's password again.
        now: the time.

    Raises:
        NotFound: no such person for this actor, or no such task.
        LifeStepRefused: there is nothing to suspend, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    if from_day > now.date():
        raise LifeStepRefused("The first day of a suspension is today or earlier.")

    def keep(unit: Unit, actor: Actor, terms: Sequence[Term]) -> None:
        about = next((item for item in terms if item.holds_on(from_day)), terms[0])
        _add(unit, actor, about, Happened.SUSPENDED, from_day, reason, now, cause=cause)

    return _take(db, actor, person_id, task_id, Act.SUSPEND, from_day, reason, password, keep, now)


def lift(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """Lift a suspension that turned out to be unfounded; the days it held stay as they were. Return the new token.

    Raises:
        NotFound: no such person for this actor, or no such task.
        LifeStepRefused: there is none, the same supervisor suspended, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    today = now.date()

    def keep(unit: Unit, actor: Actor, terms: Sequence[Term]) -> None:
        for item in _open(terms):
            about = next(term for term in terms if term.number == item.number)
            _add(unit, actor, about, Happened.LIFTED, today, reason, now, ends=item)
        # What a sitting had come to counts again; it may say that a change was not shown.
        for due in changes.of_person(unit, person_id):
            if due.task_id == task_id:
                changes.settle(unit, actor, person_id, due.module_id, now=now)

    return _take(db, actor, person_id, task_id, Act.LIFT, today, reason, password, keep, now)


def withdraw(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """End a qualification for good from today on; return the session's new token.

    Raises:
        NotFound: no such person for this actor, or no such task.
        LifeStepRefused: there is none in force, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    today = now.date()

    def keep(unit: Unit, actor: Actor, terms: Sequence[Term]) -> None:
        told = _end(unit, terms, today, f"Withdrawn: {reason.strip()}")
        _add(unit, actor, terms[0], Happened.WITHDRAWN, today, reason, now, **told)

    return _take(db, actor, person_id, task_id, Act.WITHDRAW, today, reason, password, keep, now)


def stop(
    db: Database, actor: Actor, person_id: str, task_id: str, *, reason: str, password: str, now: datetime
) -> str:
    """Note that a person no longer does a task; it leaves their sheet, and retention begins. Return the new token.

    Raises:
        NotFound: no such person for this actor, or no such task.
        LifeStepRefused: it is noted already, or something is missing.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    today = now.date()

    def keep(unit: Unit, actor: Actor, terms: Sequence[Term]) -> None:
        told = _end(unit, terms, today, f"No longer does this task: {reason.strip()}")
        revisions = sheets.read_register(unit).revisions
        told["unassigned"] = [
            assigned.module_id
            for assigned in assignments.of_person(unit, person_id)
            if revisions[assigned.module_id].task_id == task_id
        ]
        for module_id in told["unassigned"]:
            assignments.withdraw(unit, person_id, module_id, at=now, by=actor.person_id)
        _add(unit, actor, terms[0], Happened.STOPPED, today, reason, now, **told)

    return _take(db, actor, person_id, task_id, Act.STOP, today, reason, password, keep, now)


def _take(
    db: Database,
    actor: Actor,
    person_id: str,
    task_id: str,
    act: Act,
    day: date,
    reason: str,
    password: str,
    keep: Callable[[Unit, Actor, Sequence[Term]], None],
    now: datetime,
) -> str:
    with db.reading() as unit:
        _must(unit, actor, person_id, task_id, act, day, reason)
    actor = accounts.signing(db, actor, password, now=now)
    sitting.settle_open(db, actor, person_id, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        terms = _must(unit, actor, person_id, task_id, act, day, reason)
        if act in _ENDS_SITTING:
            because = _ENDS_SITTING[act].format(task=task_id)
            sitting_release.end_with_round(unit, actor, person_id, task_id, because=because, now=now)
        keep(unit, actor, terms)
    return token


def _must(
    unit: Unit, actor: Actor, person_id: str, task_id: str, act: Act, day: date, reason: str
) -> tuple[Term, ...]:
    found_for(unit, actor, Permission.QUALIFICATION_SUSPEND, person_id)
    task_of(unit, task_id)
    terms = held.of_person(unit, person_id, task_id)
    if not terms:
        raise NotFound("qualification for", task_id)
    refused = _refusal(actor, person_id, terms, act, day, reason)
    if refused is not None:
        raise refused
    return terms


def _refusal(
    actor: Actor, person_id: str, terms: Sequence[Term], act: Act, day: date, reason: str
) -> TrainerError | None:
    """Return why an act is not possible, the password left aside: it is asked for afterwards."""
    waiting = _open(terms)
    if act is Act.SUSPEND and waiting:
        return LifeStepRefused(f"Suspended already, from {waiting[0].from_day.isoformat()} on.")
    same = any(item.by == actor.person_id for item in waiting)
    looked_at: dict[Condition, TrainerError | None] = {
        Condition.PASSWORD: None,
        Condition.ANOTHER_PERSON: NotAllowed(Permission.QUALIFICATION_SUSPEND, LIFTED_BY_ANOTHER)
        if same
        else None,
    }
    if reason.strip():
        looked_at[Condition.REASON] = None
    if actor.person_id != person_id:
        looked_at[Condition.NOT_ONESELF] = None
    return refusal_from(state_of_terms(terms, day), act, roles=roles_of(actor), looked_at=looked_at)


def _keep_until(item: Term, terms: Sequence[Term], person: Person, stopped_on: date | None) -> date | None:
    left = person.retired_at.date() if person.retired_at else None
    if item.number == terms[0].number:
        done_on = (stopped_on if item.stopped else None) or left
        return keep_until(current=done_on is None, ended_on=done_on)
    end = end_of(item.last_day, item.ended_on)
    return keep_until(current=False, ended_on=min(end, left) if left else end)


def _open(terms: Sequence[Term]) -> tuple[Suspension, ...]:
    """Return what a supervisor suspended and nothing ended; what a change holds back is not theirs to lift."""
    return tuple(item for item in terms[0].suspended if item.is_open and not item.demand) if terms else ()


def _end(unit: Unit, terms: Sequence[Term], today: date, because: str) -> dict[str, Any]:
    """End what qualifies the person today, and return what the log says of it."""
    # One that has run out by itself has its end already.
    ended = [
        item.number
        for item in terms[:1]
        if not item.on_paper
        and item.ended_on is None
        and item.valid_until >= today
        and qualifications.end(unit, item.number, on=today, because=because)
    ]
    papers = [
        item.number
        for item in terms
        if item.on_paper
        and item.last_day >= today
        and earlier.end(unit, item.number, on=today, because=because)
    ]
    return {"ended": ended, "papers_ended": papers, "ended_because": because}


def _add(
    unit: Unit,
    actor: Actor,
    about: Term,
    act: Happened,
    on: date,
    reason: str,
    now: datetime,
    *,
    cause: Cause | None = None,
    ends: Suspension | None = None,
    **told: Any,
) -> None:
    kept = life_events.add(
        unit,
        person_id=about.person_id,
        task_id=about.task_id,
        act=act,
        on=on,
        reason=reason.strip(),
        number=about.number,
        by=actor.person_id,
        by_name=actor.display_name,
        at=now,
        cause=cause,
        about=ends,
        on_paper=about.on_paper,
    )
    journal.note(
        unit,
        actor,
        _ACTIONS[act],
        at=now,
        event=kept,
        person=about.person_id,
        task=about.task_id,
        on=on.isoformat(),
        cause=cause.value if cause else "",
        reason=reason.strip(),
        qualification=about.number,
        on_paper=about.on_paper,
        about=ends.id if ends else 0,
        by_name=actor.display_name,
        session=actor.session,
        **told,
    )


_ACTIONS = {
    Happened.SUSPENDED: "qualification:suspend",
    Happened.LIFTED: "qualification:lift",
    Happened.WITHDRAWN: "qualification:withdraw",
    Happened.STOPPED: "qualification:stop",
}
