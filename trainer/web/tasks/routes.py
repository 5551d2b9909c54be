"""The covered tasks: read by everybody, set by who keeps the register."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import covered_tasks, task_form
from trainer.actions.covered_tasks import ChangedMeanwhile
from trainer.actions.permissions import Permission
from trainer.actions.task_form import TaskUnfit
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.mentor.routes import NotSaid, day_of
from trainer.web.pages import show
from trainer.web.tasks.pages import TaskForm, change_page, task_page, tasks_page, told_page

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("tasks", __name__)

# A field of the task has its own name behind this in the form, so that it cannot be another field's.
_FIELD = "task."


@room.get("/tasks")
@needs(Permission.MODULE_READ)
def every() -> Response:
    """List the covered tasks."""
    return show(tasks_page(covered_tasks.every(db(), actor()), now().date()))


@room.get("/tasks/<task_id>")
@needs(Permission.MODULE_READ)
def task(task_id: str) -> Response:
    """Show one covered task."""
    sheet = covered_tasks.sheet(db(), actor(), task_id)
    return show(task_page(sheet, now().date(), may_set=actor().may(Permission.TASK_SET)))


@room.get("/tasks/<task_id>/change")
@needs(Permission.TASK_SET)
def ask(task_id: str) -> Response:
    """Show the form that sets a task anew."""
    sheet = covered_tasks.sheet(db(), actor(), task_id)
    return show(change_page(sheet, now().date(), TaskForm(task_form.as_typed(sheet.task), sheet.seen)))


@room.post("/tasks/<task_id>/change")
@needs(Permission.TASK_SET)
def change(task_id: str) -> Response:
    """Set a task anew, signed by the password."""
    said = request.form
    typed = {name.removeprefix(_FIELD): value for name, value in said.items() if name.startswith(_FIELD)}
    because, significant, told_on = (said.get(name, "") for name in ("because", "significant", "told_on"))
    seen = said.get("seen", "")
    try:
        if significant not in ("yes", "no"):
            raise NotSaid("whether this is a significant change of the programme")
        token = covered_tasks.change(
            db(),
            actor(),
            task_id,
            typed,
            seen=seen,
            because=because,
            significant=significant == "yes",
            told_on=day_of(told_on) if told_on else None,
            password=said.get("password", ""),
            now=now(),
        )
    except TrainerError as refused:
        sheet = covered_tasks.sheet(db(), actor(), task_id)
        # Sent again, the form is of the state that its keeper has been told to look at.
        shown = sheet.seen if isinstance(refused, ChangedMeanwhile) else seen
        wrong = refused.fields if isinstance(refused, TaskUnfit) else None
        form = TaskForm(typed, shown, because, significant, told_on, wrong, str(refused))
        return show(change_page(sheet, now().date(), form), status_of(refused))
    keep_token(token)
    flash("Set from this moment on. What was evaluated and signed before stays as it was judged.")
    return redirect(url_for("tasks.task", task_id=task_id), 303)


@room.get("/tasks/changes/<int:number>")
@needs(Permission.MODULE_READ)
def made(number: int) -> Response:
    """Show one change in full."""
    return _made(number)


@room.post("/tasks/changes/<int:number>")
@needs(Permission.TASK_SET)
def tell(number: int) -> Response:
    """Enter on which day the agency was told of a change, signed by the password."""
    told_on = request.form.get("told_on", "")
    try:
        token = covered_tasks.tell_agency(
            db(), actor(), number, day_of(told_on), password=request.form.get("password", ""), now=now()
        )
    except TrainerError as refused:
        return _made(number, told_on=told_on, says=str(refused), status=status_of(refused))
    keep_token(token)
    flash("Entered.")
    return redirect(url_for("tasks.made", number=number), 303)


def _made(number: int, *, told_on: str = "", says: str = "", status: int = 200) -> Response:
    line = covered_tasks.made(db(), actor(), number)
    may_set = actor().may(Permission.TASK_SET)
    return show(told_page(line, now().date(), may_set=may_set, told_on=told_on, says=says), status)
