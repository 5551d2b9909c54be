"""The end of keeping on pages: the list, one person at one task, and the four words that may be said about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import destruction
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.keeping.pages import KeepingForm, list_page, sheet_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from collections.abc import Callable

    from werkzeug.wrappers import Response

room = Blueprint("keeping", __name__)


@room.get("/keeping")
@needs(Permission.KEEPING_READ)
def lines() -> Response:
    """List whoever does a task no more, what may be destroyed first."""
    return show(list_page(destruction.listing(db(), actor(), now=now()), now().date()))


@room.get("/keeping/<person_id>/<task_id>")
@needs(Permission.KEEPING_READ)
def sheet(person_id: str, task_id: str) -> Response:
    """Show what is kept of a person at a task."""
    return _sheet(person_id, task_id, KeepingForm())


@room.post("/keeping/<person_id>/<task_id>/propose")
@needs(Permission.KEEPING_PROPOSE)
def propose(person_id: str, task_id: str) -> Response:
    """Propose to destroy it."""
    says = "Proposed. Another person confirms it, or holds it back."
    return _do(person_id, task_id, "propose", destruction.propose, says)


@room.post("/keeping/<person_id>/<task_id>/confirm")
@needs(Permission.KEEPING_DECIDE)
def confirm(person_id: str, task_id: str) -> Response:
    """Destroy it."""
    return _do(
        person_id,
        task_id,
        "confirm",
        destruction.confirm,
        "Destroyed. The log keeps that it was, and by whom.",
    )


@room.post("/keeping/<person_id>/<task_id>/hold")
@needs(Permission.KEEPING_DECIDE)
def hold(person_id: str, task_id: str) -> Response:
    """Hold it back."""
    return _do(person_id, task_id, "hold", destruction.hold, "Held back. It is kept until the hold is ended.")


@room.post("/keeping/<person_id>/<task_id>/lift")
@needs(Permission.KEEPING_DECIDE)
def lift(person_id: str, task_id: str) -> Response:
    """End a hold."""
    return _do(person_id, task_id, "lift", destruction.lift, "The hold has ended.")


def _do(person_id: str, task_id: str, word: str, action: Callable[..., str], says: str) -> Response:
    reason, password = request.form.get("reason", ""), request.form.get("password", "")
    try:
        token = action(db(), actor(), person_id, task_id, reason=reason, password=password, now=now())
    except TrainerError as refused:
        form = KeepingForm(word, reason, str(refused))
        return _sheet(person_id, task_id, form, status=status_of(refused))
    keep_token(token)
    flash(says)
    return redirect(url_for("keeping.sheet", person_id=person_id, task_id=task_id), 303)


def _sheet(person_id: str, task_id: str, form: KeepingForm, *, status: int = 200) -> Response:
    return show(sheet_page(destruction.sheet(db(), actor(), person_id, task_id, now=now()), form), status)
