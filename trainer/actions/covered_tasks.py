"""What the owner sets for each covered task, read by all, set by the keeper: the file is the first word, the page the last."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from trainer.actions import accounts, journal, task_form
from trainer.actions.actor import NotFound
from trainer.actions.permissions import Permission
from trainer.actions.task_form import TaskUnfit
from trainer.actions.unaided import must_not_sit
from trainer.errors import TrainerError
from trainer.records import canonical, task_difference
from trainer.store import modules, task_changes, tasks

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping
    from datetime import date, datetime

    from trainer.actions.actor import Actor
    from trainer.records.qualification import CoveredTask
    from trainer.records.task_difference import Difference
    from trainer.store.session import Database, Unit
    from trainer.store.task_changes import TaskChange

TASK_REGISTERED, TASK_CHANGED, AGENCY_TOLD = "task:register", "task:change", "task:tell_agency"
_LONGEST_REASON = 2000
_FROM_FILE = "Read from the file of covered tasks."


class ReasonMissing(TrainerError):
    """A change of a covered task without a reason."""

    def __init__(self) -> None:
        super().__init__(f"Write down why the task changes, in at most {_LONGEST_REASON:,} characters.")


class ChangedMeanwhile(TrainerError):
    """Somebody else changed the task after the form was shown."""

    def __init__(self, task_id: str) -> None:
        super().__init__(
            f"{task_id} was changed by somebody else meanwhile. What you typed still stands below; look at the task and "
            "send it again."
        )


class AgencyUnfit(TrainerError):
    """What was entered about telling the agency does not fit."""


@dataclass(frozen=True)
class ChangeLine:
    """A change, and what it made different."""

    change: TaskChange
    differences: tuple[Difference, ...]

    @property
    def waits_to_be_told(self) -> bool:
        """The change is significant, and nothing says that the agency was told of it (49 CFR 192.805(i))."""
        return self.change.significant and self.change.told_on is None


@dataclass(frozen=True)
class TasksSheet:
    """All covered tasks, and every change of one, the newest first."""

    tasks: tuple[CoveredTask, ...]
    changes: tuple[ChangeLine, ...]


@dataclass(frozen=True)
class TaskSheet:
    """One covered task, the procedures in force that serve it, and its changes; `seen` names this state of it."""

    task: CoveredTask
    procedures: tuple[tuple[str, str], ...]
    changes: tuple[ChangeLine, ...]
    seen: str


@dataclass(frozen=True)
class FileDifference:
    """A task that the file has otherwise than the register; `set_on_page`: then the page has the last word."""

    task: CoveredTask
    is_new: bool
    set_on_page: bool
    differences: tuple[Difference, ...]


def every(db: Database, actor: Actor) -> TasksSheet:
    """Return the covered tasks by number, and what was changed."""
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        known = tasks.every(unit)
        changes = task_changes.every(unit)
    # A task that was new changed nothing of the programme as it stood.
    told = tuple(_line(change) for change in changes if change.before is not None)
    return TasksSheet(tuple(known.values()), told)


def sheet(db: Database, actor: Actor, task_id: str) -> TaskSheet:
    """Return one covered task.

    Raises:
        NotFound: the register does not have it.
        SittingUnderWay: the actor sits; nothing shows them then what they are asked for.
    """
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        # Its abnormal conditions are asked for in a sitting.
        must_not_sit(unit, actor)
        task = _found(unit, task_id)
        serving = [item for item in modules.in_force(unit) if item.task_id == task_id]
        return TaskSheet(
            task,
            tuple((item.module_id, item.title) for item in serving),
            tuple(_line(change) for change in task_changes.every(unit, task_id=task_id)),
            _digest(task),
        )


def made(db: Database, actor: Actor, number: int) -> ChangeLine:
    """Return one change.

    Raises:
        NotFound: there is no such change.
        SittingUnderWay: the actor sits.
    """
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        must_not_sit(unit, actor)
        return _line(_change(unit, number))


def _change(unit: Unit, number: int) -> TaskChange:
    kept = task_changes.by_number(unit, number)
    if kept is None:
        raise NotFound("change of a covered task", number)
    return kept


def _line(change: TaskChange) -> ChangeLine:
    return ChangeLine(change, task_difference.differences(change.before, change.after))


def _digest(task: CoveredTask) -> str:
    return hashlib.sha256(canonical.written(task.as_data()).encode()).hexdigest()


def _found(unit: Unit, task_id: str) -> CoveredTask:
    task = tasks.by_id(unit, task_id)
    if task is None:
        raise NotFound("covered task", task_id)
    return task


def change(
    db: Database,
    actor: Actor,
    task_id: str,
    typed: Mapping[str, str],
    *,
    seen: str,
    because: str,
    significant: bool,
    told_on: date | None,
    password: str,
    now: datetime,
) -> str:
    """Set a covered task anew from this moment on; what was evaluated and signed before stays as it was judged.

    Args:
        db: the database.
        actor: who keeps the register.
        task_id: the task.
        typed: its fields as they were typed, all of them (`task_form.as_typed`).
        seen: which state of the task the form showed.
        because: why, in writing.
        significant: whether it is a significant change of a programme that the agency has verified.
        told_on: on which day the agency was told, None while it was not.
        password: the actor's password again.
        now: the time.

    Returns:
        The session's new token.

    Raises:
        NotFound: there is no such task.
        TaskUnfit: a field cannot be kept, or nothing is different.
        ReasonMissing: no reason is written, or a far too long one.
        AgencyUnfit: the day on which the agency was told does not fit.
        ChangedMeanwhile: the task is not as the form showed it any more.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    actor.must(Permission.TASK_SET)
    reason = because.strip()
    with db.reading() as unit:
        _different(_found(unit, task_id), typed, seen)
    if not 0 < len(reason) <= _LONGEST_REASON:
        raise ReasonMissing
    if told_on is not None:
        _may_tell(significant=significant, told_on=told_on, today=now.date())
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        before = _found(unit, task_id)
        after = _different(before, typed, seen)
        tasks.put(unit, after)
        number = task_changes.add(
            unit,
            before=before,
            after=after,
            on_page=True,
            because=reason,
            significant=significant,
            by=actor.person_id,
            at=now,
        )
        if told_on is not None:
            task_changes.tell(unit, number, told_on=told_on, by=actor.person_id, at=now)
        journal.note(
            unit,
            actor,
            TASK_CHANGED,
            at=now,
            number=number,
            task=task_id,
            before=before.as_data(),
            after=after.as_data(),
            because=reason,
            significant=significant,
            told_on=told_on.isoformat() if told_on else "",
            session=actor.session,
        )
    return token


def _different(before: CoveredTask, typed: Mapping[str, str], seen: str) -> CoveredTask:
    after = task_form.read(before.id, typed)
    if _digest(before) != seen:
        raise ChangedMeanwhile(before.id)
    if after == before:
        raise TaskUnfit({})
    return after


def _may_tell(*, significant: bool, told_on: date, today: date) -> None:
    if not significant:
        raise AgencyUnfit(
            "The agency is told of significant changes; say that this one is, or leave the day empty."
        )
    if told_on > today:
        raise AgencyUnfit("The day on which the agency was told lies in the future.")


def tell_agency(
    db: Database, actor: Actor, number: int, told_on: date, *, password: str, now: datetime
) -> str:
    """Enter on which day the agency was told of a significant change; return the session's new token.

    Raises:
        NotFound: there is no such change.
        AgencyUnfit: the change is not significant, the day does not fit, or it was entered before.
        PasswordWrong, SignInTooOften, SessionOver: the password was not confirmed.
    """
    actor.must(Permission.TASK_SET)
    with db.reading() as unit:
        _to_be_told(unit, number, told_on, now)
    actor = accounts.signing(db, actor, password, now=now)
    with db.writing() as unit:
        token = accounts.rotate(unit, actor, now=now)
        kept = _to_be_told(unit, number, told_on, now)
        task_changes.tell(unit, number, told_on=told_on, by=actor.person_id, at=now)
        journal.note(
            unit,
            actor,
            AGENCY_TOLD,
            at=now,
            number=number,
            task=kept.task_id,
            told_on=told_on.isoformat(),
            session=actor.session,
        )
    return token


def _to_be_told(unit: Unit, number: int, told_on: date, now: datetime) -> TaskChange:
    kept = _change(unit, number)
    _may_tell(significant=kept.significant, told_on=told_on, today=now.date())
    if kept.told_on is not None:
        raise AgencyUnfit(f"It is entered already that the agency was told on {kept.told_on.isoformat()}.")
    return kept


def register(db: Database, actor: Actor, wanted: Iterable[CoveredTask], *, now: datetime) -> tuple[str, ...]:
    """Bring the register up to what the file says; tasks that it does not name, or that the page has set, stay as they are.

    Returns:
        The ids of those that were new or changed.
    """
    actor.must(Permission.MODULE_PUBLISH)
    with db.writing() as unit:
        known, set_on_page = tasks.every(unit), task_changes.set_on_page(unit)
        changed = [task for task in wanted if known.get(task.id) != task and task.id not in set_on_page]
        numbers = []
        for task in changed:
            tasks.put(unit, task)
            numbers.append(
                task_changes.add(
                    unit,
                    before=known.get(task.id),
                    after=task,
                    on_page=False,
                    because=_FROM_FILE,
                    significant=False,
                    by=actor.person_id,
                    at=now,
                )
            )
        if changed:
            journal.note(
                unit,
                actor,
                TASK_REGISTERED,
                at=now,
                tasks=[task.as_data() for task in changed],
                before=[known[task.id].as_data() if task.id in known else None for task in changed],
                numbers=numbers,
                because=_FROM_FILE,
            )
    return tuple(task.id for task in changed)


def against_file(db: Database, actor: Actor, wanted: Iterable[CoveredTask]) -> tuple[FileDifference, ...]:
    """Return where a file of covered tasks and the register differ, in the order of the file."""
    actor.must(Permission.MODULE_READ)
    with db.reading() as unit:
        known, set_on_page = tasks.every(unit), task_changes.set_on_page(unit)
    return tuple(
        FileDifference(
            task,
            task.id not in known,
            task.id in set_on_page,
            task_difference.differences(known.get(task.id), task),
        )
        for task in wanted
        if known.get(task.id) != task
    )
