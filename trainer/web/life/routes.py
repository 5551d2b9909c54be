"""The life of a qualification after its signature, and who was qualified on a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import life, notices, qualified
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.records.life_cycle import Act
from trainer.records.suspension import Cause
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.life.pages import LifeForm, WhoForm, change_page, changes_page, story_page, who_page
from trainer.web.mentor.routes import NotSaid, day_of
from trainer.web.pages import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response

room = Blueprint("life", __name__)


@room.get("/qualified")
@needs(Permission.QUALIFICATION_READ)
def who() -> Response:
    """Answer who was qualified for a task on a day."""
    today = now().date()
    asked = WhoForm(
        request.args.get("task", ""),
        request.args.get("day", "") or today.isoformat(),
        request.args.get("known_on", ""),
    )
    tasks = qualified.choices(db(), actor())
    if not asked.task:
        return show(who_page(tasks, asked, None, today))
    try:
        sheet = qualified.on_day(
            db(),
            actor(),
            asked.task,
            day_of(asked.day),
            known_on=day_of(asked.known_on) if asked.known_on else None,
            now=now(),
        )
    except TrainerError as refused:
        told = WhoForm(asked.task, asked.day, asked.known_on, str(refused))
        return show(who_page(tasks, told, None, today), status_of(refused))
    return show(who_page(tasks, asked, sheet, today))


@room.get("/changes")
@needs(Permission.RECORD_OWN)
def changes() -> Response:
    """List the revisions that the person has to read."""
    return show(changes_page(notices.mine(db(), actor(), now=now()), now().date(), own=True))


@room.get("/changes/everybody")
@needs(Permission.QUALIFICATION_READ)
def everybodys_changes() -> Response:
    """List who has to read which revision, and who has."""
    return show(changes_page(notices.everybody(db(), actor(), now=now()), now().date(), own=False))


@room.get("/changes/of/<module_id>")
@needs(Permission.RECORD_OWN)
def change(module_id: str) -> Response:
    """Show what the revision in force changes in one's own work."""
    return show(change_page(notices.sheet(db(), actor(), module_id, now=now()), now().date()))


@room.post("/changes/of/<module_id>")
@needs(Permission.RECORD_OWN)
def read_change(module_id: str) -> Response:
    """Keep that the person has read it."""
    notices.acknowledge(db(), actor(), module_id, request.form.get("revision", ""), now=now())
    flash("Kept that you have read it.")
    return redirect(url_for("life.changes"), 303)


@room.get("/people/<person_id>/task/<task_id>")
@needs(Permission.RECORD_READ)
def story(person_id: str, task_id: str) -> Response:
    """Tell the story of a person's qualification for a task."""
    return _story(person_id, task_id, LifeForm(from_day=now().date().isoformat()))


@room.post("/people/<person_id>/task/<task_id>/suspend")
@needs(Permission.QUALIFICATION_SUSPEND)
def suspend(person_id: str, task_id: str) -> Response:
    """Suspend from a day on."""

    def done(form: LifeForm) -> str:
        if form.cause not in list(Cause):
            raise NotSaid("what the suspension is for")
        return life.suspend(
            db(),
            actor(),
            person_id,
            task_id,
            cause=Cause(form.cause),
            from_day=day_of(form.from_day),
            reason=form.reason,
            password=request.form.get("password", ""),
            now=now(),
        )

    return _do(person_id, task_id, Act.SUSPEND, done, "Suspended. It is on the crew sheet already.")


@room.post("/people/<person_id>/task/<task_id>/lift")
@needs(Permission.QUALIFICATION_SUSPEND)
def lift(person_id: str, task_id: str) -> Response:
    """Lift a suspension as unfounded."""
    return _plain(
        person_id, task_id, Act.LIFT, life.lift, "Lifted. The qualification holds again from today."
    )


@room.post("/people/<person_id>/task/<task_id>/withdraw")
@needs(Permission.QUALIFICATION_SUSPEND)
def withdraw(person_id: str, task_id: str) -> Response:
    """Withdraw a qualification."""
    return _plain(person_id, task_id, Act.WITHDRAW, life.withdraw, "Withdrawn. The record stays.")


@room.post("/people/<person_id>/task/<task_id>/stop")
@needs(Permission.QUALIFICATION_SUSPEND)
def stop(person_id: str, task_id: str) -> Response:
    """Note that a person no longer does a task."""
    return _plain(person_id, task_id, Act.STOP, life.stop, "Noted. The record is kept for five years.")


def _plain(person_id: str, task_id: str, act: Act, action: Callable[..., str], says: str) -> Response:
    def done(form: LifeForm) -> str:
        return action(
            db(),
            actor(),
            person_id,
            task_id,
            reason=form.reason,
            password=request.form.get("password", ""),
            now=now(),
        )

    return _do(person_id, task_id, act, done, says)


def _do(person_id: str, task_id: str, act: Act, done: Callable[[LifeForm], str], says: str) -> Response:
    form = LifeForm(
        act.value,
        request.form.get("cause", ""),
        request.form.get("from_day", ""),
        request.form.get("reason", ""),
    )
    try:
        token = done(form)
    except TrainerError as refused:
        told = LifeForm(form.act, form.cause, form.from_day, form.reason, str(refused))
        return _story(person_id, task_id, told, status=status_of(refused))
    keep_token(token)
    flash(says)
    return redirect(url_for("life.story", person_id=person_id, task_id=task_id), 303)


def _story(person_id: str, task_id: str, form: LifeForm, *, status: int = 200) -> Response:
    return show(story_page(life.sheet(db(), actor(), person_id, task_id, now=now()), form), status)
