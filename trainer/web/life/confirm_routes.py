"""Confirming that somebody has shown a change."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, redirect, request, url_for

from trainer.actions import confirm_change
from trainer.actions.permissions import Permission
from trainer.errors import TrainerError
from trainer.web.context import actor, db, keep_token, now
from trainer.web.errors import status_of
from trainer.web.guard import needs
from trainer.web.life.confirm_pages import confirm_page
from trainer.web.pages import show

if TYPE_CHECKING:
    from werkzeug.wrappers import Response

room = Blueprint("confirm", __name__)


@room.get("/people/<person_id>/change/<module_id>")
@needs(Permission.QUALIFICATION_SIGN)
def sheet(person_id: str, module_id: str) -> Response:
    """Show what would be confirmed, and on which evidence."""
    return show(
        confirm_page(confirm_change.prepare(db(), actor(), person_id, module_id, now=now()), now().date())
    )


@room.post("/people/<person_id>/change/<module_id>")
@needs(Permission.QUALIFICATION_SIGN)
def confirm(person_id: str, module_id: str) -> Response:
    """Confirm, with the password again."""
    line = confirm_change.prepare(db(), actor(), person_id, module_id, now=now())
    password = request.form.get("password", "")
    try:
        token = confirm_change.confirm(db(), actor(), person_id, module_id, password=password, now=now())
    except TrainerError as refused:
        return show(confirm_page(line, now().date(), says=str(refused)), status_of(refused))
    keep_token(token)
    flash("Confirmed. The qualification goes on under the new revision.")
    return redirect(url_for("life.story", person_id=person_id, task_id=line.due.task_id), 303)
