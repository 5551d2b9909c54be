"""The life of a qualification after its signature: suspend, lift, withdraw, note that the task is done no more.

What may follow on what, by whom and on what conditions stands in `records/life_cycle.py`; here it is asked and kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from trainer.actions import accounts, evidence, journal, sheets
from trainer.actions.actor import NotAllowed, NotFound
from trainer.actions.evaluate import task_of
from trainer.actions.people import found_for, view
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.records.keeping import keep_until
from trainer.records.life_cycle import Act, Condition, Life, State, why_not
from trainer.records.qualification import Standing, standing
from trainer.records.suspension import LIFTED_BY_ANOTHER
from trainer.store import assignments, earlier, life_events, people, qualifications
from trainer.store.life_events import Happened

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.actions.views import PersonView
    from trainer.records.qualification import CoveredTask
    from trainer.records.suspension import Cause, Suspension
    from trainer.store.life_events import LifeEvent
    from trainer.store.people import Person
    from trainer.store.qualifications import Qualification
    from trainer.store.session import Database, Unit


class LifeStepRefused(TrainerError):
    """The step cannot be taken; the text says what stands in the way."""


@dataclass(frozen=True)
class LifeLine:
    """One line of the story of a qualification; `number` is the record it is about."""

    on: date
    what: str
    because: str
    by: str
    at: datetime
    number: str


@dataclass(frozen=True)
class LifeSheet:
    """The story of one person's qualification for one task, newest last, and what this actor may do now.

    `kept` has for each record the first day on which it might be destroyed, None while there is none. `may` has for
    each act "" when it can be done, or the sentence that says why not.
    """

    person: PersonView
    task: CoveredTask
    day: date
    standing: Standing
    number: str
    valid_until: date | None
    suspension: Suspension | None
    lines: tuple[LifeLine, ...]
    kept: tuple[tuple[str, date | None], ...]
    may: dict[Act, str]


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
        held = _held(unit, person_id, task_id)
        if not held:
            raise NotFound("qualification for", task_id)
        suspension = evidence.suspension_on(held, today)
        until = evidence.newest_last_day(held, today)
        may_change = actor.may(Permission.QUALIFICATION_SUSPEND)
        return LifeSheet(
            person=view(someone),
            task=task,
            day=today,
            standing=standing(
                assigned=False,
                ready=False,
                valid_until=until,
                today=today,
                suspended=suspension is not None,
            ),
            number=held[0].number,
            valid_until=until,
            suspension=suspension,
            lines=_lines(held, life_events.of_person(unit, person_id), task_id),
            kept=tuple((item.number, _keep_until(item, held, someone)) for item in held),
            may={act: _refusal(actor, person_id, held, act, today, "-") or "" for act in _ACTS}
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

    def keep(unit: Unit, held: Sequence[Qualification]) -> None:
        number = next(item.number for item in held if item.holds_on(from_day))
        _add(unit, actor, person_id, task_id, Happened.SUSPENDED, from_day, reason, number, now, cause=cause)

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

    def keep(unit: Unit, held: Sequence[Qualification]) -> None:
        for item in _open(held):
            _add(
                unit, actor, person_id, task_id, Happened.LIFTED, today, reason, item.number, now, about=item
            )

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

    def keep(unit: Unit, held: Sequence[Qualification]) -> None:
        told = _end(unit, held, today, f"Withdrawn: {reason.strip()}")
        _add(unit, actor, person_id, task_id, Happened.WITHDRAWN, today, reason, held[0].number, now, **told)

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

    def keep(unit: Unit, held: Sequence[Qualification]) -> None:
        told = _end(unit, held, today, f"No longer does this task: {reason.strip()}")
        revisions = sheets.read_register(unit).revisions
        told["unassigned"] = [
            assigned.module_id
            for assigned in assignments.of_person(unit, person_id)
            if revisions[assigned.module_id].task_id == task_id
        ]
        for module_id in told["unassigned"]:
            assignments.withdraw(unit, person_id, module_id, at=now, by=actor.person_id)
        _add(unit, actor, person_id, task_id, Happened.STOPPED, today, reason, held[0].number, now, **told)

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
    keep: Callable[[Unit, Sequence[Qualification]], None],
    now: datetime,
) -> str:
    with db.reading() as unit:
        _must(unit, actor, person_id, task_id, act, day, reason)
    accounts.check_password(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        people.lock(unit, person_id)
        keep(unit, _must(unit, actor, person_id, task_id, act, day, reason))
    return token


def _must(
    unit: Unit, actor: Actor, person_id: str, task_id: str, act: Act, day: date, reason: str
) -> tuple[Qualification, ...]:
    found_for(unit, actor, Permission.QUALIFICATION_SUSPEND, person_id)
    task_of(unit, task_id)
    held = _held(unit, person_id, task_id)
    if not held:
        raise NotFound("qualification for", task_id)
    refused = _refusal(actor, person_id, held, act, day, reason)
    if refused == LIFTED_BY_ANOTHER:
        raise NotAllowed(Permission.QUALIFICATION_SUSPEND, refused)
    if refused:
        raise LifeStepRefused(refused)
    return held


def _refusal(
    actor: Actor, person_id: str, held: Sequence[Qualification], act: Act, day: date, reason: str
) -> str | None:
    """Return why an act is not possible, the password left aside: it is asked for afterwards."""
    waiting = _open(held)
    if act is Act.SUSPEND and waiting:
        return f"Suspended already, from {waiting[0].from_day.isoformat()} on."
    if act is Act.LIFT and any(item.by == actor.person_id for item in waiting):
        return LIFTED_BY_ANOTHER
    met = {Condition.PASSWORD, Condition.ANOTHER_PERSON}
    if reason.strip():
        met.add(Condition.REASON)
    if actor.person_id != person_id:
        met.add(Condition.NOT_ONESELF)
    roles = [role.value for role in actor.roles]
    return why_not(Life(_state(held, day)), act, roles, met)


def _state(held: Sequence[Qualification], day: date) -> State:
    newest = held[0]
    if newest.stopped:
        return State.STOPPED
    if _open(held) and newest.ended_on is None:
        return State.SUSPENDED
    if any(item.holds_on(day) for item in held):
        return State.QUALIFIED
    return State.LAPSED if newest.ended_on is None else State.WITHDRAWN


def _held(unit: Unit, person_id: str, task_id: str) -> tuple[Qualification, ...]:
    return tuple(q for q in qualifications.of_person(unit, person_id) if q.task_id == task_id)


def _keep_until(item: Qualification, held: Sequence[Qualification], person: Person) -> date | None:
    left = person.retired_at.date() if person.retired_at else None
    current = item.number == held[0].number and not item.stopped and left is None
    days = [day for day in (item.ended_on, left) if day is not None]
    return keep_until(current=current, ended_on=min(days, default=None))


def _open(held: Sequence[Qualification]) -> tuple[Suspension, ...]:
    return tuple(item for item in held[0].suspended if item.is_open) if held else ()


def _end(unit: Unit, held: Sequence[Qualification], today: date, because: str) -> dict[str, Any]:
    """End what qualifies the person today, and return what the log says of it."""
    # One that has run out by itself has its end already.
    runs = held[0].ended_on is None and held[0].valid_until >= today
    ended = (
        [held[0].number]
        if runs and qualifications.end(unit, held[0].number, on=today, because=because)
        else []
    )
    papers = [
        paper.record.number
        for paper in earlier.of_person(unit, held[0].person_id)
        if paper.record.task == held[0].task_id
        and paper.stands
        and paper.term.last_day >= today
        and earlier.end(unit, paper.record.number, on=today, because=because)
    ]
    return {"ended": ended, "papers_ended": papers, "ended_because": because}


def _add(
    unit: Unit,
    actor: Actor,
    person_id: str,
    task_id: str,
    act: Happened,
    on: date,
    reason: str,
    number: str,
    now: datetime,
    *,
    cause: Cause | None = None,
    about: Suspension | None = None,
    **told: Any,
) -> None:
    kept = life_events.add(
        unit,
        person_id=person_id,
        task_id=task_id,
        act=act,
        on=on,
        reason=reason.strip(),
        number=number,
        by=actor.person_id,
        by_name=actor.display_name,
        at=now,
        cause=cause,
        about=about,
    )
    journal.note(
        unit,
        actor,
        _ACTIONS[act],
        at=now,
        event=kept,
        person=person_id,
        task=task_id,
        on=on.isoformat(),
        cause=cause.value if cause else "",
        reason=reason.strip(),
        qualification=number,
        about=about.id if about else 0,
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
_WORDS = {
    Happened.SUSPENDED: "Suspended",
    Happened.LIFTED: "Suspension lifted as unfounded",
    Happened.RE_EVALUATED: "Suspension ended by a new evaluation",
    Happened.WITHDRAWN: "Withdrawn",
    Happened.STOPPED: "No longer does the task",
}


def _lines(held: Sequence[Qualification], events: Sequence[LifeEvent], task_id: str) -> tuple[LifeLine, ...]:
    lines = [
        LifeLine(
            item.valid_from,
            "Renewed" if item.supersedes else "Qualified",
            f"Evaluated on {item.evaluated_on.isoformat()}; valid until {item.valid_until.isoformat()}.",
            item.signer_name,
            item.signed_at,
            item.number,
        )
        for item in held
    ]
    lines += [
        LifeLine(
            event.on,
            _WORDS[event.act],
            f"{event.cause.words[:1].upper()}{event.cause.words[1:]}. {event.reason}"
            if event.cause
            else event.reason,
            event.by_name,
            event.at,
            event.number,
        )
        for event in events
        if event.task_id == task_id
    ]
    return tuple(sorted(lines, key=lambda line: line.at))
